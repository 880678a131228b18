"""When a sample was taken: the device's own clock, or its steady rate, laid under the arrival times.

An arrival is never early and often late: a driver buffers, a machine stalls. So the relation between a device's
clock and ours is the *lower envelope* of (arrival - device time): one minimum per second, a straight line under
the minima of the last five minutes (a clock's rate wanders with temperature, so one line for a whole run is wrong
by milliseconds). The shortest delay of the line itself cannot be seen from here and stays in the times.
"""

from __future__ import annotations

import itertools
from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

BIN = 1.0  # [s] one minimum per second
WINDOW = 300.0  # [s] longer than one beat of a 30 ppm clock against 16 ms batches (533 s is rare; 33 s usual)
SLOPE_AFTER = 60.0  # [s] before, noise in the minima would make a worse slope than none
MAX_DRIFT = 5e-3  # a ceramic resonator is good to 0.5 %; common practice, no source
NOMINAL_RATE = 0.05  # boards without a clock keep their nominal rate to a few per cent; common practice, no source
NOMINAL_AFTER = 3.0  # [s] a rate that is off by more shows sooner than noise hides it
SHORTEST_DELAY = 1e-3  # [s] standard uncertainty for the delay that nobody can see: one frame of full-speed USB
FIRST_SPREAD = 0.05  # [s] until three minima show how late arrivals are: common buffering of bridges and systems
STEP_AFTER = 5  # minima in a row that must lie above the envelope before the device is said to have skipped


