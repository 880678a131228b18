"""The counter of a device as seconds that only grow: wraps undone, restarts and damaged counts told apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from drivers.units import find_unit

#: How far a device's clock may run ahead of the arrivals.  [s] Larger than any buffering at the start of a
#: stream, smaller than any wrap (a 16-bit millisecond counter wraps after 65 s).
SLACK = 5.0


@dataclass(slots=True)
class Ticks:
    """What the counts of one chunk mean."""

    seconds: NDArray[np.float64]  # of the rows in `kept`
    kept: list[int] | None  # positions of the rows with a usable count; None: all of them
    restarts: list[int] = field(default_factory=list)  # positions in `kept` before which the device began anew
    spoilt: list[int] = field(default_factory=list)  # positions of rows whose count cannot be true
    held: int = 0  # rows at the end that only the next row can judge


class TickCounter:
    """Undo the wraps of a counter.

    A step is believed when it is forward and no longer than the time that passed here. Otherwise either the
    device began anew or the count is damaged. Where a checksum protects the line it is a restart; where none
    does, the next row decides: if it goes on from before, the odd one was damaged.
    """

    def __init__(self, unit: str, bits: int, *, protected: bool) -> None:
        self._unit = find_unit(unit).factor
        self._range = float(2**bits) if bits else 0.0
        self._protected = protected
        self.forget()

    def forget(self) -> None:
        """The line was broken: the next count is taken as it comes."""
        self._tick: float | None = None
        self._seconds = 0.0
        self._arrival = 0.0

    def unwrap(self, ticks: Sequence[float] | NDArray[np.float64], arrival: float) -> Ticks:
        """Seconds on the device's clock for the counts of one chunk, and what is odd about them."""
        counts = np.asarray(ticks, dtype=np.float64)
        first = self._tick is None
        before = counts[0] if self._tick is None else self._tick
        steps = np.empty(len(counts))
        steps[0] = counts[0] - before
        np.subtract(counts[1:], counts[:-1], out=steps[1:])
        steps = self._steps(steps)
        allowed = self._allowed(arrival)
        if steps.min() >= 0 and steps.max() <= allowed:
            base = counts[0] * self._unit if first else self._seconds
            result = Ticks(base + np.cumsum(steps), None)
            last: int | None = -1
        else:
            result = self._one_by_one(counts, allowed)
            last = result.kept[-1] if result.kept else None
        if last is not None:
            self._tick = float(counts[last])
            self._seconds = float(result.seconds[-1])
            self._arrival = arrival
        return result

    def _steps(self, differences: NDArray[np.float64]) -> NDArray[np.float64]:
        return (differences % self._range if self._range else differences) * self._unit

    def _allowed(self, arrival: float) -> float:
        if self._tick is not None:
            return arrival - self._arrival + SLACK
        # Nothing is known of how long the first chunk took; half the range tells forward from back.
        return self._range / 2 * self._unit if self._range else float("inf")

    def _one_by_one(self, counts: NDArray[np.float64], allowed: float) -> Ticks:
        kept: list[int] = []
        result = Ticks(np.zeros(0), kept)
        seconds: list[float] = []
        tick, now = self._tick, self._seconds
        for position, count in enumerate(counts):
            step = 0.0 if tick is None else float(self._steps(np.array([count - tick]))[0])
            if tick is None:
                now = float(count) * self._unit
            elif 0 <= step <= allowed:
                now += step
            else:
                verdict = "restart" if self._protected else self._judge(counts, position, tick, allowed)
                if verdict == "held":
                    result.held = 1
                    break
                if verdict == "spoilt":
                    result.spoilt.append(position)
                    continue
                result.restarts.append(len(seconds))
                now = float(count) * self._unit
            tick = float(count)
            kept.append(position)
            seconds.append(now)
        result.seconds = np.asarray(seconds)
        return result

    def _judge(self, counts: NDArray[np.float64], position: int, tick: float, allowed: float) -> str:
        if position + 1 == len(counts):
            return "held"
        following = counts[position + 1]
        from_before, from_odd = self._steps(np.array([following - tick, following - counts[position]]))
        if 0 <= from_before <= allowed:
            return "spoilt"
        return "restart" if 0 <= from_odd <= max(allowed, SLACK) else "spoilt"
