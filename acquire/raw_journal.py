"""The raw journal: the first place where anything received goes, as checked frames at the end of one file.

A killed program loses nothing that `received` and the other calls returned from; a power cut loses what came after
the last `sync`.  A torn last frame is cut off when the file is read or continued.  Knows nothing of HDF5.

Layout: frames, one behind the other, little-endian:

    4 bytes  magic  5A 52 4A 31 ("ZRJ1": a sequence that text lines of a device do not hold)
    1 byte   kind
    4 bytes  sequence number, 0, 1, 2, ... without gaps
    4 bytes  length of the content
    n bytes  content
    4 bytes  CRC-32 (zlib) over everything from the kind to the end of the content
"""

from __future__ import annotations

import contextlib
import json
import os
import struct
import threading
import zlib
from collections.abc import Mapping, Sequence
from enum import IntEnum
from pathlib import Path
from typing import Any

import numpy as np

from acquire.file_lock import lock_file
from acquire.journal import Entry
from acquire.runfile.errors import FileInUseError, RunFileExistsError, WriteFailedError, first_line
from drivers.readings import CHANNELS, Readings, Received

MAGIC = b"ZRJ1"
HEAD = struct.Struct("<4sBII")
TAIL = struct.Struct("<I")
#: Larger than any frame written (a result with all its points is some 100 kB); bounds what a damaged length can ask.
MAX_CONTENT = 1 << 24
READINGS_HEAD = struct.Struct("<BBdI")  # device, channel, u_time, n
RECEIVED_HEAD = struct.Struct("<Bd")  # device, arrival
SUFFIX = ".raw"


class Kind(IntEnum):
    """What a frame holds."""

    HEADER = 1  # JSON: everything known before the first reading
    DEVICE = 2  # JSON: name of a device and its number in later frames
    RECEIVED = 3  # bytes as they came
    READINGS = 4  # a block as it was decided on, late ones marked
    ENTRY = 5  # a journal entry, canonical line
    ENDED = 6  # JSON: the run was closed, with its points and results


def raw_journal_path(run_file: str | Path) -> Path:
    """Where the raw journal of a run file lies: beside it."""
    return Path(f"{Path(run_file)}{SUFFIX}")  # of a folder too, where there never is one


def frame(kind: Kind, sequence: int, content: bytes) -> bytes:
    """One frame, ready to be written."""
    if len(content) > MAX_CONTENT:
        raise ValueError(f"the content has {len(content)} bytes; a frame holds at most {MAX_CONTENT}")
    head = HEAD.pack(MAGIC, kind, sequence & 0xFFFFFFFF, len(content))
    return head + content + TAIL.pack(zlib.crc32(content, zlib.crc32(head[4:])))


