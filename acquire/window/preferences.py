"""What the window remembers from day to day: theme, text size, sound, language, cautions read."""

from __future__ import annotations

from dataclasses import dataclass, fields
from pathlib import Path

from PyQt5.QtCore import QSettings, QStandardPaths

from acquire.window.looks import LARGEST, SMALLEST, Look
from acquire.window.themes import LIGHT, THEMES


def preferences_path() -> Path:
    """Where they are kept."""
    return Path(QStandardPaths.writableLocation(QStandardPaths.GenericConfigLocation)) / "satline" / "window.ini"


@dataclass(frozen=True)
class Preferences:
    theme: str = LIGHT.name
    text: float = 1.0
    sound: bool = True
    language: str = ""  # empty: as the machine is set
    understood: bool = False

    @property
    def look(self) -> Look:
        """What cannot be shown (an older file, a typing mistake) is as if it were not there."""
        return Look(THEMES.get(self.theme, LIGHT), min(LARGEST, max(SMALLEST, self.text)))


def load_preferences(path: Path | None = None) -> Preferences:
    """What was kept; the defaults where nothing was, or nothing that can be read."""
    settings = QSettings(str(path or preferences_path()), QSettings.IniFormat)
    found: dict[str, object] = {}
    for field in fields(Preferences):
        text = settings.value(field.name)
        if not isinstance(text, str):
            continue
        if isinstance(field.default, bool):
            found[field.name] = text == "true"
        elif isinstance(field.default, float):
            try:
                found[field.name] = float(text)
            except ValueError:
                continue
        else:
            found[field.name] = text
    return Preferences(**found)  # type: ignore[arg-type]


def save_preferences(preferences: Preferences, path: Path | None = None) -> None:
    settings = QSettings(str(path or preferences_path()), QSettings.IniFormat)
    for field in fields(Preferences):
        value = getattr(preferences, field.name)
        settings.setValue(field.name, str(value).lower() if isinstance(value, bool) else str(value))
    settings.sync()
