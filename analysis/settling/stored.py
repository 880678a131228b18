"""The one-second blocks of whole stored traces at once: those that `Blocker` gives, not reading by reading."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from analysis.settling.blocks import CODES, ROBUST_COUNT, ROBUST_LIMIT, Codes, robust_mean
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
    (mean_t, count_t, step_t), (mean_p, count_p, step_p) = (
        columns[name].spread(first, upto) for name in (TEMPERATURE, PRESSURE)
    )
    seconds = range(first, upto)
    middles = [second + 0.5 for second in seconds]
    return list(map(Block, seconds, middles, mean_t, mean_p, count_t, count_p, step_t, step_p))


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

    def spread(self, first: int, upto: int) -> tuple[list[float], list[int], list[float]]:
        """Mean, count and step of the codes for each second; NaN, 0 and the last step where there was no reading."""
        length = max(upto - first, 0)
        means, counts, steps = np.full(length, math.nan), np.zeros(length, int), np.zeros(length)
        there = self._seconds < upto
        places = self._seconds[there] - first
        means[places], counts[places] = self._means()[there], self._counts[there]
        # the step as it stood after the last second with readings; 0 before the first
        last = np.searchsorted(places, np.arange(length), side="right")
        steps[:] = np.concatenate([[0.0], self._steps()[there]])[last]
        return means.tolist(), counts.tolist(), steps.tolist()

    def _steps(self) -> Array:
        """What `Codes` says after each second; only seconds that show a new code are looked at one by one."""
        codes, first = np.unique(self._value, return_index=True)
        shown_in = np.searchsorted(self._starts, first, side="right") - 1
        seen = np.cumsum(np.bincount(shown_in, minlength=len(self._starts)))
        readings = np.cumsum(self._counts)
        frozen = int(np.searchsorted(seen, CODES))  # the second that fills the memory is the last one to count
        steps = np.zeros(len(seen))
        for place in np.unique(shown_in[shown_in <= frozen]).tolist():
            shown = Codes()
            shown.add(np.repeat(codes[shown_in <= place], 2))  # twice: only repeats make codes of values
            steps[place:] = shown.quantum
        steps[(seen < 2) | (seen > 0.5 * readings)] = 0.0
        steps[frozen + 1 :] = steps[frozen : frozen + 1]
        return steps

    def _means(self) -> Array:
        """`robust_mean` of every second; seconds with equally many readings are taken together."""
        means = np.full(len(self._seconds), math.nan)
        for count in np.unique(self._counts).tolist():
            places = np.flatnonzero(self._counts == count)
            rows = self._value[self._starts[places][:, None] + np.arange(count)]
            if count < ROBUST_COUNT:
                means[places] = np.median(rows, axis=1) if count > 2 else rows.mean(axis=1)
                continue
            away = np.abs(rows - np.median(rows, axis=1, keepdims=True))
            whole = away.max(axis=1) <= ROBUST_LIMIT * 1.4826 * np.median(away, axis=1)
            means[places[whole]] = np.ascontiguousarray(rows[whole]).mean(axis=1)
            means[places[~whole]] = [robust_mean(row) for row in rows[~whole]]
        return means
