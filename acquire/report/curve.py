"""The fitted saturation line with its band, from what a fit reports; computes nothing new about the run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from acquire.record import PointRecord

GAS_CONSTANT = 8.314462618  # [J/(mol K)] 2019 SI, exact to the digits given
COVERAGE = 1.96  # 95 % of a normal distribution


@dataclass(frozen=True)
class SaturationCurve:
    """ln(p/Pa) over 1/T with the edges of a 95 % band; arrays of one shape."""

    inverse_temperature: NDArray[np.float64]  # [1/K]
    log_pressure: NDArray[np.float64]
    log_low: NDArray[np.float64]
    log_high: NDArray[np.float64]


def usable(points: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """The points with a vapour pressure above zero: the others have no logarithm and no place on the line."""
    return [point for point in points if point["pressure_vapour"] > 0]


def fitted_pressure(point: Mapping[str, Any]) -> float:
    """Vapour pressure of the fitted curve at this point.  [Pa]"""
    return float(point["pressure_vapour"]) - float(point.get("residual") or 0.0)


def saturation_curve(fit: Mapping[str, Any], steps: int = 80) -> SaturationCurve | None:
    """The fitted curve over the range of the points and a tenth more; None for fewer than two usable points.

    The curve is a parabola in 1/T through the fitted pressures themselves, so it is the fit's own curve to well
    below the width of a line whatever its parameters are.  The band has the fitted slope's uncertainty about the
    middle of the points and, at the middle, the mean relative uncertainty of the vapour pressures.
    """
    used = [point for point in usable(fit["points"]) if point["used"] and fitted_pressure(point) > 0]
    inverse = np.array([1.0 / point["temperature"] for point in used])
    if len(np.unique(inverse)) < 2:
        return None
    middle = float(inverse.mean())
    fitted = np.log([fitted_pressure(point) for point in used])
    degree = 2 if len(np.unique(inverse)) > 2 else 1
    curve = np.polynomial.Polynomial.fit(inverse, fitted, degree)
    reach = 0.1 * float(np.ptp(inverse))
    x = np.linspace(inverse.min() - reach, inverse.max() + reach, steps)
    relative = float(np.mean([_u_vapour(point) / point["pressure_vapour"] for point in used]))
    u_slope = float(fit["enthalpy_vap"].get("standard_uncertainty") or 0.0) / GAS_CONSTANT
    half = COVERAGE * np.hypot(relative, (x - middle) * u_slope)
    y = curve(x)
    return SaturationCurve(x, y, y - half, y + half)


def _u_vapour(point: Mapping[str, Any]) -> float:
    for key in ("u_pressure_vapour", "u_pressure", "u_pressure_total"):
        if point.get(key):
            return float(point[key])
    return 0.0


def textbook_log_pressure(fit: Mapping[str, Any], inverse_temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    """ln(p/Pa) of the straight line through ln p."""
    line = fit["textbook_line"]
    return float(line["intercept"]) + float(line["slope"]) * inverse_temperature


def total_slopes(points: Sequence[PointRecord], fit: Mapping[str, Any] | None) -> dict[int, float]:
    """dp/dT of the cell at each point, by point number: of the vapour as fitted and of the air.  [Pa/K]

    Without a fit, of a gas alone: less than the truth, so that a deviation never looks smaller than it is.
    """
    slopes = {point.number: point.pressure / point.temperature for point in points}
    if fit is None or len(fit["points"]) != len(points):
        return slopes
    for record, point in zip(points, fit["points"], strict=True):
        if point["pressure_vapour"] > 0 and fit["textbook_line"].get("slope") is not None:
            vapour = -float(fit["textbook_line"]["slope"]) * float(point["pressure_vapour"]) / record.temperature**2
            air = float(point.get("pressure_air") or 0.0) / record.temperature
            slopes[record.number] = vapour + air
    return slopes
