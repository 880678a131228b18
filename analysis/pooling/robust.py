"""Robust location and scale (algorithm A) and performance scores of one result against an assigned value."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

_LIMIT = 1.5  # winsorising at 1.5 s*, ISO 13528, C.3
_MAD = 1.483  # median absolute deviation to standard deviation, as printed in ISO 13528
_SCALE = 1.134  # makes s* right for normal data after winsorising at 1.5 s*, as printed in ISO 13528


@dataclass(frozen=True)
class RobustMean:
    """Robust mean x*, standard deviation s*, and u(x*) = 1.25 s*/sqrt(p) (ISO 13528:2015, 7.7.3)."""

    mean: float
    deviation: float
    u_mean: float
    count: int
    iterations: int


def algorithm_a(values: ArrayLike, *, tolerance: float = 1e-9, most_iterations: int = 200) -> RobustMean:
    """Robust mean and standard deviation by iterated winsorising.

    Parameters
    ----------
    values : array_like, shape (p,)
        Results, any unit.
    tolerance : float
        Relative change of s* at which the iteration stops.  The standard stops at the third significant figure.

    Raises
    ------
    ValueError
        Fewer than three values.

    Notes
    -----
    Where more than half of the values are equal the starting scale is zero; the mean absolute deviation (scaled for
    normal data) starts the iteration then.

    References
    ----------
    .. [1] ISO 13528:2005, C.1, equations C.1 to C.6; the same in ISO 5725-5:1998.
    """
    data = np.asarray(values, float)
    if not data.size >= 3:
        raise ValueError(f"a robust mean needs at least three values; got {data.size}")
    mean = float(np.median(data))
    deviation = _MAD * float(np.median(np.abs(data - mean)))
    if deviation == 0:
        deviation = math.sqrt(math.pi / 2) * float(np.mean(np.abs(data - mean)))
    iterations = 0
    while deviation > 0 and iterations < most_iterations:
        iterations += 1
        clipped = np.clip(data, mean - _LIMIT * deviation, mean + _LIMIT * deviation)
        previous, mean = deviation, float(clipped.mean())
        deviation = _SCALE * float(np.std(clipped, ddof=1))
        if abs(deviation - previous) <= tolerance * deviation:
            break
    return RobustMean(mean, deviation, 1.25 * deviation / math.sqrt(data.size), data.size, iterations)


def z_score(value: float, assigned: float, deviation: float) -> float:
    """(x - X)/sigma.  2 to 3 is a warning, 3 and above calls for action.  (ISO 13528:2015, 9.4)"""
    return (value - assigned) / deviation


def z_prime_score(value: float, assigned: float, deviation: float, u_assigned: float) -> float:
    """z with the uncertainty of the assigned value added.  (ISO 13528:2015, 9.5)"""
    return (value - assigned) / math.hypot(deviation, u_assigned)


def zeta_score(value: float, u_value: float, assigned: float, u_assigned: float, covariance: float = 0.0) -> float:
    """Is the deviation covered by the claimed standard uncertainties?  (ISO 13528:2015, 9.6)

    `covariance` is that of the value with the assigned value: not zero when the value helped to make the assigned
    one, or when both share an instrument.
    """
    return (value - assigned) / math.sqrt(u_value**2 + u_assigned**2 - 2.0 * covariance)


def e_n_score(value: float, expanded_value: float, assigned: float, expanded_assigned: float) -> float:
    """(x - X)/sqrt(U(x)**2 + U(X)**2) with 95 % expanded uncertainties; beyond 1 calls for action.

    References
    ----------
    .. [1] ISO 13528:2015, 9.7; ISO/IEC 17043:2010, B.4.1.1.
    """
    return (value - assigned) / math.hypot(expanded_value, expanded_assigned)
