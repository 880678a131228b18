"""One point from the blocks of a plateau: means over the same blocks, lag-corrected, with every uncertainty."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.lag import PAIR_FLOOR, wander_of_mean
from analysis.settling.records import Block, Judgement
from analysis.settling.trail import Array, lag_one, quantisation_error, rounding_of_mean

#: What the model of the lag itself leaves open, as parts of the lag and of the remaining change: found by asking for
#: 95 % coverage in simulated runs with physics that the model does not contain.
LAG_SHARE = 0.02
REMAINING_SHARE = 0.05
#: What sensors may wander by where no lag model has followed them.  [K]
UNSEEN_WANDER = 0.006


@dataclass(frozen=True, slots=True)
class PlateauPoint:
    """One (T, p) with what a fit needs to know about it.

    Parameters
    ----------
    time : float
        Centre of the blocks used.  [s]
    temperature, u_temperature : float
        Mean of the probe and its standard uncertainty from the scatter of the readings.  [K]
    temperature_corrected, u_temperature_corrected : float
        The same minus the lag: the temperature that belongs to the pressure.  Its uncertainty holds the
        scatter, the lag, and what is still to come.  [K]
    pressure, u_pressure : float
        Mean pressure and its standard uncertainty from the scatter of the readings.  [Pa]
    correlation : float
        Correlation of the errors of `temperature_corrected` and `pressure`.
    lag, u_lag : float
        Probe temperature minus the temperature that belongs to the pressure.  [K]
    drift : float
        Slow drift of the bath.  [K/s]
    window : tuple of float
        First and last second.  [s]
    n : int
        Blocks used.
    """

    time: float
    temperature: float
    u_temperature: float
    temperature_corrected: float
    u_temperature_corrected: float
    pressure: float
    u_pressure: float
    correlation: float
    lag: float
    u_lag: float
    drift: float
    window: tuple[float, float]
    n: int


#: Blocks with both channels that a point is made of at least.
FEWEST = 3


class PlateauInputError(ValueError):
    """No point can be made of these blocks; the sentence says what was found and what was expected."""


def mean_of_correlated(values: ArrayLike, *, quantum: float = 0.0) -> tuple[float, float, float]:
    """Mean of equally spaced readings whose errors are correlated, as (mean, u, n_eff).

    The scatter is taken about a straight line, so that a slow drift does not count as noise; the correlation
    is that of an AR(1) process, estimated from neighbours and corrected for the short window.

    Parameters
    ----------
    values : array, shape (n,)
        NaN marks a missing reading.
    quantum : float
        Step of the sensor's code, 0 if unknown.  [unit of the values]

    Returns
    -------
    tuple of float
        Mean, its standard uncertainty, and the number of independent readings that would give it.

    Raises
    ------
    PlateauInputError
        No finite value at all.
    """
    y = np.asarray(values, float)
    good = np.isfinite(y)
    n = int(good.sum())
    if n == 0:
        raise PlateauInputError("no good reading to take a mean of; expected at least one")
    mean = float(y[good].mean())
    if n < 4:
        spread = float(np.ptp(y[good])) if n > 1 else math.inf
        return mean, max(spread, quantum / math.sqrt(12.0)), 1.0
    index = np.flatnonzero(good).astype(float)
    x = index - index.mean()
    slope = float(x @ y[good]) / float(x @ x)
    rest = np.full(len(y), np.nan)
    rest[good] = y[good] - mean - slope * x
    variance = float(rest[good] @ rest[good]) / (n - 2)
    r = lag_one(rest)
    n_eff = max(n * (1.0 - r) / (1.0 + r), 1.0)
    u = math.hypot(math.sqrt(variance / n_eff), quantisation_error(quantum, math.sqrt(variance)))
    return mean, u, n_eff


@dataclass(frozen=True, slots=True)
class _Noise:
    """Noise of the block means of one channel, as the judge remembers it, and what rounding does to them."""

    sd: float
    correlation: float
    quantum: float
    readings: float
    swept: float  # how far the drift carries the readings within the window

    def u_own(self, values: Array) -> float:
        """Uncertainty of the mean of a window: by its own scatter, or by the judge's memory if that is larger."""
        count = int(np.isfinite(values).sum())
        if count < 4:
            own = mean_of_correlated(values, quantum=self.quantum)[1]
        else:
            _, scatter, n_eff = mean_of_correlated(values)
            sd, factor = scatter * math.sqrt(n_eff), max(count / n_eff, 1.0)
            own = math.hypot(scatter, rounding_of_mean(self.quantum, sd, factor, self.readings, self.swept))
        memory = self.u_memory(float(count))
        return max(own, memory) if math.isfinite(memory) else own

    def u_memory(self, seconds: float) -> float:
        """Uncertainty of a mean of so many seconds by the judge's memory; NaN without any."""
        factor = (1.0 + self.correlation) / (1.0 - self.correlation)
        rounding = rounding_of_mean(self.quantum, self.sd, factor, self.readings, self.swept)
        return math.hypot(self.sd / math.sqrt(max(seconds / factor, 1.0)), rounding)


