"""Slow drift and vanishing transient of the bath temperature: a + c t + b exp(-t/tau), tau averaged over."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from analysis.settling.trail import Array, lag_one, quantisation_error

#: Windows over which a value may be taken.  [s]
VALUE_WINDOWS = (10, 20, 40, 60, 90)
#: Time constants of mixing plus probe that are weighed against each other.  [s]
TRANSIENTS = np.array([6.0, 10.0, 16.0, 26.0])


@dataclass(frozen=True, slots=True)
class Drift:
    """The drift of a trace at its last block.

    Parameters
    ----------
    value, slope
        Smooth value (transient included) and slope of the slow part at the last time.
    remaining
        What the transient still will change; all with standard uncertainties in the ``u_...`` fields.
    recent
        Mean of readings minus fit over the last blocks of each of the value windows.
    """

    n: int
    value: float
    slope: float
    remaining: float
    u_value: float
    u_slope: float
    u_remaining: float
    sd: float
    correlation: float
    time_constant: float
    recent: tuple[float, ...] = ()


@lru_cache(maxsize=400)
def _design(n: int) -> tuple[Array, Array, Array]:
    """Regressors (tau, n, 3), their transpose (tau, 3, n) and (X'X)^-1 (tau, 3, 3) for n gapless blocks."""
    age = np.arange(n, dtype=float) - (n - 1)  # 0 at the last block
    start = age + (n - 1)
    x = np.stack(
        [
            np.broadcast_to(np.ones(n), (len(TRANSIENTS), n)),
            np.broadcast_to(age, (len(TRANSIENTS), n)),
            np.exp(-start / TRANSIENTS[:, None]),
        ],
        axis=-1,
    )
    transposed = np.ascontiguousarray(np.swapaxes(x, 1, 2))
    return x, transposed, np.linalg.inv(transposed @ x)


def fit_drift(value: Array, *, sd_floor: float = 0.0, quantum: float = 0.0) -> Drift | None:
    """Fit the last blocks of a trace (one per second, NaN = missing); None with fewer than 12 good ones.

    Parameters
    ----------
    value : array, shape (n,)
    sd_floor : float
        The block noise is not believed to be smaller than this.  [unit of value]
    quantum : float
        Step of the sensor's code.  [unit of value]
    """
    n = len(value)
    good = np.isfinite(value)
    count = int(good.sum())
    if count < 12 or not good[-8:].any():
        return None
    x, transposed, inverse = _design(n)
    if count < n:
        value = value[good]
        x, transposed = x[:, good], transposed[:, :, good]
        inverse = np.asarray(np.linalg.inv(transposed @ x), float)
    base = float(value.sum()) / count
    y = value - base
    theta, best, squares = _best(transposed, inverse, y)
    rest = y - x[best] @ theta[best]
    sd = max(math.sqrt(float(rest @ rest) / max(count - 3, 1)), sd_floor)
    if count < n:
        spread = np.full(n, np.nan)
        spread[good] = rest
    else:
        spread = rest
    correlation = lag_one(spread)
    factor = (1.0 + correlation) / (1.0 - correlation)
    weight: NDArray[np.floating]
    if sd <= 0.0:
        weight = np.full(len(TRANSIENTS), 1.0 / len(TRANSIENTS))
    else:
        weight = np.exp(-0.5 * (squares - squares[best]) / (sd * sd * factor))
        weight /= weight.sum()
    fade = np.exp(-(n - 1) / TRANSIENTS)
    rounding = quantisation_error(quantum, sd)
    variance = sd * sd * factor
    remaining = -theta[:, 2] * fade

    def pooled(each: NDArray[np.floating], own: NDArray[np.floating]) -> tuple[float, float]:
        mean = float(weight @ each)
        return mean, float(np.sqrt(weight @ (own + (each - mean) ** 2)))

    slope, u_slope = pooled(theta[:, 1], variance * inverse[:, 1, 1])
    left, u_left = pooled(remaining, variance * inverse[:, 2, 2] * fade**2)
    now = theta[:, 0] + theta[:, 2] * fade
    own = inverse[:, 0, 0] + 2.0 * fade * inverse[:, 0, 2] + fade**2 * inverse[:, 2, 2]
    at_end, u_end = pooled(now, variance * own)
    return Drift(
        count,
        base + at_end,
        slope,
        left,
        float(np.hypot(u_end, rounding)),
        float(np.hypot(u_slope, rounding * np.sqrt(12.0) / max(n - 1, 1))),
        float(np.hypot(u_left, rounding)),
        sd,
        correlation,
        float(weight @ TRANSIENTS),
        _means_of_last(rest, good),
    )


def _best(transposed: Array, inverse: Array, y: Array) -> tuple[Array, int, Array]:
    """Coefficients (tau, 3), which tau leaves the least, and the sums of squares that each leaves (tau,)."""
    moments: Array = transposed @ y
    theta = (inverse @ moments[:, :, None])[:, :, 0]
    squares = np.maximum(float(y @ y) - (theta * moments).sum(axis=1), 0.0)
    return theta, int(squares.argmin()), squares


def _means_of_last(rest: Array, good: NDArray[np.bool_]) -> tuple[float, ...]:
    """Means over the last seconds of each value window; `rest` holds the good seconds only."""
    sums = np.concatenate([[0.0], np.cumsum(rest)])
    counts = np.concatenate([[0], np.cumsum(good)])
    before = counts[[max(len(good) - w, 0) for w in VALUE_WINDOWS]]
    return tuple(((sums[-1] - sums[before]) / np.maximum(counts[-1] - before, 1)).tolist())


def residual_of(value: Array, *, transient: bool = True) -> Array | None:
    """What the best drift leaves of the blocks, shape (n,), NaN where missing; None with fewer than 40 good ones.

    Without `transient` the drift is a straight line: then a slow cycle cannot hide in a bend.
    """
    n = len(value)
    good = np.isfinite(value)
    if good.sum() < 40:
        return None
    if not transient:
        age = np.flatnonzero(good) - 0.5 * (n - 1)
        age -= age.mean()
        y = value[good] - value[good].mean()
        out = np.full(n, np.nan)
        out[good] = y - age * (float(age @ y) / float(age @ age))
        return out
    x, transposed, inverse = _design(n)
    if good.sum() < n:
        x, transposed = x[:, good], transposed[:, :, good]
        inverse = np.asarray(np.linalg.inv(transposed @ x), float)
    y = value[good] - value[good].mean()
    theta, best, _ = _best(transposed, inverse, y)
    out = np.full(n, np.nan)
    out[good] = y - x[best] @ theta[best]
    return out
