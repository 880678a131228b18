"""The one-second blocks of whole stored traces at once: those that `Blocker` gives, not reading by reading."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from analysis.settling.blocks import ROBUST_COUNT, ROBUST_LIMIT, Codes, robust_mean
from analysis.settling.records import PRESSURE, TEMPERATURE, Block
from analysis.settling.trail import Array


def blocks_of(traces: Mapping[str, tuple[Array, Array]], upto: int) -> list[Block]:
    """Blocks of all seconds from the first reading to before `upto`, oldest first.

    Parameters
    ----------
    traces
        "temperature" and "pressure" -> times [s] and values [K] or [Pa] of the readings to be used, shape (n,) each.
    upto
        The second that is not closed any more.
    """
    columns = {name: _Seconds(*traces[name]) for name in (TEMPERATURE, PRESSURE)}
    starts = [column.first for column in columns.values() if column.first is not None]
    if not starts:
        return []
    first = min(starts)
    t, p = (columns[name].spread(first, upto) for name in (TEMPERATURE, PRESSURE))
    return [
        Block(second, second + 0.5, mean_t, mean_p, n_t, n_p, step_t, step_p)
        for second, (mean_t, n_t, step_t), (mean_p, n_p, step_p) in zip(range(first, upto), t, p, strict=True)
    ]


class _Seconds:
    """One channel's readings by the second, repeats left out."""

    def __init__(self, time: Array, value: Array) -> None:
        good = np.isfinite(time) & np.isfinite(value)
        time, value = time[good], value[good]
        order = np.lexsort((value, time))
        time, value = time[order], value[order]
        if len(time):
            fresh = np.concatenate([[True], (np.diff(time) != 0.0) | (np.diff(value) != 0.0)])
            time, value = time[fresh], value[fresh]
        self._value = value
        self._seconds, self._starts = np.unique(np.floor(time).astype(np.int64), return_index=True)
        self._counts = np.diff(np.append(self._starts, len(value)))
        self.first = int(self._seconds[0]) if len(self._seconds) else None

    def spread(self, first: int, upto: int) -> list[tuple[float, int, float]]:
        """Mean, count and step of the codes for each second; NaN, 0 and the last step where there was no reading."""
        means = self._means()
        codes = Codes()
        found = []
        places = {int(second): place for place, second in enumerate(self._seconds)}
        for second in range(first, upto):
            place = places.get(second)
            if place is None:
                found.append((math.nan, 0, codes.quantum))
                continue
            start, count = int(self._starts[place]), int(self._counts[place])
            codes.add(self._value[start : start + count])
            found.append((means[place], count, codes.quantum))
        return found

    def _means(self) -> list[float]:
        """`robust_mean` of every second; seconds with equally many readings are taken together."""
        means = np.full(len(self._seconds), math.nan)
        for count in np.unique(self._counts).tolist():
            places = np.flatnonzero(self._counts == count)
            rows = self._value[self._starts[places][:, None] + np.arange(count)]
            if count < ROBUST_COUNT:
                means[places] = [robust_mean(row) for row in rows]
                continue
            away = np.abs(rows - np.median(rows, axis=1, keepdims=True))
            whole = away.max(axis=1) <= ROBUST_LIMIT * 1.4826 * np.median(away, axis=1)
            means[places[whole]] = np.ascontiguousarray(rows[whole]).mean(axis=1)
            means[places[~whole]] = [robust_mean(row) for row in rows[~whole]]
        return means.tolist()
