"""Which rows of a file that was never closed are as they were written: a checksum over each flush of a channel.

The checksums of HDF5 guard chunks, and one of nothing but zeros passes them: after a power cut a page that never
reached the disk would pass for readings of 0.  What is counted here was written whole, in all columns.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import h5py
import numpy as np
from numpy.typing import NDArray

from acquire.runfile import layout
from acquire.runfile.columns import Appender, checked, create_column
from acquire.runfile.strings import set_attr


def checksum(columns: Mapping[str, NDArray]) -> int:
    """CRC-32 of a stretch of rows, all columns of a value log."""
    crc = 0
    for name, (dtype, _, _) in layout.COLUMNS.items():
        crc = zlib.crc32(np.ascontiguousarray(columns[name], dtype).tobytes(), crc)
    return crc


def create_written(recording: h5py.Group) -> None:
    """The columns of a live file; a closed one has its seal instead."""
    group = recording.create_group("written")
    set_attr(group, "NX_class", "NXcollection")
    end = create_column(group, "end", "i8", chunk=layout.CHUNK_ROWS)
    set_attr(end, "description", "Rows of the value log after each write; crc32 is over the rows since the one before")
    create_column(group, "crc32", "u4", chunk=layout.CHUNK_ROWS)


class WrittenLog:
    """Notes what was written; the last thing done for each stretch of rows."""

    def __init__(self, recording: h5py.Group) -> None:
        self._end, self._crc = (Appender(recording["written"][name]) for name in ("end", "crc32"))

    def note(self, end: int, columns: Mapping[str, NDArray]) -> None:
        self._crc.append([checksum(columns)])
        self._end.append([end])


@dataclass(frozen=True)
class Written:
    """Ends of the stretches, ascending, and their checksums."""

    ends: NDArray[np.int64]
    crcs: NDArray[np.uint32]

    @property
    def rows(self) -> int:
        """Rows that are known to have been written."""
        return int(self.ends[-1]) if len(self.ends) else 0

    def stretches(self) -> Iterator[tuple[int, int, int]]:
        """First row, end and checksum of each."""
        start = 0
        for end, crc in zip(self.ends.tolist(), self.crcs.tolist(), strict=True):
            yield start, end, crc
            start = end


def read_written(recording: h5py.Group) -> Written | None:
    """What is noted in a file that was never closed, as far as it makes sense; None for a closed one."""
    if "written" not in recording:
        return None
    ends, crcs = (checked(recording["written"][name])[()] for name in ("end", "crc32"))
    n = min(len(ends), len(crcs))
    ends = ends[:n].astype(np.int64)
    rising = np.diff(ends, prepend=0) > 0
    good = n if rising.all() else int(np.argmin(rising))
    return Written(ends[:good], crcs[:good].astype(np.uint32))


def wrong_rows(written: Written, columns: Mapping[str, NDArray]) -> int:
    """Rows in stretches that are not as they were written, of columns that begin with row 0."""
    wrong = 0
    for start, end, crc in written.stretches():
        part = {name: column[start:end] for name, column in columns.items()}
        if len(part["time"]) < end - start or checksum(part) != crc:
            wrong += end - start
    return wrong
