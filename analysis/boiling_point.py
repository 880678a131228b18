"""The normal boiling point on the fitted line, with an interval that grows with the distance it was carried."""

from __future__ import annotations

import math

import numpy as np

from analysis.enthalpy_result import Estimate, line_at
from analysis.liquids import GAS_CONSTANT, Liquid
from analysis.map_fit import MapFit

STANDARD_PRESSURE = 101_325.0  # [Pa] the pressure a normal boiling point is for
FARTHEST = 150.0  # [K] beyond this an extrapolation says nothing
CLOSE = 1e-9  # [K] a search that moves by less has arrived
#: Relative uncertainty of the heat-capacity difference per kelvin carried: it is not constant (guessed from d2H/dT2 of
#: the shipped liquids, which is 0.3 to 0.7 % per kelvin of dCp).
CAPACITY_CHANGE = 0.005


def normal_boiling_point(fit: MapFit, liquid: Liquid | None, refused: bool) -> Estimate:
    """Where the fitted line reaches 101 325 Pa.  [K]

    The line carries curvature from dZ and the heat-capacity difference at the mean temperature; where the liquid is
    in the table, the curvature (never the level or the slope) of its saturation data is used instead.  Value None
    where the line does not get there within 150 K.
    """
    tm = fit.model.mean_temperature
    target = math.log(STANDARD_PRESSURE)
    low, high = tm - FARTHEST, tm + FARTHEST

    def level(x: float) -> float:
        return line_at_mean(fit, x) + _curvature_difference(fit, liquid, x)

    if not level(low) < target < level(high):
        return Estimate(None, None, None)
    value = tm
    for _ in range(60):  # 300 K halved 60 times is below the resolution of a float; Newton's steps take five or six
        off = level(value) - target
        low, high = (value, high) if off < 0 else (low, value)
        following = value - off * value**2 / (float(fit.theta[1]) * tm)
        following = following if low < following < high else 0.5 * (low + high)
        moved, value = abs(following - value), following
        if moved < CLOSE:
            break
    if refused:
        return Estimate(value, None, None)
    found = line_at(fit, value)
    slope = float(fit.theta[1]) * tm / value**2  # d(ln p)/dT
    away = value - tm
    shape = abs(tm / value - 1 + math.log(value / tm))
    u_capacity = CAPACITY_CHANGE * abs(away) * abs(fit.vapour.heat_capacity)
    extra = u_capacity / (GAS_CONSTANT * fit.vapour.dz) * shape / slope
    u = math.hypot(found.u / slope, extra)
    half = max(found.interval[1] - found.value, found.value - found.interval[0]) / found.u * u if found.u else 0.0
    return Estimate(value, u, (value - half, value + half))


def line_at_mean(fit: MapFit, temperature: float) -> float:
    """ln p on the line at the posterior mean.  [ln Pa]"""
    theta = fit.theta
    return float(np.log(fit.model.line(np.array([temperature]), theta, fit.vapour)[0]))


def _curvature_difference(fit: MapFit, liquid: Liquid | None, x: float) -> float:
    """What the reference curve bends beyond the parabola the fit uses; zero where no reference reaches that far."""
    tm, vapour = fit.model.mean_temperature, fit.vapour
    if liquid is None or liquid.saturation is None:
        return 0.0
    low, high = liquid.saturation.range
    if not low <= tm <= high:
        return 0.0
    x = min(max(x, low), high)
    s_ref = float(liquid.slope(tm))
    bend_ref = float(np.log(liquid.saturation_pressure(x) / liquid.saturation_pressure(tm))) + s_ref / GAS_CONSTANT * (
        1 / x - 1 / tm
    )
    s = float(fit.theta[1]) * GAS_CONSTANT * tm
    return bend_ref - vapour.slope_change(s) / GAS_CONSTANT * (tm / x - 1 + math.log(x / tm))
