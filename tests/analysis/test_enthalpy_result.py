"""Predictions along the fitted line."""

from __future__ import annotations

import math

import numpy as np
import pytest

from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import GAS_CONSTANT, load_liquid
from tests.analysis.made_runs import BASELINE, SENSORS, SETUP, made_points

HEPTANE = load_liquid("n-heptane")
FIT = fit_enthalpy(made_points("n-heptane"), baseline=BASELINE, setup=SETUP, sensors=SENSORS, liquid=HEPTANE)


@pytest.mark.parametrize("temperature", [290.0, 303.15, 318.0])
def test_the_line_predicts_the_pressures_it_was_made_of(temperature):
    found = FIT.predict_pressure(temperature)
    assert found.value == pytest.approx(float(HEPTANE.saturation_pressure(temperature)), rel=5e-3)
    assert found.interval_95[0] < float(HEPTANE.saturation_pressure(temperature)) < found.interval_95[1]


def test_the_band_is_narrowest_where_the_points_are_and_widens_beyond():
    t = np.array([283.15, 303.15, 343.15])
    value, low, high = FIT.band(t)
    width = np.log(high / low)
    assert width[1] < width[0]
    assert width[1] < width[2]
    assert np.all((low < value) & (value < high))


def test_the_band_keeps_the_shape_it_was_asked_for():
    value, low, high = FIT.band(np.full((2, 3), 300.0))
    assert value.shape == low.shape == high.shape == (2, 3)


def test_the_slope_of_the_line_is_the_apparent_enthalpy():
    tm, h = FIT.enthalpy_vap.temperature, 0.01
    rise = FIT.predict_ln_pressure(tm + h).value - FIT.predict_ln_pressure(tm - h).value
    assert rise / (2 * h) * GAS_CONSTANT * tm**2 == pytest.approx(FIT.method["apparent_enthalpy"], rel=1e-4)


@pytest.mark.parametrize("temperature", [math.nan, 50.0, 2000.0])
def test_a_line_is_not_drawn_to_absurd_temperatures(temperature):
    with pytest.raises(ValueError, match="from 100 K to 1000 K"):
        FIT.predict_pressure(temperature)


def test_the_normal_boiling_point_is_where_the_line_reaches_one_atmosphere():
    found = FIT.normal_boiling_point
    assert found.value == pytest.approx(371.53, abs=1.5)
    assert found.interval_95[0] < 371.53 < found.interval_95[1]


def test_a_boiling_point_too_far_away_is_not_given():
    low = [FitPoint(300.0 + 5 * k, 5.0 * math.exp(0.05 * k), 0.03, 0.02) for k in range(5)]
    fit = fit_enthalpy(low, air="none", sensors=SensorPriors.none())
    assert fit.normal_boiling_point.value is None
    assert fit.as_dict()["normal_boiling_point"]["value"] is None


def test_a_boiling_point_further_away_is_less_certain():
    near = fit_enthalpy(
        made_points("n-heptane", (315.15, 321.15, 327.15, 333.15, 339.15)),
        baseline=BASELINE, setup=SETUP, sensors=SENSORS, liquid=HEPTANE,
    ).normal_boiling_point  # fmt: skip
    assert near.standard_uncertainty < 0.5 * FIT.normal_boiling_point.standard_uncertainty


def test_pulls_are_small_where_everything_is_as_told():
    assert max(abs(z) for z in FIT.pulls.values()) < 0.05
    assert set(FIT.pulls) == {e.label for e in FIT.fit.model.errors}


def test_antoine_and_clapeyron_are_a_second_road_to_the_same_value():
    value, _ = FIT.by_antoine()
    assert value == pytest.approx(FIT.enthalpy_vap.value, rel=5e-3)


def test_the_covariance_is_that_of_level_and_slope():
    tm = FIT.enthalpy_vap.temperature
    covariance = FIT.covariance
    assert math.sqrt(covariance[0, 0]) == pytest.approx(FIT.predict_ln_pressure(tm).u, rel=1e-6)
    # The value is the slope times dZ; what dZ itself brings is not in the slope.
    of_slope = math.sqrt(covariance[1, 1]) * FIT.method["dz"]
    of_dz = FIT.method["apparent_enthalpy"] * FIT.method["u_dz"]
    assert math.hypot(of_slope, of_dz) == pytest.approx(FIT.enthalpy_vap.standard_uncertainty, rel=1e-3)
