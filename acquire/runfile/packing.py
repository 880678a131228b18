"""Fills the long columns of a closed file fast: chunks are compressed by several threads and put in place as they are.

The HDF5 library compresses in one thread, behind the one lock of h5py. Here its three filters (shuffle, deflate,
fletcher32) are applied outside, and the file is the same as if the library had done it.
"""

from __future__ import annotations

import os
import zlib
from collections import deque
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, TypeVar

import h5py
import numpy as np
from numpy.typing import NDArray

from acquire.runfile.columns import checked
from acquire.runfile.errors import DamagedFileError
from acquire.runfile.seal import begun_digest

MOST_WAITING = 24  # parts at most that are packed or wait for it or for being written
T = TypeVar("T")


@dataclass(frozen=True)
class Filters:
    """What a column does to its chunks."""

    chunk: int  # rows
    fill: Any
    shuffle: bool
    level: int  # of deflate

    @classmethod
    def of(cls, column: h5py.Dataset) -> Filters:
        """Those that the column was created with.

        Raises
        ------
        ValueError
            It has others than ours.
        """
        properties = column.id.get_create_plist()
        found = [properties.get_filter(number) for number in range(properties.get_nfilters())]
        kinds = [one[0] for one in found]
        shuffle = kinds[:1] == [h5py.h5z.FILTER_SHUFFLE]
        if kinds[shuffle:] != [h5py.h5z.FILTER_DEFLATE, h5py.h5z.FILTER_FLETCHER32] or column.ndim != 1:
            raise ValueError(f"{column.name} has other filters than a closed column: {kinds}")
        return cls(column.chunks[0], column.fillvalue, shuffle, found[int(shuffle)][2][0])

    def packed(self, values: NDArray) -> bytes:
        """A chunk as it stands in the file; the last one of a column is filled up."""
        if len(values) < self.chunk:
            rest = np.full(self.chunk - len(values), self.fill, values.dtype)
            values = np.concatenate([values, rest])
        data: Any = np.ascontiguousarray(values)
        if self.shuffle:
            data = np.ascontiguousarray(data.view(np.uint8).reshape(-1, values.itemsize).T)
        deflated = zlib.compress(data, self.level)
        return deflated + fletcher32(deflated).to_bytes(4, "little")


def fletcher32(data: bytes) -> int:
    """The checksum of HDF5's filter of that name: over big-endian words of 16 bits, an odd byte filled up."""
    words = np.frombuffer(data + b"\0" * (len(data) % 2), ">u2").astype(np.uint64)
    first = int(words.sum())
    second = int((words * np.arange(len(words), 0, -1, dtype=np.uint64)).sum())
    # sums are folded, not divided, so that nothing but zeros gives zero
    low, high = (total % 65535 or (65535 if total else 0) for total in (first, second))
    return high << 16 | low


class PackedColumn:
    """One column that is filled from its first row to its last, and hashed on the way.

    Parameters
    ----------
    column
        Empty and as long as it will be.
    paths
        Names under which it stands in the file: one digest each.
    """

    def __init__(self, column: h5py.Dataset, *paths: str) -> None:
        self.filters = Filters.of(column)
        self.checks: list[int] = []  # CRC-32 of each chunk as it stands in the file
        self._column = column
        self._digests = {path: begun_digest(path, column) for path in paths}
        self._row = 0

    def put(self, content: NDArray, chunks: list[bytes]) -> None:
        """The next rows, packed."""
        for number, chunk in enumerate(chunks):
            self._column.id.write_direct_chunk((self._row + number * self.filters.chunk,), chunk)
            self.checks.append(zlib.crc32(chunk))
        self._row += len(content)
        for digest in self._digests.values():
            digest.update(content)

    def digests(self) -> dict[str, str]:
        """Path -> SHA-256, as the seal has it.

        Raises
        ------
        ValueError
            Rows are missing.
        """
        if self._row != self._column.shape[0]:
            raise ValueError(f"{self._column.name} got {self._row} of {self._column.shape[0]} rows")
        return {path: digest.hexdigest() for path, digest in self._digests.items()}


def pieces(values: NDArray, filters: Filters) -> list[bytes]:
    """Rows that begin at a chunk, packed."""
    return [filters.packed(values[start : start + filters.chunk]) for start in range(0, len(values), filters.chunk)]


class Packers:
    """Threads that pack, and one that writes what they packed in the order in which it was handed in.

    Threads: the methods are called by one; `work` is done on any of several, `write` on another, one after another.
    """

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(max(2, os.cpu_count() or 1), thread_name_prefix="packing")
        self._writer = ThreadPoolExecutor(1, thread_name_prefix="writing")
        self._waiting: deque[Future[None]] = deque()

    def submit(self, work: Callable[[], T], write: Callable[[T], None]) -> None:
        """Have this done, and its result written.

        Raises what earlier work or writing raised.
        """
        packed = self._pool.submit(work)
        self._waiting.append(self._writer.submit(lambda: write(packed.result())))
        while len(self._waiting) > MOST_WAITING or (self._waiting and self._waiting[0].done()):
            self._waiting.popleft().result()

    def finish(self) -> None:
        """Wait for everything. Raises as `submit`."""
        while self._waiting:
            self._waiting.popleft().result()

    def close(self) -> None:
        """Let the threads end; what waits is not done."""
        self._pool.shutdown(wait=True, cancel_futures=True)
        self._writer.shutdown(wait=True, cancel_futures=True)


def check_chunks(file: h5py.File, checks: Mapping[str, list[int]]) -> None:
    """Read chunks back and compare them with what was written.

    Raises
    ------
    DamagedFileError
    """
    for path, expected in checks.items():
        column = checked(file[path])
        found = []
        for number in range(len(expected)):
            _, chunk = column.id.read_direct_chunk((number * column.chunks[0],))
            found.append(zlib.crc32(chunk))
        if found != expected:
            raise DamagedFileError(
                f"{path} of {file.filename} reads back differently from what was written; the disk or the memory may "
                "be failing. Write to another drive.",
                file.filename,
            )
