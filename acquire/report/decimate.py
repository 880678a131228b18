"""A long trace as a line short enough to print, without losing a spike or drawing over a gap."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from acquire.record import Trace
from drivers.readings import Quality

#: Readings with one of these are not numbers of the cell; the others are drawn.
NOT_DRAWN = int(Quality.NOT_A_NUMBER | Quality.OUT_OF_RANGE)


def drawable(trace: Trace) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Times and values of the readings that are numbers of the cell, in SI."""
    keep = ((trace.quality & NOT_DRAWN) == 0) & np.isfinite(trace.value)
    return trace.time[keep], trace.value[keep]


def drawable_between(trace: Trace, start: float, end: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The same for a stretch of time, without touching the rest of a long trace."""
    first, last = np.searchsorted(trace.time, [start, end])
    part = slice(int(first), int(last))
    return drawable(
        replace(trace, time=trace.time[part], value=trace.value[part], raw=trace.raw[part], quality=trace.quality[part])
    )


def outline(
    time: NDArray[np.float64], value: NDArray[np.float64], bins: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """At most 2 readings a bin, the lowest and the highest in their order; NaN where readings are missing.

    Parameters
    ----------
    time, value
        Shape (n,), times never decreasing.
    bins
        Number of equal stretches of time; about the width of the drawing in dots.
    """
    if len(time) == 0:
        return time, value
    if len(time) > 2 * bins:
        index = _extremes(time, value, bins)
    else:
        index = np.arange(len(time))
    return _with_gaps(time, value, index)


def _extremes(time: NDArray[np.float64], value: NDArray[np.float64], bins: int) -> NDArray[np.int64]:
    edges = [0, *np.searchsorted(time, np.linspace(time[0], time[-1], bins + 1)[1:-1]).tolist(), len(time)]
    keep: set[int] = {0, len(time) - 1}
    for start, end in itertools.pairwise(edges):
        if end > start:
            keep.add(start + int(np.argmin(value[start:end])))
            keep.add(start + int(np.argmax(value[start:end])))
    return np.array(sorted(keep), dtype=np.int64)


def _with_gaps(
    time: NDArray[np.float64], value: NDArray[np.float64], index: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    # Ten usual spacings and two seconds: one lost line is no gap, a pulled cable is.
    spacing = float(np.median(np.diff(time))) if len(time) > 1 else 0.0
    gap_after = np.flatnonzero(np.diff(time) > max(10 * spacing, 2.0))
    if len(gap_after) == 0:
        return time[index], value[index]
    index = np.union1d(index, np.union1d(gap_after, gap_after + 1))
    where = np.searchsorted(index, gap_after) + 1
    return np.insert(time[index], where, time[gap_after]), np.insert(value[index], where, np.nan)
