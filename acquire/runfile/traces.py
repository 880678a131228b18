"""Any stretch of a trace of any length as a few thousand values at most, from the overview levels of the file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from acquire.runfile import layout
from acquire.runfile.errors import DamagedFileError
from acquire.runfile.overview import FACTORS, Buckets, buckets_of_buckets, buckets_of_rows, level_names
from acquire.runfile.reader import RunFile

MOST_POINTS = 2000  # two per pixel of a wide screen
MOST_KEPT = 64  # pieces of at most a few hundred times
_GUIDE = FACTORS.index(4096)  # the level whose times are held in memory: 170 kB for a day at 1 kHz


@dataclass(frozen=True)
class Stretch:
    """A stretch of a trace, ready to be drawn.

    With `rows_per_bucket` 1 minimum, maximum and mean are the readings themselves, NaN where they are bad.
    """

    time: NDArray[np.float64]  # (n,) [s] of the first reading of each bucket
    minimum: NDArray[np.float64]  # (n,) [K or Pa]
    maximum: NDArray[np.float64]
    mean: NDArray[np.float64]
    good: NDArray[np.float64]  # (n,) readings that the figures are made of; fewer than a bucket holds: some were bad
    rows_per_bucket: int

    def __len__(self) -> int:
        return len(self.time)


class Overview:
    """Overview of one channel of an open run file.

    Each fetch reads at most a few thousand values, however long the run is.  On a file that is being written the
    caller refreshes the `RunFile`; every fetch then sees what is there.

    Raises
    ------
    DamagedFileError
        By every method, when the file cannot be read.
    """

    def __init__(self, run: RunFile, channel: str) -> None:
        self._run, self._channel = run, channel
        self._guide: NDArray[np.float64] = np.empty(0)
        self._kept: dict[tuple[str, int, int], NDArray] = {}  # pieces of times that were searched last

    @property
    def span(self) -> tuple[float, float]:
        """Times of the first and the last reading; NaN when there is none.  [s]"""
        rows = self._run.rows(self._channel)
        if not rows:
            return float("nan"), float("nan")
        return float(self._times(0, 1)[0]), float(self._times(rows - 1, rows)[0])

    def fetch(self, start: float, end: float, most: int = MOST_POINTS) -> Stretch:
        """The readings between two times, as at most about `most` buckets, one more on each side to draw lines to.

        Parameters
        ----------
        start, end
            [s]
        most
            Buckets wanted at most.
        """
        rows = self._run.rows(self._channel)
        # Each look for a row costs a read, so it is looked for no closer than the buckets need.
        first, last = self._from_guide(start, rows)[0], min(rows, self._from_guide(end, rows)[1] + 1)
        if _level(last - first, most) < _GUIDE:
            first, last = self.near(start)[0], min(rows, self.near(end)[1] + 1)
        if last - first <= most + 2 * FACTORS[0]:
            first, last = max(0, self.row_at(start) - 1), min(rows, self.row_at(end) + 1)
        if last - first <= most:
            return _from_rows(self._rows(first, last), 1)
        return self._from_level(_level(last - first, most), first, last)

    def row_at(self, time: float) -> int:
        """Index of the first reading at or after this time."""
        low, high = self.near(time)
        return low + int(np.searchsorted(self._times(low, high), time, side="left"))

    def near(self, time: float) -> tuple[int, int]:
        """Two rows, a small bucket apart at most, from before this time up to the first reading not before it."""
        rows = self._run.rows(self._channel)
        low, high = self._from_guide(time, rows)
        if high - low > FACTORS[0]:
            begin = low // FACTORS[0]
            name = f"{layout.overview_path(self._channel)}/{level_names(FACTORS[0])[0]}"
            finer = self._piece(name, begin, min(-(-high // FACTORS[0]), rows // FACTORS[0]))
            low, high = self._bracket(finer, begin, time, FACTORS[0], high)
        return low, high

    def _from_guide(self, time: float, rows: int) -> tuple[int, int]:
        """The same without reading anything, a bucket of the guide apart."""
        return self._bracket(self._guide_times(rows), 0, time, FACTORS[_GUIDE], rows)

    @staticmethod
    def _bracket(times: NDArray[np.float64], begin: int, time: float, factor: int, rows: int) -> tuple[int, int]:
        """Rows between which a time lies, from the times of the first rows of buckets `begin`, `begin + 1`, ..."""
        place = int(np.searchsorted(times, time, side="left"))
        low = (begin + max(place - 1, 0)) * factor
        high = (begin + place) * factor if place < len(times) else rows
        return low, min(max(high, low), rows)

    def _guide_times(self, rows: int) -> NDArray[np.float64]:
        whole = rows // FACTORS[_GUIDE]
        if len(self._guide) < whole:
            more = self._level_times(_GUIDE, len(self._guide), whole)
            self._guide = np.concatenate([self._guide, more])
        return self._guide

    def _from_level(self, level: int, first: int, last: int) -> Stretch:
        factor = FACTORS[level]
        rows = self._run.rows(self._channel)
        begin, end = first // factor, -(-last // factor)
        whole = min(rows // factor, self._level_rows(level))
        parts = [self._buckets(level, begin, min(end, whole))]
        if end > whole:
            parts.append(self._rest(level, rows))
        joined = _joined(parts)
        low, high, mean, good = joined.figures.astype(np.float64).T
        return Stretch(joined.time, low, high, mean, good, factor)

    def _rest(self, level: int, rows: int) -> Buckets:
        """The readings behind the last whole bucket of this level, as one bucket, from the finer levels."""
        start = min(rows // FACTORS[level], self._level_rows(level)) * FACTORS[level]
        if level == 0:
            time, value, quality = self._rows(start, rows)
            return buckets_of_rows(time, value, quality, max(1, rows - start))
        finer = FACTORS[level - 1]
        whole = min(rows // finer, self._level_rows(level - 1))
        parts = _joined([self._buckets(level - 1, start // finer, whole), self._rest(level - 1, rows)])
        return buckets_of_buckets(parts, max(1, len(parts)))

    # Reading

    def _rows(self, first: int, last: int) -> tuple[NDArray, NDArray, NDArray]:
        trace = self._run.trace(self._channel, first, last)
        return trace.time, trace.value, trace.quality

    def _times(self, first: int, last: int) -> NDArray[np.float64]:
        return self._piece(f"{layout.log_path(self._channel)}/time", first, last)

    def _piece(self, path: str, first: int, last: int) -> NDArray[np.float64]:
        """A short piece of times, kept for a while: a cursor is moved by little, and what is written never changes."""
        found = self._kept.get((path, first, last))
        if found is None:
            found = self._read(path, first, last)
            while len(self._kept) >= MOST_KEPT:
                del self._kept[next(iter(self._kept))]
            self._kept[path, first, last] = found
        return found

    def _level_times(self, level: int, first: int, last: int) -> NDArray[np.float64]:
        name = level_names(FACTORS[level])[0]
        return self._read(f"{layout.overview_path(self._channel)}/{name}", first, last)

    def _level_rows(self, level: int) -> int:
        return self._run.length(f"{layout.overview_path(self._channel)}/{level_names(FACTORS[level])[1]}")

    def _buckets(self, level: int, first: int, last: int) -> Buckets:
        figures = level_names(FACTORS[level])[1]
        return Buckets(
            self._level_times(level, first, last),
            self._read(f"{layout.overview_path(self._channel)}/{figures}", first, last),
        )

    def _read(self, path: str, first: int, last: int) -> NDArray:
        out = self._run.rows_of(path, first, max(first, last))
        if len(out) < last - first:
            raise DamagedFileError(
                f"{path} of {self._run.path} is shorter than its readings; work on a mended copy: "
                f"'satline verify {self._run.path} --repair'.",
                self._run.path,
            )
        return out


def _level(rows: int, most: int) -> int:
    """The finest level that gives no more than `most` buckets."""
    return next((k for k, factor in enumerate(FACTORS) if rows <= factor * most), len(FACTORS) - 1)


def _from_rows(columns: tuple[NDArray, NDArray, NDArray], factor: int) -> Stretch:
    buckets = buckets_of_rows(*columns, factor)
    time, value, _ = columns
    good = buckets.figures[:, 3].astype(np.float64)
    drawn = np.where(good > 0, value, np.nan)  # float64: close up the readings are shown as they are
    return Stretch(time, drawn, drawn, drawn, good, factor)


def _joined(parts: list[Buckets]) -> Buckets:
    return Buckets(np.concatenate([p.time for p in parts]), np.concatenate([p.figures for p in parts]))
