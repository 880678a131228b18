"""The words on the screen in the person's language; reads translation files, knows no Qt and no run.

All wording is made by view states, which must not need Qt, so the look-up is ours while the file is the open TS
format that Qt's own translation editor reads and writes.  `tr` wants whole sentences with `{0}` places, never an
f-string: the source text is the key.
"""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Language:
    """One language: what each source text becomes, and how its numbers are written."""

    code: str
    decimal_mark: str = "."
    words: Mapping[str, str] = field(default_factory=dict)


ENGLISH = Language("en")
LANGUAGE_NAMES = {"en": "English", "de": "Deutsch"}  # each in itself: whoever looks for it reads that
DECIMAL_MARKS = {"en": ".", "de": ","}

# One language for the whole program, chosen once at the start: a person reads one at a time, and handing it
# through every view state would put it into every signature.
_current = ENGLISH


def available_languages() -> list[str]:
    """Codes of the languages that can be chosen."""
    return ["en", *sorted(path.stem.removeprefix("words_") for path in FOLDER.glob("words_*.ts"))]


def load_language(code: str) -> Language:
    """Read one translation.

    Raises
    ------
    ValueError
        No translation has this code.
    """
    if code == "en":
        return ENGLISH
    path = FOLDER / f"words_{code}.ts"
    if not path.exists():
        raise ValueError(f"language is {code!r}; there are {', '.join(available_languages())}")
    return Language(code, DECIMAL_MARKS.get(code, "."), read_words(path))


def read_words(path: Path) -> dict[str, str]:
    """Finished messages of a TS file; unfinished ones stay in the source language."""
    words = {}
    for message in ElementTree.parse(path).getroot().iter("message"):
        translation = message.find("translation")
        if translation is not None and translation.get("type") is None and translation.text:
            words[message.findtext("source", "")] = translation.text
    return words


def use_language(language: Language) -> None:
    """Show everything made from now on in this language."""
    global _current
    _current = language


def current_language() -> Language:
    return _current


def tr(text: str) -> str:
    """`text` in the current language, or itself where it has no translation."""
    return _current.words.get(text, text)


def said(text: str) -> str:
    """Mark a text in a table as one that `tr` will be asked for later."""
    return text


def counted(one: str, many: str, n: int) -> str:
    """`one` or `many` by number, with `{0}` filled in."""
    return tr(one if n == 1 else many).format(grouped(n))


def grouped(n: int) -> str:
    """A count with a thin space between thousands, as ISO 80000-1 writes large numbers."""
    return f"{n:,}".replace(",", "\u202f") if abs(n) >= 10_000 else str(n)
