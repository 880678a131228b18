"""Antoine's three constants and Clapeyron's equation: a second road to the enthalpy, for many points over a wide range.

It shares nothing with the fit but the vapour pressures and dZ, so agreement means something.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.least_squares import fit_nonlinear_equal_u
from analysis.line_fit import fit_line_equal_u
from analysis.liquids import GAS_CONSTANT
from analysis.refusal import FitRefused

Array = NDArray[np.float64]
LEAST_POINTS = 5  # three constants and something left to judge them by
MOST_C = 200.0  # [K] liquids have -20 to -100 K; far beyond, the equation has lost its bend
LEAST_SPAN = 15.0  # [K] below this the curvature cannot be told from noise


@dataclass(frozen=True, slots=True)
class Antoine:
    """ln(p/Pa) = a - b/(T + c) with the covariance of (a, b, c).

    Parameters
    ----------
    a, b, c : float
        [1], [K], [K]
    covariance : array
        Shape (3, 3), from the scatter of the points.
    residual_sd : float
        Of ln p.
    """

    a: float
    b: float
    c: float
    covariance: Array
    residual_sd: float

    def pressure(self, temperature: float) -> float:
        """Vapour pressure.  [Pa]"""
        return math.exp(self.a - self.b / (temperature + self.c))

    def slope(self, temperature: float) -> tuple[float, float]:
        """Apparent enthalpy R T^2 d(ln p)/dT = R b T^2/(T + c)^2 and its standard uncertainty.  [J/mol]"""
        t, shifted = temperature, temperature + self.c
        value = GAS_CONSTANT * self.b * (t / shifted) ** 2
        gradient = np.array([0.0, value / self.b, -2 * value / shifted])
        return value, math.sqrt(float(gradient @ self.covariance @ gradient))

    def enthalpy_vap(self, temperature: float, dz: float) -> tuple[float, float]:
        """Clapeyron: slope times dZ, and its standard uncertainty from the scatter alone.  [J/mol]"""
        value, u = self.slope(temperature)
        return value * dz, u * dz


def fit_antoine(temperature: Sequence[float] | ArrayLike, pressure: Sequence[float] | ArrayLike) -> Antoine:
    """Least squares of ln p on Antoine's equation, every ln p equally uncertain.

    Parameters
    ----------
    temperature, pressure
        Shape (n,), at least five points over at least 15 K; vapour alone, air subtracted.  [K], [Pa]

    References
    ----------
    .. [1] ASTM E2071, "Standard Practice for Calculating Heat of Vaporization or Sublimation from Vapor Pressure Data":
       Antoine's equation fitted, then Clapeyron's with the change of compressibility (from memory).
    """
    t, p = np.asarray(temperature, dtype=float), np.asarray(pressure, dtype=float)
    if len(t) < LEAST_POINTS or np.ptp(t) < LEAST_SPAN:
        span = float(np.ptp(t)) if len(t) else 0.0
        raise FitRefused(
            "antoine-too-little", points=len(t), span=span, least_points=LEAST_POINTS, least_span=LEAST_SPAN
        )
    if np.any(~(p > 0)):
        bad = int(np.flatnonzero(~(p > 0))[0])
        raise FitRefused("vapour-not-positive", point=str(bad + 1), pressure=float(p[bad]))
    line = fit_line_equal_u(1 / t, np.log(p))
    c = -40.0  # usual for molecular liquids: between -30 and -60 K
    tm = float(np.mean(t))
    b = -line.slope * ((tm + c) / tm) ** 2
    start = (line.intercept + line.slope / tm + b / (tm + c), b, c)
    fit = fit_nonlinear_equal_u(lambda x, k: k[0] - k[1] / (x + k[2]), t, np.log(p), start)
    a, b, c = (float(v) for v in fit.coefficients)
    if not (b > 0 and tm + c > 0 and abs(c) < MOST_C):
        raise FitRefused("antoine-curved-wrong", b=b, c=c, most_c=MOST_C)
    return Antoine(a, b, c, fit.covariance, fit.residual_sd)
