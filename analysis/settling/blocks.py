"""Readings into one-second blocks: robust means, whatever order and bunching the readings come in."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from numpy.typing import ArrayLike

from analysis.settling.records import PRESSURE, TEMPERATURE, Block, SettlingInputError
from analysis.settling.trail import Array

#: Readings further than this many median deviations from the median of their second are left out of its mean.
ROBUST_LIMIT = 5.0
#: A second with fewer readings than this has no meaningful median deviation.
ROBUST_COUNT = 5
#: More readings than this in a second are faster sorted by numpy.
MANY = 200
#: Distinct values remembered per channel to find the step of the sensor's code.
CODES = 64


def robust_mean(values: Array) -> float:
    """Mean of the values within 5 median absolute deviations (scaled to a sd) of the median; NaN if empty.

    Parameters
    ----------
    values : array, shape (n,)
        Readings of one second; NaN is ignored.
    """
    values = values[np.isfinite(values)]
    if len(values) == 0:
        return float("nan")
    if len(values) < ROBUST_COUNT:
        return float(np.median(values)) if len(values) > 2 else float(values.mean())
    # numpy's median takes longer for a handful of readings than all the rest of their second
    away = np.abs(values - _median(values))
    # 1.4826 turns a median absolute deviation into the sd of a normal distribution. Coarse codes can make it
    # zero: then the smallest step that occurs takes its place, so that a dithering code keeps its mean.
    spread = 1.4826 * _median(away)
    if spread == 0.0:
        steps = away[away > 0.0]
        spread = float(steps.min()) if len(steps) else 0.0
    return float(values[away <= ROBUST_LIMIT * spread].mean())


def _median(values: Array) -> float:
    if len(values) > MANY:
        return float(np.median(values))
    ordered = sorted(values.tolist())
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else 0.5 * (ordered[half - 1] + ordered[half])


class Codes:
    """Finds the step between codes of one channel from the distinct values it has shown."""

    def __init__(self) -> None:
        self._seen: set[float] = set()
        self._readings = 0
        self.quantum = 0.0

    def add(self, values: Array) -> None:
        self._readings += len(values)
        if len(self._seen) >= CODES:
            return
        self._seen.update(values.tolist())
        # A fine or analogue channel never repeats itself; only frequent repeats show that there are codes.
        if len(self._seen) < 2 or len(self._seen) > 0.5 * self._readings:
            self.quantum = 0.0
            return
        gaps = np.diff(np.sort(np.fromiter(self._seen, float)))
        # Conversion to SI leaves rounding dust of about 1e-13 of the value between equal codes.
        gaps = gaps[gaps > 1e-9 * max(abs(x) for x in self._seen)]
        self.quantum = float(gaps.min()) if len(gaps) else 0.0


class Blocker:
    """Collect good readings, hand back one `Block` per second once the caller says the second is over.

    Guarantees
    ----------
    - The result does not depend on how the readings were cut into calls of `add`, nor on their order.
    - Every second between the first reading and `close` gives one block, NaN where there was no reading.
    - A reading for a second that is already closed is left out and counted in `late`; so are repeats of one
      channel at one time with the same value (`repeated`).
    """

    def __init__(self) -> None:
        self._waiting: dict[str, dict[int, list[tuple[float, float]]]] = {
            TEMPERATURE: defaultdict(list),
            PRESSURE: defaultdict(list),
        }
        self._codes = {TEMPERATURE: Codes(), PRESSURE: Codes()}
        self._next: int | None = None
        self.late = 0
        self.repeated = 0

    def add(self, channel: str, time: ArrayLike, value: ArrayLike) -> None:
        """Take readings of "temperature" [K] or "pressure" [Pa] at their times [s], shape (n,) each.

        Raises
        ------
        SettlingInputError
            Another channel, or unequal lengths.
        """
        if channel not in self._waiting:
            raise SettlingInputError(f"channel is {channel!r}; settling judges 'temperature' and 'pressure'")
        t, v = np.atleast_1d(np.asarray(time, float)), np.atleast_1d(np.asarray(value, float))
        if t.shape != v.shape:
            raise SettlingInputError(f"{len(v)} {channel} readings came with {len(t)} times")
        good = np.isfinite(t) & np.isfinite(v)
        waiting = self._waiting[channel]
        seconds = np.floor(t[good]).astype(int)  # at once: at 1 kHz one by one costs more than all the rest
        for second, when, what in zip(seconds.tolist(), t[good].tolist(), v[good].tolist(), strict=True):
            if self._next is not None and second < self._next:
                self.late += 1
            else:
                waiting[second].append((when, what))

    def close(self, upto_index: int) -> list[Block]:
        """Blocks of all seconds before `upto_index` that were not handed back yet, oldest first."""
        if self._next is None:
            seconds = [s for waiting in self._waiting.values() for s in waiting]
            if not seconds or min(seconds) >= upto_index:
                return []
            self._next = min(seconds)
        blocks = [self._block(index) for index in range(self._next, upto_index)]
        self._next = max(self._next, upto_index)
        return blocks

    def _block(self, index: int) -> Block:
        mean, count, quantum = {}, {}, {}
        for channel, waiting in self._waiting.items():
            pairs = waiting.pop(index, [])
            distinct = sorted(set(pairs))
            self.repeated += len(pairs) - len(distinct)
            values = np.array([value for _, value in distinct])
            self._codes[channel].add(values)
            mean[channel], count[channel] = robust_mean(values), len(values)
            quantum[channel] = self._codes[channel].quantum
        return Block(
            index,
            index + 0.5,
            mean[TEMPERATURE],
            mean[PRESSURE],
            count[TEMPERATURE],
            count[PRESSURE],
            quantum[TEMPERATURE],
            quantum[PRESSURE],
        )
