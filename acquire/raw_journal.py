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
    path = Path(run_file)
    return path.with_name(path.name + SUFFIX)


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

    Raises
    ------
    RunFileExistsError, FileInUseError, WriteFailedError

    Threads: every method may be called from any thread; one lock makes each frame whole.  `sync` does not hold that
    lock while it waits for the disk.
    """

    def __init__(self, path: str | Path, header: Mapping[str, Any]) -> None:
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
            raise FileInUseError(self.path)
        try:
            self.write(Kind.HEADER, _json(header))
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
        for start in range(0, len(received.data), MAX_CONTENT // 2):
            part = received.data[start : start + MAX_CONTENT // 2]
            self.write(Kind.RECEIVED, RECEIVED_HEAD.pack(self._device(device), received.arrival) + part)

    def readings(self, device: str, readings: Readings) -> None:
        """Keep a block of readings."""
        number, channel = self._device(device), CHANNELS.index(readings.channel)
        step = MAX_CONTENT // 32
        for start in range(0, len(readings), step):
            part = slice(start, start + step)
            columns = (readings.time[part], readings.value[part], readings.raw[part], readings.quality[part])
            head = READINGS_HEAD.pack(number, channel, readings.u_time, len(columns[0]))
            kinds = ("<f8", "<f8", "<f8", "u1")
            body = b"".join(np.ascontiguousarray(c, k).tobytes() for c, k in zip(columns, kinds, strict=True))
            self.write(Kind.READINGS, head + body)

    def entries(self, entries: Sequence[Entry]) -> None:
        """Keep journal entries."""
        for entry in entries:
            self.write(Kind.ENTRY, entry.canonical().encode("utf-8"))

    def ended(self, closing: Mapping[str, Any]) -> None:
        """Say that the run was closed, with what the closed file needs."""
        self.write(Kind.ENDED, _json(closing))

    def write(self, kind: Kind, content: bytes) -> None:
        """Append one frame; whole, or not at all.

        Raises
        ------
        WriteFailedError
            The disk refused it.  The file ends with the last whole frame and can go on once there is space.
        """
        with self._lock:
            if self._handle is None:
                raise WriteFailedError(self.path, "writing to", "it is closed")
            data = frame(kind, self.sequence, content)
            try:
                if _write_all(self._handle, data) != len(data):
                    raise OSError(28, "no space left on the device")
            except OSError as error:
                with contextlib.suppress(OSError):
                    os.ftruncate(self._handle, self._good)
                    os.lseek(self._handle, self._good, os.SEEK_SET)
                raise WriteFailedError(self.path, "writing to", first_line(error)) from error
            self._good += len(data)
            self.sequence += 1

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
            self.write(Kind.DEVICE, _json({"device": device, "number": number}))
            self._devices[device] = number
        return number


def _write_all(handle: int, data: bytes) -> int:
    """Bytes written; a disk that fills up takes a part first and refuses the rest."""
    done = os.write(handle, data)
    while done < len(data):
        more = os.write(handle, data[done:])
        if not more:
            break
        done += more
    return done


def _json(data: Mapping[str, Any]) -> bytes:
    return json.dumps(dict(data), ensure_ascii=False, sort_keys=True).encode("utf-8")
