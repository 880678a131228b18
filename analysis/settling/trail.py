"""A bounded memory of the last blocks, giving contiguous arrays; and straight lines through them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Rows of a trail: time, temperature, pressure, and the two with disturbed blocks taken out.
TIME, T_RAW, P_RAW, T_GOOD, P_GOOD = range(5)


class Trail:
    """The last `capacity` blocks as columns of one array, oldest first.

    Guarantees
    ----------
    - Memory is bounded; appending is O(1) on average.
    - `last(n)` is a view, valid until the next append.
    """

    def __init__(self, capacity: int = 1200, rows: int = 5) -> None:
        self._data = np.full((rows, 2 * capacity), np.nan)
        self._capacity = capacity
        self._end = 0

    def __len__(self) -> int:
        return min(self._end, self._capacity)

    def append(self, *values: float) -> None:
        if self._end == self._data.shape[1]:
            self._data[:, : self._capacity] = self._data[:, self._capacity :]
            self._end = self._capacity
        self._data[:, self._end] = values
        self._end += 1

    def last(self, n: int) -> Array:
        """The last n blocks (fewer if there are not so many), shape (rows, n)."""
        n = min(n, len(self))
        return self._data[:, self._end - n : self._end]

    def clear(self) -> None:
        self._end = 0


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line through correlated block means.

    `value` is at the last time, `mean` at the mean time; `sd` and `correlation` are of the residuals (lag
    one); the ``u_...`` allow for the correlation as for an AR(1) process.
    """

    n: int
    mean: float
    value: float
    slope: float
    u_mean: float
    u_value: float
    u_slope: float
    sd: float
    correlation: float


def lag_one(residual: Array, window: float | None = None) -> float:
    """Lag-one correlation of residuals about a line, corrected for the bias of a short window.

    The residuals of a fitted line are biased towards negative correlation by about 2/W, and the estimate
    shrinks by 4/W; both are undone.  Pairs across a missing block (NaN) are left out.
    """
    a, b = residual[:-1], residual[1:]
    both = np.isfinite(a) & np.isfinite(b)
    if both.sum() < 8:
        return 0.0
    a, b = a[both], b[both]
    variance = 0.5 * float(a @ a + b @ b)
    if variance <= 0.0:
        return 0.0
    w = float(window or len(a))
    raw = float(a @ b) / variance
    return min(max((raw + 2.0 / w) / max(1.0 - 4.0 / w, 0.2), 0.0), 0.95)


def quantisation_error(quantum: float, sd: float) -> float:
    """Standard deviation of what rounding leaves in a mean when noise of `sd` dithers a code of `quantum`.

    The first term of the Fourier series of the rounding error, q/(pi sqrt 2) exp(-2 pi^2 sd^2/q^2); without noise
    it comes near to q/sqrt(12).  From memory.
    """
    if quantum <= 0.0:
        return 0.0
    return quantum / (np.pi * np.sqrt(2.0)) * float(np.exp(-2.0 * (np.pi * min(sd / quantum, 5.0)) ** 2))


def rounding_of_mean(quantum: float, sd: float, factor: float, readings: float, swept: float = 0.0) -> float:
    """Standard deviation of what rounding leaves in a mean of block means.

    Parameters
    ----------
    quantum : float
        Step of the code.
    sd, factor : float
        Standard deviation of the block means, and (1 + r) / (1 - r) of their correlation r.
    readings : float
        Readings in a block: these single readings dither the code.
    swept : float
        How far a drift carries the readings within the mean: over whole codes rounding errors cancel.
    """
    if quantum <= 0.0:
        return 0.0
    # The scatter of codes holds that of rounding itself, q^2/12 (Sheppard's correction): what is left dithers.
    dither = sd * sd * readings / factor - quantum * quantum / 12.0
    left = quantisation_error(quantum, float(np.sqrt(max(dither, 0.0))))
    return left * min(quantum / (np.pi * abs(swept)), 1.0) if swept else left


def fit_line(time: Array, value: Array, *, quantum: float = 0.0, sd_floor: float = 0.0) -> Line | None:
    """Least-squares line with AR(1)-corrected uncertainties; None with fewer than 8 good blocks.

    Parameters
    ----------
    time, value : array, shape (n,)
        NaN values are left out.
    quantum : float
        Step of the sensor's code: an unchanged code is no proof of zero slope.  [unit of value]
    sd_floor : float
        The block noise is not believed to be smaller than this.  [unit of value]
    """
    good = np.isfinite(value)
    n = int(good.sum())
    if n < 8:
        return None
    t, y = (time, value) if n == len(value) else (time[good], value[good])
    t_mean = float(t.mean())
    dt = t - t_mean
    sxx = float(dt @ dt)
    mean = float(y.mean())
    slope = float(dt @ (y - mean)) / sxx
    residual = np.full(len(value), np.nan)
    residual[good] = y - mean - slope * dt
    rest = residual[good]
    sd = max(float(np.sqrt(rest @ rest / (n - 2))), sd_floor)
    correlation = lag_one(residual)
    factor = (1.0 + correlation) / (1.0 - correlation)
    rounding = quantisation_error(quantum, sd)
    u_mean = np.hypot(sd * np.sqrt(factor / n), rounding)
    # Rounding errors at the two ends of the window are independent when the trace crosses many codes and are
    # never larger than that; sqrt(12)/W turns such a spread of values into one of slopes.
    u_slope = np.hypot(sd * np.sqrt(factor / sxx), rounding * np.sqrt(12.0) / (t[-1] - t[0]))
    reach = float(t[-1] - t_mean)
    u_value = np.hypot(u_mean, u_slope * reach)
    return Line(n, mean, mean + slope * reach, slope, float(u_mean), float(u_value), float(u_slope), sd, correlation)
