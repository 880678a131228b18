"""Results of one bench over time: trend, control chart of single values, and of their weighted moving average."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_MOVING_RANGE = 1.128  # mean range of two normal values over their standard deviation (d2), any table of constants
_SIGMAS = 3.0


@dataclass(frozen=True)
class Signal:
    """A point of a chart that calls for a look."""

    index: int
    rule: str


@dataclass(frozen=True)
class ControlChart:
    """Centre, limits and signals, all in the unit of the values.

    `deviation` is the short-term standard deviation the limits were made of.
    """

    centre: float
    deviation: float
    lower: float
    upper: float
    values: Floats
    signals: tuple[Signal, ...]


@dataclass(frozen=True)
class AverageChart:
    """Weighted moving average with its limits at each point, shape (n,)."""

    centre: float
    values: Floats
    lower: Floats
    upper: Floats
    signals: tuple[Signal, ...]


@dataclass(frozen=True)
class Trend:
    """Slope per unit of time with its 95 % interval; `p_value` for no slope."""

    slope: float
    u_slope: float
    interval_95: tuple[float, float]
    p_value: float
    count: int

    @property
    def significant(self) -> bool:
        return self.p_value < 0.01


def control_chart(
    values: ArrayLike, *, centre: float | None = None, deviation: float | None = None, run_length: int = 8
) -> ControlChart:
    r"""Shewhart's chart of single values in order of time.

    .. math:: \bar x \pm 3 \overline{MR} / 1.128

    Parameters
    ----------
    values : array_like, shape (n,)
        In order of time.
    centre, deviation : float
        From an earlier period; without them they are made of these values, the deviation from the mean moving range.
    run_length : int
        So many values in a row on one side of the centre are a signal (common practice; one in 2**7 runs of eight by
        chance).

    Raises
    ------
    ValueError
        Fewer than three values.

    References
    ----------
    .. [1] ISO 7870-2:2013, charts for individuals; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
    """
    data = np.asarray(values, float)
    if not len(data) >= 3:
        raise ValueError(f"a control chart needs at least three values; got {len(data)}")
    middle = float(data.mean()) if centre is None else centre
    spread = float(np.mean(np.abs(np.diff(data)))) / _MOVING_RANGE if deviation is None else deviation
    lower, upper = middle - _SIGMAS * spread, middle + _SIGMAS * spread
    signals = [Signal(i, "beyond the limits") for i in np.flatnonzero((data < lower) | (data > upper)).tolist()]
    side = np.sign(data - middle)
    length = 0
    for i in range(len(side)):
        length = length + 1 if i and side[i] == side[i - 1] != 0 else 1
        if length == run_length:
            signals.append(Signal(i, f"{run_length} in a row on one side"))
    return ControlChart(middle, spread, lower, upper, data, tuple(sorted(signals, key=lambda s: s.index)))


def average_chart(
    values: ArrayLike, *, centre: float, deviation: float, weight: float = 0.2, sigmas: float = 3.0, exact: bool = True
) -> AverageChart:
    r"""Exponentially weighted moving average, for slow changes that no single value shows.

    .. math:: z_i = \lambda x_i + (1-\lambda) z_{i-1}, \quad
        \sigma_z^2 = \sigma^2 \frac{\lambda}{2-\lambda} [1 - (1-\lambda)^{2i}]

    Parameters
    ----------
    weight : float
        :math:`\lambda`, 0 to 1.
    exact : bool
        False: limits of an endless chart from the first point on.

    References
    ----------
    .. [1] S. W. Roberts, Technometrics 1 (1959) 239-250; NIST/SEMATECH e-Handbook, 6.3.2.4.
    """
    if not 0 < weight <= 1:
        raise ValueError(f"the weight of the moving average is {weight:g}; it must be above 0 and at most 1")
    data = np.asarray(values, float)
    average = np.empty(len(data))
    last = centre
    for i, value in enumerate(data):
        last = weight * float(value) + (1 - weight) * last
        average[i] = last
    settled = 1.0 - (1 - weight) ** (2 * np.arange(1, len(data) + 1)) if exact else np.ones(len(data))
    half = sigmas * deviation * np.sqrt(weight / (2 - weight) * settled)
    beyond = np.flatnonzero(np.abs(average - centre) > half)
    return AverageChart(
        centre,
        average,
        centre - half,
        centre + half,
        tuple(Signal(int(i), "average beyond the limits") for i in beyond),
    )


def trend(time: ArrayLike, values: ArrayLike, u: ArrayLike | None = None) -> Trend:
    """Weighted straight line through values over time; the scatter about the line sets the uncertainty.

    What all values share (one set of liquid data, one thermometer) moves the line but not its slope; `u` are
    therefore the uncertainties of the values without it.

    Raises
    ------
    ValueError
        Fewer than three values, or all at one time.
    """
    from scipy.stats import t as student

    x, y = np.asarray(time, float), np.asarray(values, float)
    if not (len(x) >= 3 and np.ptp(x) > 0):
        raise ValueError(f"a trend needs at least three values at different times; got {len(x)}")
    w = np.ones(len(x)) if u is None else 1.0 / np.asarray(u, float) ** 2
    centre = float(w @ x / w.sum())
    spread = float(w @ (x - centre) ** 2)
    slope = float(w @ ((x - centre) * y)) / spread
    residual = y - float(w @ y / w.sum()) - slope * (x - centre)
    dof = len(x) - 2
    variance = float(w @ residual**2) / dof / spread
    u_slope = math.sqrt(variance)
    half = float(student.isf(0.025, dof)) * u_slope
    p_value = 2.0 * float(student.sf(abs(slope) / u_slope, dof)) if u_slope > 0 else float(slope == 0)
    return Trend(slope, u_slope, (slope - half, slope + half), p_value, len(x))