class Envelope:
    """The line under (x, arrival - x), where x is seconds on a device's clock.

    Examples
    --------
    >>> envelope = Envelope()
    >>> envelope.add(10.0, arrival=110.02)
    >>> round(float(envelope.host_time(11.0)), 6)
    111.02
    """

    def __init__(self, *, max_drift: float = MAX_DRIFT, slope_after: float = SLOPE_AFTER) -> None:
        self._slope_after = slope_after
        self._max_drift = max_drift
        self._minima: deque[tuple[float, float]] = deque()
        self._live: tuple[float, float] | None = None  # lowest point of the second that is not over
        self._x0 = 0.0
        self._offset = 0.0
        self._slope = 0.0
        self._spread = 0.0

    def add(self, x: float, arrival: float) -> None:
        """Take the newest sample of a chunk; older ones of the same chunk only waited longer."""
        y = arrival - x
        if self._live is None:
            self._live = (x, y)
            self._refit()
            return
        if int(x // BIN) != int(self._live[0] // BIN):
            self._minima.append(self._live)
            while self._minima and self._minima[0][0] < x - WINDOW:
                self._minima.popleft()
            self._live = (x, y)
            self._refit()
        elif y < self._live[1]:
            self._live = (x, y)
        if y < self._line(x):
            self._refit()

    def host_time(self, x: Floats | float) -> Floats:
        """Times on our clock of samples at `x` on the device's clock.  [s]"""
        return np.asarray(x, dtype=np.float64) + self._line(np.asarray(x, dtype=np.float64))

    def late_by(self, x: float, arrival: float) -> float:
        """How much later than the envelope a sample arrived.  [s]"""
        return arrival - x - float(self._line(x))

    @property
    def drift(self) -> float:
        """Rate of our clock against the device's, minus one."""
        return self._slope

    @property
    def u_time(self) -> float:
        """Standard uncertainty of the times: the unseen delay, and how well the minima support the line.  [s]"""
        return float(np.hypot(SHORTEST_DELAY, self._spread))

    def _line(self, x: Floats | float) -> Floats | float:
        return self._offset + self._slope * (x - self._x0)

    def _refit(self) -> None:
        points = [*self._minima, self._live] if self._live is not None else [*self._minima]
        if points[-1][0] - points[0][0] < self._slope_after:
            lowest = min(points, key=lambda point: point[1])
            self._x0, self._offset, self._slope = lowest[0], lowest[1], 0.0
        else:
            self._x0, self._offset, self._slope = line_under(points, self._max_drift)
        above = sorted(y - float(self._line(x)) for x, y in points)
        # The mean distance to the nearest few minima: what one more low point could still change.
        nearest = above[: max(2, len(above) // 10)]
        self._spread = float(np.mean(nearest)) if len(above) > 2 else max(above[-1], FIRST_SPREAD)


def line_under(points: list[tuple[float, float]], max_slope: float) -> tuple[float, float, float]:
    """The straight line that lies under all points and as near to them as one can, as (x0, y at x0, slope).

    Of all lines below the points, the one with the least sum of distances runs along the edge of the lower convex
    hull that spans the mean of x (a linear programme in two unknowns).
    """
    hull: list[tuple[float, float]] = []
    for point in points:
        while len(hull) > 1 and _turns_down(hull[-2], hull[-1], point):
            hull.pop()
        hull.append(point)
    centre = sum(x for x, _ in points) / len(points)
    edges = itertools.pairwise(hull) if len(hull) > 1 else iter([(hull[0], hull[0])])
    left, right = next((edge for edge in edges if edge[1][0] >= centre), (hull[-1], hull[-1]))
    slope = (right[1] - left[1]) / (right[0] - left[0]) if right[0] > left[0] else 0.0
    slope = min(max(slope, -max_slope), max_slope)
    offset = min(y - slope * (x - centre) for x, y in points)
    return centre, offset, slope


def _turns_down(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) <= (c[0] - a[0]) * (b[1] - a[1])


@dataclass(slots=True)
class Times:
    """Times of the samples of one chunk, with what was noticed on the way."""

    time: Floats
    u_time: float
    uncertain: NDArray[np.bool_]  # bunched or late, with no clock to tell better
    missing: int = 0  # samples that the device's clock or rate shows to be missing
    missing_before: int = 0  # position of the sample after the widest gap


class SampleTimer:
    """Gives times to the samples of successive chunks. This one has nothing but arrivals and perhaps a rate."""

    def __init__(self, rate: float | None) -> None:
        self._rate = rate

    def times(self, ticks: Floats | None, count: int, arrival: float, first: float | None = None) -> Times:
        """Times of `count` samples that came in one chunk; of several, all but the last have waited.

        Parameters
        ----------
        ticks
            Seconds on the device's clock, where it has one.
        count
            How many samples.
        arrival
            When the chunk came.  [s]
        first
            When the first sample came, where that was with an earlier chunk.  [s]
        """
        back = np.arange(count - 1, -1, -1) / self._rate if self._rate else np.zeros(count)
        uncertain = np.full(count, count > 1)
        # Within a chunk nothing tells when a sample was due, except that it was not after the arrival.
        u_time = (1 / self._rate if self._rate else 0.05) / np.sqrt(12)
        time = arrival - back
        if first is not None:
            time[0] = first
            uncertain[0], uncertain[1:] = False, count > 2
        return Times(time, float(np.hypot(u_time, SHORTEST_DELAY)), uncertain)

    def skipped(self, count: int) -> None:
        """Frames that arrived spoilt: samples that were taken but cannot be read."""

    def restart(self) -> None:
        """The device or its line began anew: nothing learnt before still holds."""


class SteadyTimer(SampleTimer):
    """No clock, but a steady rate: the count of samples is the clock."""

    def __init__(self, rate: float) -> None:
        super().__init__(rate)
        self._period = 1 / rate
        self.restart()

    def restart(self) -> None:
        """Forget the count."""
        self._count = 0
        self._envelope = Envelope(max_drift=NOMINAL_RATE, slope_after=NOMINAL_AFTER)
        self._lows: deque[float] = deque(maxlen=STEP_AFTER)
        self._second = -1

    def skipped(self, count: int) -> None:
        """A spoilt frame took its place in the count."""
        self._count += count

    def times(self, ticks: Floats | None, count: int, arrival: float, first: float | None = None) -> Times:
        """Times by count; a lasting step upward of the delays means that samples went missing."""
        if first is None:
            missing = self._missing((self._count + count - 1) * self._period, arrival)
        else:
            missing = self._missing(self._count * self._period, first)
        self._count += missing
        x = np.arange(self._count, self._count + count, dtype=np.float64) * self._period
        self._count += count
        if first is not None:
            self._envelope.add(float(x[0]), first)
        self._envelope.add(float(x[-1]), arrival)
        # One that is held is never late by more than its chunk; the others then wait one period for their successor.
        late = self._envelope.late_by(float(x[-1]), arrival) if first is None else self._envelope.late_by(x[0], first)
        uncertain = np.full(count, late > self._period)
        return Times(self._envelope.host_time(x), self._envelope.u_time, uncertain, missing)

    def _missing(self, x: float, arrival: float) -> int:
        if self._count == 0:
            return 0
        late = self._envelope.late_by(x, arrival)
        second = int(arrival // BIN)
        if second == self._second and self._lows:
            self._lows[-1] = min(self._lows[-1], late)
        else:
            self._lows.append(late)
            self._second = second
        full = len(self._lows) == STEP_AFTER
        if not full or min(self._lows) < 0.75 * self._period:
            return 0
        missing = round(min(self._lows) / self._period)
        self._lows.clear()
        return missing


class DeviceClockTimer(SampleTimer):
    """The frames carry the device's own time, already unwrapped to seconds."""

    def __init__(self, rate: float | None) -> None:
        super().__init__(rate)
        self.restart()

    def restart(self) -> None:
        """Forget the relation between the clocks."""
        self._envelope = Envelope()
        self._last: float | None = None

    def times(self, ticks: Floats | None, count: int, arrival: float, first: float | None = None) -> Times:
        """Times by the device's clock."""
        if ticks is None:
            raise ValueError("no device time was handed in")
        missing, widest = self._missing(ticks)
        if first is not None:
            self._envelope.add(float(ticks[0]), first)
        self._envelope.add(float(ticks[-1]), arrival)
        self._last = float(ticks[-1])
        certain = np.zeros(count, dtype=bool)
        times = self._envelope.host_time(ticks)
        return Times(times, self._envelope.u_time, certain, missing, widest)

    def _missing(self, ticks: Floats) -> tuple[int, int]:
        if self._rate is None or self._last is None:
            return 0, 0
        steps = np.empty(len(ticks))
        steps[0] = ticks[0] - self._last
        np.subtract(ticks[1:], ticks[:-1], out=steps[1:])
        steps *= self._rate
        if steps.max() < 1.5:
            return 0, 0
        missing = np.maximum(np.rint(steps) - 1, 0)
        return int(np.sum(missing)), int(np.argmax(missing))
