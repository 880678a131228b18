"""Bad input to the fit is refused, and the message names the point."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from analysis.fit_input import FitPoint, SensorPriors, check_points, check_setting
from analysis.refusal import FitRefused
from analysis.trapped_air import CellSetup, SealedBaseline
from tests.analysis.made_runs import changed, made_points

POINTS = made_points()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"temperature": math.nan}, "the temperature of point 3 is nan K; expected 200 to 600 K"),
        ({"temperature": -5.0}, "the temperature of point 3 is -5 K"),
        ({"temperature": 30.0, "label": "warm"}, "the temperature of point 3 (warm) is 30 K"),
        ({"pressure": math.inf}, "the pressure of point 3 is inf Pa"),
        ({"pressure": 0.1}, "the pressure of point 3 is 0.1 Pa; expected 1 to 2e+06 Pa"),
        ({"u_temperature": -0.1}, "the uncertainty of the temperature of point 3 is -0.1 K"),
        (
            {"u_temperature": 50.0},
            "the uncertainty of the temperature of point 3 is 50 K; expected a value from 0 to 10 K",
        ),
        ({"u_pressure": 90e3}, "the uncertainty of the pressure of point 3 is 90000 Pa"),
        ({"u_pressure": math.nan}, "the uncertainty of the pressure of point 3 is nan Pa"),
        ({"u_temperature": 0.0, "u_pressure": 0.0}, "point 3 has no uncertainty at all"),
        ({"correlation": 1.0}, "the correlation of point 3 is 1"),
        ({"u_lag": -1.0}, "the uncertainty of the lag of point 3 is -1 K"),
    ],
)
def test_a_point_no_fit_can_use_is_named(changes, said):
    with pytest.raises(FitRefused) as refused:
        check_points(changed(POINTS, 2, **changes))
    assert str(refused.value).startswith(said)


def test_a_point_set_aside_may_be_anything():
    check_points(changed(POINTS, 2, temperature=math.nan, used=False))


def test_two_points_are_too_few_and_the_ones_set_aside_are_counted():
    few = [replace(p, used=k < 2) for k, p in enumerate(POINTS)]
    with pytest.raises(FitRefused, match=r"2 usable points \(3 set aside\); expected at least 3"):
        check_points(few)


def test_equal_temperatures_make_no_line():
    same = [replace(p, temperature=300.0 + 0.1 * k) for k, p in enumerate(POINTS)]
    with pytest.raises(FitRefused, match=r"the 5 points lie within 0\.4 K of each other"):
        check_points(same)


BASE = SealedBaseline(295.0, 100e3)


@pytest.mark.parametrize(
    ("baseline", "setup", "said"),
    [
        (None, CellSetup(), "no sealed baseline"),
        (replace(BASE, pressure=100.0e6), CellSetup(), "the sealed baseline's pressure is 1e+08 Pa"),
        (replace(BASE, temperature=22.0), CellSetup(), "the sealed baseline's temperature is 22 K"),
        (BASE, CellSetup(cell_volume=125.0), "the cell volume is 125 m3"),
        (BASE, CellSetup(charge_volume=130e-6), "the charge is 130 mL in a cell of 125 mL"),
        (BASE, CellSetup(room_humidity=45.0), "the room humidity is 45; expected a fraction from 0 to 1"),
        (BASE, CellSetup(gas_above_water=5.0), "the gas above the water is 5"),
    ],
)
def test_a_bench_that_contradicts_itself_is_refused(baseline, setup, said):
    with pytest.raises(FitRefused) as refused:
        check_setting(baseline, setup, SensorPriors(), "sealed")
    assert str(refused.value).startswith(said)


def test_sensors_cannot_be_better_than_perfect():
    with pytest.raises(FitRefused, match="u_offset_pressure is -1"):
        check_setting(BASE, CellSetup(), SensorPriors(u_offset_pressure=-1.0), "sealed")


def test_an_air_mode_nobody_knows_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="expected one of sealed, none, corrected"):
        check_setting(BASE, CellSetup(), SensorPriors(), "guess")


def test_without_a_sealed_baseline_an_evacuated_cell_is_fine():
    check_setting(None, CellSetup(), SensorPriors(), "none")
    check_points([FitPoint(300.0 + 5 * k, 1e4 + 1e3 * k) for k in range(3)])
