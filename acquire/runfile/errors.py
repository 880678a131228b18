"""What can go wrong with a run file, each said as: found, expected, way out."""

from __future__ import annotations

import re
from pathlib import Path

from acquire.recorder_words import NOT_WRITTEN


class RunFileError(Exception):
    """Root of everything that a run file can refuse or suffer; the text is for the person at the bench."""

    def __init__(self, text: str, path: str | Path = "") -> None:
        super().__init__(text)
        self.path = str(path)


class RunFileExistsError(RunFileError):
    """The name is taken; nothing was touched."""

    def __init__(self, path: str | Path) -> None:
        super().__init__(
            f"{path} exists already; nothing is ever overwritten. Choose another name, or move the existing file away.",
            path,
        )


class NotARunFileError(RunFileError):
    """The file is no HDF5 file, or not one of ours."""


class DamagedFileError(RunFileError):
    """It is a run file, but something in it cannot be read or contradicts itself."""


class FileInUseError(RunFileError):
    """Another program is writing to it.

    Parameters
    ----------
    alive
        Whether that program is known to be running; the open mark of a file alone does not tell.
    """

    def __init__(self, path: str | Path, *, alive: bool = False) -> None:
        super().__init__(
            f"{path} is being recorded by another program; one writer at a time is possible. "
            "End the run there first, or choose another name."
            if alive
            else f"{path} is being written by another program, or was when that program ended abruptly. "
            "One writer at a time is possible. Close the other program; if there is none, run "
            f"'satline verify {path} --repair'.",
            path,
        )


class WriteFailedError(RunFileError):
    """The disk or the HDF5 library refused a write; the file is given up, nothing more goes into it."""

    def __init__(self, path: str | Path, doing: str, reason: str) -> None:
        super().__init__(NOT_WRITTEN.format(doing=doing, path=path, reason=reason), path)
        self.reason = reason


class ExportFailedError(RunFileError):
    """What was to be written from a run file could not be; the run file itself was only read."""

    def __init__(self, path: str | Path, reason: str) -> None:
        super().__init__(
            f"writing {path} failed: {reason}. Expected a folder with room that this account may write to; "
            "choose another with --out. The run file was only read.",
            path,
        )


def first_line(error: BaseException) -> str:
    """The operating system's own words, else the first line of the library's, without the data it may quote."""
    text = str(error).strip()
    system = re.search(r"error message = '([^']+)'", text)  # HDF5 wraps the system's words in many lines of its own
    if system:
        return system.group(1)
    if isinstance(error, OSError) and error.strerror and "\n" not in error.strerror:
        return error.strerror[:200]  # without its number
    return (text.splitlines() or [type(error).__name__])[0][:200]
