"""Aids for the bench against balances worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from analysis.enthalpy import fit_enthalpy
from analysis.liquids import load_liquid, unknown_liquid
from analysis.next_point import best_next_point, next_point_gain
from analysis.planning import (
    bath_loss,
    diffusion_coefficient,
    expected_pressure,
    hot_water,
    minimum_charge,
    saturation_time,
    temperature_at_limit,
)
from analysis.refusal import FitRefused
from analysis.trapped_air import CellSetup, faultless
from tests.analysis.made_runs import BASELINE, SENSORS, SETUP, made_points

ETHANOL = load_liquid("ethanol")
DRY = faultless(CellSetup(room_humidity=0.0))


def test_hot_water_balances_heat():
    volume = hot_water(500e-6, 300.0, 304.0, 343.15, vessel=0.0)
    # Equal masses exchange heat: V (T_hot - T) = V_bath (T - T_bath).
    assert volume == pytest.approx(500e-6 * 4.0 / 39.15, rel=1e-9)


def test_loss_during_pouring_asks_for_more_water():
    quiet, losing = (hot_water(500e-6, 308.0, 312.0, 343.15, duration=d, loss=2.0) for d in (0.0, 120.0))
    # Two watts per kelvin over 120 s at 14.85 K above the room, from water 31.15 K above the target.
    assert losing - quiet == pytest.approx(2.0 * 14.85 * 120 / (997 * 4180 * 31.15), rel=1e-9)


def test_cold_water_cools_by_the_same_balance():
    assert hot_water(500e-6, 310.0, 300.0, 285.0, vessel=0.0) == pytest.approx(500e-6 * 10 / 15, rel=1e-9)


@pytest.mark.parametrize(("target", "water"), [(310.0, 305.0), (290.0, 295.0), (310.0, 310.0)])
def test_water_that_cannot_reach_the_target_is_refused(target, water):
    with pytest.raises(FitRefused, match="water-cannot"):
        hot_water(500e-6, 300.0, target, water)


def test_the_loss_of_the_bath_is_learnt_from_its_drift():
    capacity = 500e-6 * 997 * 4180 + 115
    assert bath_loss(500e-6, 310.0, -1.5 * 15.0 / capacity, 295.0) == pytest.approx(1.5)
    assert bath_loss(500e-6, 295.5, -1e-4, 295.0) is None
    assert bath_loss(500e-6, 310.0, +1e-4, 295.0) is None


@pytest.mark.parametrize("name", ["ethanol", "acetone", "n-heptane"])
def test_the_expected_pressure_is_air_and_reference_before_any_point(name):
    liquid = load_liquid(name)
    (point,) = [p for p in made_points(name, setup=DRY) if p.temperature == 307.15]
    assert expected_pressure(307.15, BASELINE, DRY, liquid) == pytest.approx(point.pressure, rel=2e-3)


def test_points_taken_replace_the_reference():
    points = made_points("ethanol")[:3]
    found = expected_pressure(311.15, BASELINE, SETUP, unknown_liquid(), points)
    assert found == pytest.approx(made_points("ethanol")[4].pressure, rel=5e-3)


def test_with_nothing_known_nothing_is_expected():
    assert math.isnan(expected_pressure(310.0, BASELINE, DRY, unknown_liquid()))
    assert temperature_at_limit(120e3, BASELINE, DRY, unknown_liquid()) is None


def test_the_temperature_at_the_limit_is_where_the_expected_pressure_meets_it():
    t = temperature_at_limit(120e3, BASELINE, DRY, ETHANOL)
    assert expected_pressure(t, BASELINE, DRY, ETHANOL) == pytest.approx(120e3, abs=1.0)
    assert temperature_at_limit(1e7, BASELINE, DRY, ETHANOL) is None


def test_the_least_charge_fills_the_cell_with_vapour():
    found = minimum_charge(load_liquid("acetone"), 313.15, 125e-6)
    # 56.58 kPa (reference equation) in 125 mL at 313.15 K, 58.08 g/mol, 784.6 kg/m3, vapour 3.5 % denser than ideal.
    assert found == pytest.approx(56.58e3 * 125e-6 / (0.965 * 8.3145 * 313.15) * 0.05808 / 784.6, rel=0.01)
    assert minimum_charge(unknown_liquid(), 313.15, 125e-6) is None


@pytest.mark.parametrize(("name", "measured"), [("ethanol", 1.18e-5), ("acetone", 1.05e-5), ("water", 2.5e-5)])
def test_diffusion_in_air_is_within_a_fifth_of_measured_values(name, measured):
    # Measured at 298 K, in m2/s; usual handbook values, from memory.
    assert diffusion_coefficient(load_liquid(name), 298.15) == pytest.approx(measured, rel=0.2)


def test_saturation_takes_four_times_as_long_over_twice_the_depth():
    assert saturation_time(ETHANOL, 298.15, 0.08) == pytest.approx(4 * saturation_time(ETHANOL, 298.15, 0.04))
    assert saturation_time(unknown_liquid(), 298.15, 0.04) is None


def test_a_wider_span_gains_more_than_another_point_in_the_middle():
    fit = fit_enthalpy(made_points(), baseline=BASELINE, setup=SETUP, sensors=SENSORS, liquid=ETHANOL)
    cold, middle, hot = next_point_gain(fit, [285.15, 303.15, 319.15])
    assert cold.now == pytest.approx(fit.enthalpy_vap.standard_uncertainty)
    assert cold.gain > 2 * middle.gain > 0
    assert hot.gain > 2 * middle.gain
    assert best_next_point(fit, 295.15, 319.15).temperature == pytest.approx(319.15)


def test_what_a_point_was_said_to_gain_it_does_gain():
    points = made_points()
    fit = fit_enthalpy(points, baseline=BASELINE, setup=SETUP, sensors=SENSORS, liquid=ETHANOL)
    (said,) = next_point_gain(fit, [319.15])
    more = [*points, replace(made_points(temperatures=(303.15, 311.15, 319.15))[2], time=2160.0)]
    done = fit_enthalpy(more, baseline=BASELINE, setup=SETUP, sensors=SENSORS, liquid=ETHANOL)
    # dZ and the heat-capacity label move a little with the mean temperature; the forecast leaves them.
    assert done.enthalpy_vap.standard_uncertainty == pytest.approx(said.then, rel=0.1)