class RawJournal:
    """Appends frames to a new raw journal.

    Parameters
    ----------
    path
        A new file; an existing one is refused.
    header
        `RunHeader` as a dictionary.
    continues
        A raw journal that can no longer be written: its frames are copied to the beginning of this one, through its
        open handle, which on most systems works even after its folder was removed.

    Raises
    ------
    RunFileExistsError, FileInUseError, WriteFailedError

    Threads: every method may be called from any thread; one lock makes each frame whole.  `sync` does not hold that
    lock while it waits for the disk.
    """

    def __init__(self, path: str | Path, header: Mapping[str, Any], *, continues: RawJournal | None = None) -> None:
        self.path = Path(path)
        self.sequence = 0
        self._lock = threading.Lock()
        self._devices: dict[str, int] = {}
        self._good = 0  # bytes of whole frames
        self._synced = 0
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self._handle: int | None = os.open(
                self.path, os.O_CREAT | os.O_EXCL | os.O_RDWR | getattr(os, "O_BINARY", 0), 0o644
            )
        except FileExistsError as error:
            raise RunFileExistsError(self.path) from error
        except OSError as error:
            raise WriteFailedError(self.path, "creating", first_line(error)) from error
        if not lock_file(self._handle):
            self.close()
            raise FileInUseError(self.path, alive=True)
        try:
            if continues is not None:
                self._take_over(continues)
            else:
                self.write((Kind.HEADER, _json(header)))
            self.sync()
        except WriteFailedError:
            self.close()
            self.path.unlink(missing_ok=True)
            raise

    @property
    def size(self) -> int:
        """Bytes written."""
        return self._good

    def received(self, device: str, received: Received) -> None:
        """Keep bytes as they came."""
        head = RECEIVED_HEAD.pack(self._device(device), received.arrival)
        step = MAX_CONTENT // 2
        parts = [received.data[start : start + step] for start in range(0, len(received.data), step)]
        self.write(*((Kind.RECEIVED, head + part) for part in parts))

    def readings(self, device: str, readings: Readings) -> None:
        """Keep a block of readings."""
        number, channel = self._device(device), CHANNELS.index(readings.channel)
        step = MAX_CONTENT // 32
        parts = []
        for start in range(0, len(readings), step):
            part = slice(start, start + step)
            columns = (readings.time[part], readings.value[part], readings.raw[part], readings.quality[part])
            head = READINGS_HEAD.pack(number, channel, readings.u_time, len(columns[0]))
            kinds = ("<f8", "<f8", "<f8", "u1")
            body = b"".join(np.ascontiguousarray(c, k).tobytes() for c, k in zip(columns, kinds, strict=True))
            parts.append((Kind.READINGS, head + body))
        self.write(*parts)

    def entries(self, entries: Sequence[Entry]) -> None:
        """Keep journal entries."""
        self.write(*((Kind.ENTRY, entry.canonical().encode("utf-8")) for entry in entries))

    def ended(self, closing: Mapping[str, Any]) -> None:
        """Say that the run was closed, with what the closed file needs."""
        self.write((Kind.ENDED, _json(closing)))

    def write(self, *contents: tuple[Kind, bytes]) -> None:
        """Append these frames; all of them whole, or none.

        Raises
        ------
        WriteFailedError
            The disk refused it.  The file ends with the last whole frame and can go on once there is space.
        """
        with self._lock:
            if self._handle is None:
                raise WriteFailedError(self.path, "writing to", "it is closed")
            data = b"".join(frame(kind, self.sequence + n, content) for n, (kind, content) in enumerate(contents))
            try:
                if _write_all(self._handle, data) != len(data):
                    raise OSError(28, "no space left on the device")
            except OSError as error:
                with contextlib.suppress(OSError):
                    os.ftruncate(self._handle, self._good)
                    os.lseek(self._handle, self._good, os.SEEK_SET)
                raise WriteFailedError(self.path, "writing to", first_line(error)) from error
            self._good += len(data)
            self.sequence += len(contents)

    def sync(self) -> None:
        """Ask the disk to keep everything written so far through a power cut (2 to 10 ms).

        Raises
        ------
        WriteFailedError
            The disk is full or gone.
        """
        written, handle = self._good, self._handle
        if handle is None or written == self._synced:
            return
        try:
            getattr(os, "fdatasync", os.fsync)(handle)
        except OSError as error:
            raise WriteFailedError(self.path, "syncing", first_line(error)) from error
        self._synced = written

    def _take_over(self, old: RawJournal) -> None:
        if self._handle is None or old._handle is None:
            raise WriteFailedError(self.path, "continuing", f"{old.path} is closed")
        try:
            done = 0
            while done < old._good:
                data = _read_at(old._handle, min(1 << 20, old._good - done), done)
                if not data or _write_all(self._handle, data) != len(data):
                    raise OSError(5, f"{old.path} cannot be copied")
                done += len(data)
        except OSError as error:
            raise WriteFailedError(self.path, "continuing", first_line(error)) from error
        self._good, self.sequence, self._devices = old._good, old.sequence, dict(old._devices)

    def still_there(self) -> bool:
        """False when the name no longer leads to this file: the folder was removed or the drive pulled."""
        if self._handle is None:
            return False
        try:
            return os.path.samestat(os.fstat(self._handle), os.stat(self.path))
        except OSError:
            return False

    def close(self) -> None:
        """Let go of the file; a lock on it ends."""
        with self._lock:
            handle, self._handle = self._handle, None
        if handle is not None:
            os.close(handle)

    def _device(self, device: str) -> int:
        number = self._devices.get(device)
        if number is None:
            number = len(self._devices)
            if number > 255:
                raise ValueError("a run has at most 256 devices")
            self.write((Kind.DEVICE, _json({"device": device, "number": number})))
            self._devices[device] = number
        return number


def _read_at(handle: int, length: int, place: int) -> bytes:
    """Bytes from a place in the file; the place for writing is left where it is."""
    if hasattr(os, "pread"):
        return os.pread(handle, length, place)
    end = os.lseek(handle, 0, os.SEEK_CUR)
    os.lseek(handle, place, os.SEEK_SET)
    try:
        return os.read(handle, length)
    finally:
        os.lseek(handle, end, os.SEEK_SET)


def _write_all(handle: int, data: bytes) -> int:
    """Bytes written; a disk that fills up takes a part first and refuses the rest."""
    done = 0
    while done < len(data):
        more = os.write(handle, data[done:])
        if not more:
            break
        done += more
    return done


def _json(data: Mapping[str, Any]) -> bytes:
    return json.dumps(dict(data), ensure_ascii=False, sort_keys=True).encode("utf-8")
