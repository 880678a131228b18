"""Opening a run file for reading, whatever state it is in, and its header; malformed files are refused in words."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import h5py

from acquire.file_lock import is_held
from acquire.runfile import layout, refusals
from acquire.runfile.columns import checked, texts
from acquire.runfile.errors import DamagedFileError, NotARunFileError, first_line
from acquire.runfile.gate import let_pass
from acquire.runfile.layout import RunHeader
from acquire.runfile.strings import attr_text
from acquire.runfile.superblock import OPEN_FLAGS, SIZE, SuperblockError, mended, read_superblock

#: HDF5 and Python complain in these ways when bytes are not what a file promised.
MALFORMED = (
    OSError,
    RuntimeError,
    KeyError,
    ValueError,
    TypeError,
    AttributeError,
    IndexError,
    OverflowError,
    MemoryError,
)


def open_for_reading(path: str | Path, *, unlooked: bool = False) -> h5py.File:
    """The file, also while another program writes it and after its writer was killed.

    Parameters
    ----------
    unlooked
        Open it at once: this process wrote it, or may die of it. Any other is first sent through `gate`.

    Raises
    ------
    NotARunFileError, DamagedFileError
    """
    path = Path(path)
    marked = bool(_flags(path) & OPEN_FLAGS)
    followed = marked and is_held(path)
    if not unlooked and not followed:
        let_pass(path)
    try:
        if not marked:
            file = h5py.File(path, "r")
        elif followed:
            file = h5py.File(path, "r", swmr=True)
        else:
            # Its writer was killed. Following it as if it were alive would try a damaged block for minutes.
            file = h5py.File(MarkCleared(path), "r")
    except MALFORMED as error:
        raise DamagedFileError(refusals.UNOPENED.format(path=path, reason=first_line(error)), path) from error
    try:
        check_schema(file, path)
    except NotARunFileError:
        file.close()
        raise
    return file


class MarkCleared(io.RawIOBase):
    """The bytes of a file whose writer was killed, as they would be without the mark that it is open for writing."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self._file = open(path, "rb", buffering=0)  # noqa: SIM115  (closed in `close`)
        length = self._file.seek(0, io.SEEK_END)
        self._file.seek(0)
        self._head = mended(self._file.read(SIZE), length)

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def seek(self, place: int, whence: int = io.SEEK_SET) -> int:
        return self._file.seek(place, whence)

    def tell(self) -> int:
        return self._file.tell()

    def readinto(self, buffer: Any) -> int:
        place = self._file.tell()
        view = memoryview(buffer).cast("B")
        done = self._file.readinto(view) or 0
        if place < SIZE:
            changed = self._head[place : place + done]
            view[: len(changed)] = changed
        return done

    def close(self) -> None:
        self._file.close()
        super().close()


def _flags(path: Path) -> int:
    try:
        with open(path, "rb") as handle:
            return read_superblock(handle.read(96)).flags
    except FileNotFoundError:
        raise NotARunFileError(refusals.MISSING.format(path=path), path) from None
    except IsADirectoryError:
        raise NotARunFileError(refusals.FOLDER.format(path=path), path) from None
    except OSError as error:
        raise NotARunFileError(refusals.UNREADABLE.format(path=path, reason=first_line(error)), path) from error
    except SuperblockError as error:
        raise NotARunFileError(refusals.OTHER_FILE.format(path=path, fault=error), path) from error


def check_schema(file: h5py.File, path: Path) -> str:
    """The schema version of this file."""
    try:
        version = text_of(file["entry/satline/schema_version"])
        major = int(version.partition(".")[0])
    except MALFORMED as error:
        raise NotARunFileError(refusals.FOREIGN.format(path=path), path) from error
    if major > layout.SCHEMA_MAJOR:
        raise NotARunFileError(refusals.NEWER.format(path=path, version=version, known=layout.SCHEMA_MAJOR), path)
    return version


def text_of(dataset: Any) -> str:
    """A scalar text."""
    (text,) = texts([checked(dataset)[()]])
    return text


def read_header(file: h5py.File) -> RunHeader:
    """The header as it was given to the writer."""
    entry = file["entry"]
    own = entry["satline"]
    devices = json.loads(text_of(own["profile_devices"]))
    texts_of_profiles = {device: text_of(entry[f"profile_{number}/data"]) for number, device in enumerate(devices, 1)}
    return RunHeader(
        title=text_of(entry["title"]),
        start_time=text_of(entry["start_time"]),
        program=program_of(entry),
        plan=json.loads(text_of(own["plan"])),
        plan_text=text_of(entry["plan_text/data"]),
        profile_texts=texts_of_profiles,
        devices=json.loads(text_of(own["devices"])),
        versions=json.loads(text_of(own["versions"])),
        liquid=text_of(entry["sample/name"]) if "sample" in entry else "",
        operator=text_of(entry["user/name"]) if "user" in entry else "",
    )


def program_of(entry: h5py.Group) -> str:
    """Name and version of the program that recorded the run."""
    program = entry["program_name"]
    return f"{text_of(program)} {attr_text(program, 'version')}".strip()
