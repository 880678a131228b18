"""Overview levels: minimum, maximum and mean of 64, 512, 4096 ... readings, so that any zoom draws at once.

Bad readings are left out of the three figures and counted, so a gap of bad readings stays visible as a bucket
with nothing good in it, and a failure code of a sensor never stretches the picture.
"""

from __future__ import annotations

from dataclasses import dataclass

import h5py
import numpy as np
from numpy.typing import NDArray

from acquire.runfile.columns import Appender, create_column
from acquire.runfile.layout import CLOSED_LEVEL
from drivers.readings import Quality

#: Rows per bucket.  64 then times 8: 1.8 % of the size of the columns and under 1 ms per window (measured).
FACTORS = (64, 512, 4096, 32768, 262144)
LIVE_CHUNK = 512  # rows
CLOSED_CHUNK = 2048  # a screenful; 0.11 bytes a reading for all levels instead of 0.15 with 512 rows (measured)
#: Readings with one of these bits do not enter a minimum, maximum or mean.
LEFT_OUT = int(Quality.NOT_A_NUMBER | Quality.OUT_OF_RANGE)
FIGURES = ("minimum", "maximum", "mean", "good")


@dataclass(frozen=True)
class Buckets:
    """Figures of consecutive buckets; float32 for drawing, times exact."""

    time: NDArray[np.float64]  # (n,) [s] time of the first reading of each bucket
    figures: NDArray[np.float32]  # (n, 4) minimum, maximum, mean, number of good readings

    def __len__(self) -> int:
        return len(self.time)


def level_names(factor: int) -> tuple[str, str]:
    return f"time_{factor}", f"figures_{factor}"


def create_levels(group: h5py.Group, unit: str, *, compress: bool = False, level: int = CLOSED_LEVEL) -> None:
    chunk = CLOSED_CHUNK if compress else LIVE_CHUNK
    for factor in FACTORS:
        time, figures = level_names(factor)
        create_column(group, time, "f8", chunk=chunk, compress=compress, level=level, fill=np.nan, attrs={"units": "s"})
        create_column(
            group,
            figures,
            "f4",
            chunk=chunk,
            compress=compress,
            level=level,
            fill=np.nan,
            width=len(FIGURES),
            attrs={"units": unit, "columns": ", ".join(FIGURES), "rows_per_bucket": factor},
        )


def buckets_of_rows(
    time: NDArray[np.float64], value: NDArray[np.float64], quality: NDArray[np.uint8], factor: int
) -> Buckets:
    """Buckets of `factor` readings each; a shorter rest makes the last bucket."""
    n = len(time)
    if n == 0:
        return Buckets(np.empty(0), np.empty((0, 4), np.float32))
    good = np.isfinite(value) & ((quality & LEFT_OUT) == 0)
    starts = np.arange(0, n, factor)
    count = np.add.reduceat(good, starts, dtype=np.int64)
    low = np.minimum.reduceat(np.where(good, value, np.inf), starts)
    high = np.maximum.reduceat(np.where(good, value, -np.inf), starts)
    total = np.add.reduceat(np.where(good, value, 0.0), starts)
    return Buckets(np.asarray(time[starts], np.float64), _figures(low, high, total, count))


def buckets_of_buckets(finer: Buckets, factor: int) -> Buckets:
    """Buckets of `factor` finer ones each; a shorter rest makes the last bucket."""
    n = len(finer)
    if n == 0:
        return finer
    starts = np.arange(0, n, factor)
    low, high, mean, good = finer.figures.astype(np.float64).T
    empty = good == 0
    count = np.add.reduceat(good, starts)
    return Buckets(
        finer.time[starts],
        _figures(
            np.minimum.reduceat(np.where(empty, np.inf, low), starts),
            np.maximum.reduceat(np.where(empty, -np.inf, high), starts),
            np.add.reduceat(np.where(empty, 0.0, mean * good), starts),
            count,
        ),
    )


def _figures(low: NDArray, high: NDArray, total: NDArray, count: NDArray) -> NDArray[np.float32]:
    out = np.empty((len(count), 4), np.float32)
    empty = count == 0
    out[:, 0] = np.where(empty, np.nan, low)
    out[:, 1] = np.where(empty, np.nan, high)
    out[:, 2] = np.where(empty, np.nan, total / np.maximum(count, 1))
    out[:, 3] = count
    return out


class OverviewWriter:
    """Appends to the levels of one channel as its readings come in; only whole buckets are stored.

    Parameters
    ----------
    times
        False for a channel whose times are those of another one.
    """

    def __init__(self, group: h5py.Group, *, times: bool = True) -> None:
        self._times = times
        self._levels = [tuple(Appender(group[name]) for name in level_names(factor)) for factor in FACTORS]
        self._rows: list[tuple[NDArray, NDArray, NDArray]] = []
        self._pending = 0
        self._rests = [Buckets(np.empty(0), np.empty((0, 4), np.float32)) for _ in FACTORS[1:]]

    def add(self, time: NDArray[np.float64], value: NDArray[np.float64], quality: NDArray[np.uint8]) -> None:
        self._rows.append((time, value, quality))
        self._pending += len(time)
        if self._pending < FACTORS[0]:
            return
        joined = tuple(np.concatenate(column) for column in zip(*self._rows, strict=True))
        whole = self._pending // FACTORS[0] * FACTORS[0]
        self._rows = [(joined[0][whole:], joined[1][whole:], joined[2][whole:])]
        self._pending -= whole
        self._store(0, buckets_of_rows(joined[0][:whole], joined[1][:whole], joined[2][:whole], FACTORS[0]))

    def add_buckets(self, buckets: Buckets) -> None:
        """Whole buckets of the finest level, made elsewhere; not together with `add`."""
        self._store(0, buckets)

    def _store(self, level: int, new: Buckets) -> None:
        time, figures = self._levels[level]
        if self._times:
            time.append(new.time)
        figures.append(new.figures)
        if level + 1 == len(FACTORS):
            return
        ratio = FACTORS[level + 1] // FACTORS[level]
        rest = self._rests[level]
        both = Buckets(np.concatenate([rest.time, new.time]), np.concatenate([rest.figures, new.figures]))
        whole = len(both) // ratio * ratio
        self._rests[level] = Buckets(both.time[whole:], both.figures[whole:])
        if whole:
            self._store(level + 1, buckets_of_buckets(Buckets(both.time[:whole], both.figures[:whole]), ratio))