def _wild(values: Array) -> NDArray[np.bool_]:
    """Blocks further than 8 scaled median deviations from a straight line: lone spikes, not noise."""
    good = np.isfinite(values)
    if good.sum() < 8:
        return np.zeros(len(values), bool)
    x = np.arange(len(values), dtype=float)
    middle = np.median(x[good])
    halves = good & (x <= middle), good & (x > middle)
    (x0, y0), (x1, y1) = ((np.median(x[h]), np.median(values[h])) for h in halves)
    away = np.abs(values - (y0 + (y1 - y0) * (x - x0) / (x1 - x0)))
    spread = 1.4826 * float(np.median(away[good]))
    return np.where(good, away > 8.0 * spread, False) if spread > 0.0 else np.zeros(len(values), bool)


def _pairs(blocks: Sequence[Block]) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Both channels, and where both are there and neither is a spike."""
    temperature = np.array([b.temperature for b in blocks])
    pressure = np.array([b.pressure for b in blocks])
    both = np.isfinite(temperature) & np.isfinite(pressure) & ~(_wild(temperature) | _wild(pressure))
    return temperature, pressure, both


def good_seconds(blocks: Sequence[Block]) -> int:
    """How many of these blocks could enter a point; it takes `FEWEST`."""
    return int(_pairs(blocks)[2].sum())


def plateau_point(
    blocks: Sequence[Block], judgement: Judgement, *, window: tuple[float, float] | None = None
) -> PlateauPoint:
    """Make a point of the blocks in the window of a judgement.

    Temperature and pressure are averaged over the same blocks, so that a drift does not tear them apart.

    Parameters
    ----------
    blocks : sequence of Block
        Any blocks; those outside the window are left out.
    judgement : Judgement
        The judgement whose lag, drift and noise hold for this window.
    window : tuple of float, optional
        First and last second, instead of the judgement's own ("take now anyway", or changed afterwards).  [s]

    Raises
    ------
    PlateauInputError
        No window, or fewer than three blocks in it where both channels are good.
    """
    window = window or judgement.window
    if window is None:
        raise PlateauInputError("no plateau was found and no window was given; expected one of the two")
    first, last = window
    inside = [b for b in blocks if first <= b.time <= last]
    temperature, pressure, both = _pairs(inside)
    if both.sum() < FEWEST:
        raise PlateauInputError(
            f"the window {first:.0f} s to {last:.0f} s holds {int(both.sum())} seconds with both readings; "
            f"expected {FEWEST} or more: choose a longer window"
        )
    temperature = np.where(both, temperature, np.nan)
    pressure = np.where(both, pressure, np.nan)
    time = float(np.mean([b.time for b, ok in zip(inside, both, strict=True) if ok]))
    mean_t, mean_p = float(np.nanmean(temperature)), float(np.nanmean(pressure))
    swept = judgement.drift * (last - first) if math.isfinite(judgement.drift) else 0.0
    noise_t = _Noise(
        judgement.noise_temperature,
        judgement.correlation_temperature,
        max(b.quantum_temperature for b in inside),
        float(np.median([max(b.n_temperature, 1) for b in inside])),
        swept,
    )
    noise_p = _Noise(
        judgement.noise_pressure,
        judgement.correlation_pressure,
        max(b.quantum_pressure for b in inside),
        float(np.median([max(b.n_pressure, 1) for b in inside])),
        swept * judgement.beta if math.isfinite(judgement.beta) else 0.0,
    )
    u_t, u_p = noise_t.u_own(temperature), noise_p.u_own(pressure)
    course = judgement.course
    if course is not None:
        lag, u_lag = course.over(first, last)
        wander = wander_of_mean(course.wander, course.wander_time, last - first + 1.0)
        # The corrected temperature is a mean over a lag more than the window: its noise averages out further.
        smooth = noise_t.u_memory(int(both.sum()) + judgement.lag_time)
        u_smooth = min(u_t, smooth) if math.isfinite(smooth) else u_t
    else:
        lag, u_lag, wander, u_smooth = judgement.lag, judgement.u_lag, UNSEEN_WANDER, u_t
    if not (math.isfinite(lag) and math.isfinite(u_lag)):
        lag, u_lag = 0.0, 0.0
    still = judgement.channels["pressure"].still_to_come
    beta = judgement.beta
    to_come = still / beta if math.isfinite(still) and math.isfinite(beta) and beta > 0.0 else 0.0
    u_corrected = math.hypot(u_smooth, u_lag, LAG_SHARE * lag, REMAINING_SHARE * to_come, wander, PAIR_FLOOR)
    return PlateauPoint(
        time,
        mean_t,
        u_t,
        mean_t - lag,
        u_corrected,
        mean_p,
        u_p,
        0.0,
        lag,
        u_lag,
        judgement.drift,
        window,
        int(both.sum()),
    )
