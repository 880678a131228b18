"""The pressure of a cell in a drifting bath belongs to a slightly older temperature: by how much, and how surely."""

from __future__ import annotations

import math
from dataclasses import dataclass

#: Uncertainty of a lag-corrected pair that no other term accounts for.  [K]
PAIR_FLOOR = 0.003


@dataclass(frozen=True, slots=True)
class Lag:
    """Probe temperature minus the temperature that belongs to the pressure, with its standard uncertainty.  [K]"""

    lag: float
    u_lag: float


def slow_drift_lag(drift: float, u_drift: float, lag_time: float, u_lag_time: float) -> Lag:
    r"""Lag of a cell that follows a bath on a steady drift.

    On the slow manifold every first-order link trails its input by drift times its time constant, so the
    temperature that belongs to the pressure is :math:`T - \dot T \tau` with the effective lag time :math:`\tau`.

    Parameters
    ----------
    drift, u_drift : float
        Slow drift of the bath and its standard uncertainty.  [K/s]
    lag_time, u_lag_time : float
        Effective lag time of the pressure behind the probe, and its standard uncertainty.  [s]

    Returns
    -------
    Lag
        In kelvin; the product term of the two uncertainties is kept, it matters where the drift is near zero.

    Raises
    ------
    ValueError
        A negative uncertainty.
    """
    if u_drift < 0.0 or u_lag_time < 0.0:
        raise ValueError(f"uncertainties are {u_drift:g} K/s and {u_lag_time:g} s; expected none below zero")
    u = math.sqrt((drift * u_lag_time) ** 2 + (lag_time * u_drift) ** 2 + (u_drift * u_lag_time) ** 2)
    return Lag(drift * lag_time, u)


def wander_of_mean(wander: float, wander_time: float, seconds: float) -> float:
    r"""Standard deviation of the mean over some seconds of what wanders with a correlation time.

    For an exponential correlation :math:`e^{-t/\tau}` the variance of a mean over :math:`w` is
    :math:`\sigma^2\,(2\tau/w)\,[1 - (\tau/w)(1 - e^{-w/\tau})]`.

    Parameters
    ----------
    wander : float
        Standard deviation of a single moment.  [any unit]
    wander_time : float
        Correlation time.  [s]
    seconds : float
        Length of the window.  [s]
    """
    x = max(seconds, 1e-3) / wander_time
    return wander * math.sqrt(2.0 / x * (1.0 + math.expm1(-x) / x))
