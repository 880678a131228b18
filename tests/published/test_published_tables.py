"""The fit on published saturation tables of eleven liquids (sources in check_values.py)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.constants import R

from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import load_liquid
from tests.published.check_values import CHECK_VALUES, TEMPERATURES

#: Relative standard uncertainty taken for each tabulated pressure, what the two kinds of sources differ by at most.
U_TABLE = 0.001
TIGHT = [name for name in CHECK_VALUES if name != "propan-2-ol"]


def fit_of_table(name: str, temperatures=TEMPERATURES, u: float = U_TABLE):
    pressures = [1e3 * p for p in CHECK_VALUES[name][0]]
    points = [FitPoint(t, p, 0.0, u * p) for t, p in zip(temperatures, pressures, strict=True)]
    return fit_enthalpy(points, air="none", sensors=SensorPriors.none(), liquid=load_liquid(name))


@pytest.mark.parametrize("name", CHECK_VALUES)
def test_the_slope_agrees_with_the_tables_own_slope(name):
    fit = fit_of_table(name)
    tm = fit.method["mean_temperature"]
    # The table's own slope at the mean temperature: derivative of the polynomial through all five of its points.
    x = 1 / np.array(TEMPERATURES) - 1 / tm
    through = np.polynomial.Polynomial.fit(x, np.log(CHECK_VALUES[name][0]), 4)
    assert fit.method["apparent_enthalpy"] == pytest.approx(-R * through.deriv()(0.0), rel=1e-3)


@pytest.mark.parametrize("name", [n for n in CHECK_VALUES if n not in ("ethyl acetate", "propan-2-ol")])
def test_the_slope_carried_to_room_temperature_agrees_with_the_reference_equation(name):
    # Left out: the two liquids whose curvature comes from Antoine constants, which do not carry heat capacities.
    fit = fit_of_table(name)
    dz, s = fit.method["dz"], fit.method["apparent_enthalpy"]
    change = fit.method["heat_capacity_difference"] / dz - s * fit.fit.vapour.dz_slope / dz
    slope = s + change * (298.15 - fit.method["mean_temperature"])
    assert slope == pytest.approx(1e3 * CHECK_VALUES[name][3], rel=1e-3)


@pytest.mark.parametrize("name", TIGHT)
def test_the_calorimetric_value_lies_inside_the_interval(name):
    low, high = fit_of_table(name).at_298_15.interval_95
    assert low < 1e3 * CHECK_VALUES[name][1] < high


@pytest.mark.parametrize("name", TIGHT)
def test_the_value_is_within_half_a_per_cent_of_calorimetry(name):
    # dZ sources differ by 0.3 to 0.5 %, the floor of any result from p(T).
    assert fit_of_table(name).at_298_15.value == pytest.approx(1e3 * CHECK_VALUES[name][1], rel=5e-3)


@pytest.mark.parametrize("name", ["methanol", "acetone", "n-hexane", "n-pentane", "diethyl ether"])
def test_the_slope_alone_is_too_high_and_the_fit_says_so(name):
    fit = fit_of_table(name)
    reference = 1e3 * CHECK_VALUES[name][1]
    assert fit.textbook_line.enthalpy_vap > reference
    assert not fit.textbook_line.interval_95[0] < reference < fit.textbook_line.interval_95[1]
    found = {f.code: f for f in fit.findings}["vapour-not-ideal"]
    assert found.effect == pytest.approx(fit.method["apparent_enthalpy"] - fit.enthalpy_vap.value, rel=1e-6)


@pytest.mark.parametrize("name", TIGHT)
def test_the_normal_boiling_point_lies_inside_its_interval(name):
    found = fit_of_table(name).normal_boiling_point
    # Tables of boiling points differ by up to 0.05 K among themselves (diethyl ether 307.55 and 307.60 K).
    assert found.interval_95[0] - 0.05 < CHECK_VALUES[name][2] < found.interval_95[1] + 0.05
    assert found.value == pytest.approx(CHECK_VALUES[name][2], abs=0.5)


def test_a_line_through_two_points_by_hand_gives_the_same_slope():
    # Clausius and Clapeyron between the ends of the n-heptane table, by hand: R ln(p2/p1) / (1/T1 - 1/T2).
    import math

    p = CHECK_VALUES["n-heptane"][0]
    by_hand = R * math.log(p[-1] / p[0]) / (1 / TEMPERATURES[0] - 1 / TEMPERATURES[-1])
    assert fit_of_table("n-heptane").method["apparent_enthalpy"] == pytest.approx(by_hand, rel=5e-4)
