"""Noise of the block means of one channel while the run goes on: level, correlation, and what rounding adds."""

from __future__ import annotations

import math
from collections import deque
from statistics import median

from analysis.settling.trail import Array, Line, fit_line, rounding_of_mean

#: A plateau record is worth more the longer it is, up to this.  [s]
LONGEST = 120
#: Short lines that follow the noise through a transient.  [s]
SHORT = 20


class NoiseTracker:
    """A plateau record as a floor, and short lines that notice when a sensor gets worse.

    Differences of neighbours would be four times too small for correlated readings, so they are not used.

    `sd` and `correlation` are of block means (NaN and 0 while unknown); `rounding` is what the steps of the code
    leave in any mean, however long; `long_run_variance` is the variance of one block mean from which means of many
    follow.
    """

    def __init__(self) -> None:
        self._record: Line | None = None
        self._short: deque[Line] = deque(maxlen=7)
        self._quantum = 0.0
        self._readings = 1
        self.sd = math.nan
        self.correlation = 0.0
        self.rounding = 0.0
        self.long_run_variance = math.nan

    @property
    def quantum(self) -> float:
        """Step of the sensor's code, 0 while unknown."""
        return self._quantum

    @property
    def known(self) -> bool:
        return math.isfinite(self.sd)

    @property
    def recorded(self) -> bool:
        """Whether a plateau record is there."""
        return self._record is not None

    def sensor(self, quantum: float, readings: int) -> None:
        """Step of the code, and how many readings a block has: rounding is dithered by single readings."""
        readings = max(readings, 1)
        if quantum != self._quantum or readings != self._readings:
            self._quantum, self._readings = quantum, readings
            self._update()

    def record(self, time: Array, value: Array) -> None:
        """Offer a quiet stretch: the longest so far is kept, of two equally long ones the quieter.

        A longer one that is much louder was not quiet to its end (a charge that is marked late) and is left out.
        """
        line = fit_line(time[-LONGEST:], value[-LONGEST:])
        if line is None:
            return
        best = self._record
        longer = best is not None and line.n > best.n and line.sd < 2.0 * best.sd
        if best is None or longer or (line.n == best.n and line.sd < best.sd):
            self._record = line
            self._update()

    def forget_recent(self) -> None:
        """The short lines are no longer of this state of the bench."""
        self._short.clear()
        self._update()

    def look(self, time: Array, value: Array) -> None:
        """Offer the last seconds, quiet or not."""
        line = fit_line(time[-SHORT:], value[-SHORT:])
        if line is not None and line.n >= SHORT - 4:
            self._short.append(line)
            self._update()

    def _update(self) -> None:
        short = median(line.sd for line in self._short) if self._short else math.nan
        if self._record is None:
            self.sd = short
            self.correlation = median(line.correlation for line in self._short) if self._short else 0.0
        else:
            # A transient bends a short line a little; only a clear rise counts as a worse sensor.
            worse = len(self._short) >= 3 and short > 1.6 * self._record.sd
            self.sd = short if worse else self._record.sd
            self.correlation = self._record.correlation
        if not math.isfinite(self.sd):
            self.long_run_variance = math.nan
            return
        factor = (1.0 + self.correlation) / (1.0 - self.correlation)
        self.rounding = rounding_of_mean(self._quantum, self.sd, factor, self._readings)
        self.long_run_variance = self.sd**2 * factor + self.rounding**2

    def u_mean(self, blocks: float) -> float:
        """Standard uncertainty of a mean of so many blocks; rounding does not average out.  NaN while unknown."""
        factor = (1.0 + self.correlation) / (1.0 - self.correlation)
        return math.hypot(self.sd * math.sqrt(factor / max(blocks, 1.0)), self.rounding)
