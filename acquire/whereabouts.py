"""Where a recording went on when its disk filled up or its folder went away, for those who followed it.

Word is left twice, since either place may be gone or full: beside the run file, as a text that a person finds too, and
in a folder of this account, under the name that the run file had.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
from pathlib import Path

SUFFIX = ".moved"
MOST_BYTES = 10_000  # a path and a sentence
MOST_STEPS = 8  # from one folder to the next
SENTENCE = "The recording went on there; the run file is made there when the run is closed."


def leave_word(run_file: Path, went_to: Path) -> None:
    """Say that what was recorded into `run_file` goes on as `went_to`; a disk that refuses it is no trouble."""
    text = f"{went_to.absolute()}\n{SENTENCE}\n"
    for place in _places(run_file):
        try:
            if place.parent != run_file.parent:
                place.parent.mkdir(parents=True, exist_ok=True)
            place.write_text(text, encoding="utf-8")
        except OSError:  # on a full disk an empty file would be left
            with contextlib.suppress(OSError):
                place.unlink()


def went_to(run_file: str | Path) -> Path | None:
    """The run file that the recording went on as, however often it moved; None when it did not."""
    if not Path(run_file).name:  # a folder
        return None
    found: Path | None = None
    for _ in range(MOST_STEPS):
        step = next((there for place in _places(Path(found or run_file)) if (there := _read(place))), None)
        if step is None or step == found:
            break
        found = step
    return found


def moved_words(run_file: str | Path) -> str:
    """A sentence for whoever looks at a run file that the recording left; nothing where it did not."""
    there = went_to(run_file)
    if there is None:
        return ""
    if there.is_file():
        return f"The recording went on as {there}: everything from the beginning is there."
    return f"The recording went on as {there}; the run file is made there when the run is closed."


def forget(run_file: Path) -> None:
    """A new recording begins under this name: what was said of an earlier one does not hold for it."""
    for place in _places(run_file):
        with contextlib.suppress(OSError):
            place.unlink()


def _places(run_file: Path) -> tuple[Path, Path]:
    name = hashlib.sha256(os.fsencode(os.path.abspath(run_file))).hexdigest()[:32]
    return run_file.with_name(run_file.name + SUFFIX), _folder() / f"{name}{SUFFIX}"


def _folder() -> Path:
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    else:
        base = os.environ.get("XDG_STATE_HOME") or str(Path.home() / ".local" / "state")
    return Path(base) / "satline" / "moved"


def _read(place: Path) -> Path | None:
    try:
        if place.stat().st_size > MOST_BYTES:
            return None
        lines = place.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return None
    return Path(lines[0]) if len(lines) == 2 and lines[1] == SENTENCE else None
