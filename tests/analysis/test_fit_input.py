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
        ({"temperature": math.nan}, "point-outside temperature (point 3, value nan, low 200.0, high 600.0)"),
        ({"temperature": -5.0}, "point-outside temperature (point 3, value -5.0"),
        ({"temperature": 30.0, "label": "warm"}, "point-outside temperature (point 3 (warm), value 30.0"),
        ({"pressure": math.inf}, "point-outside pressure (point 3, value inf"),
        ({"pressure": 0.1}, "point-outside pressure (point 3, value 0.1, low 1.0, high 2000000.0)"),
        ({"u_temperature": -0.1}, "uncertainty-outside temperature (point 3, value -0.1"),
        ({"u_temperature": 50.0}, "uncertainty-outside temperature (point 3, value 50.0, high 10.0)"),
        ({"u_pressure": 90e3}, "uncertainty-outside pressure (point 3, value 90000.0"),
        ({"u_pressure": math.nan}, "uncertainty-outside pressure (point 3, value nan"),
        ({"u_temperature": 0.0, "u_pressure": 0.0}, "no-uncertainty (point 3)"),
        ({"correlation": 1.0}, "correlation-outside (point 3, value 1.0)"),
        ({"u_lag": -1.0}, "uncertainty-outside lag (point 3, value -1.0"),
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
    with pytest.raises(FitRefused, match=r"too-few-points some-aside \(used 2, aside 3, least 3\)"):
        check_points(few)


def test_equal_temperatures_make_no_line():
    same = [replace(p, temperature=300.0 + 0.1 * k) for k, p in enumerate(POINTS)]
    with pytest.raises(FitRefused, match=r"span-too-small \(points 5, span 0\.[34]\d*, least"):
        check_points(same)


BASE = SealedBaseline(295.0, 100e3)


@pytest.mark.parametrize(
    ("baseline", "setup", "said"),
    [
        (None, CellSetup(), "no-baseline"),
        (replace(BASE, pressure=100.0e6), CellSetup(), "baseline-outside pressure (value 100000000.0"),
        (replace(BASE, temperature=22.0), CellSetup(), "baseline-outside temperature (value 22.0"),
        (BASE, CellSetup(cell_volume=125.0), "cell-volume-outside (value 125.0"),
        (BASE, CellSetup(charge_volume=130e-6), "charge-outside (charge 0.00013, cell 0.000125)"),
        (BASE, CellSetup(room_humidity=45.0), "humidity-outside (value 45.0)"),
        (BASE, CellSetup(gas_above_water=5.0), "gas-above-water-outside (value 5.0)"),
    ],
)
def test_a_bench_that_contradicts_itself_is_refused(baseline, setup, said):
    with pytest.raises(FitRefused) as refused:
        check_setting(baseline, setup, SensorPriors(), "sealed")
    assert str(refused.value).startswith(said)


def test_sensors_cannot_be_better_than_perfect():
    with pytest.raises(FitRefused, match="name u_offset_pressure, value -1"):
        check_setting(BASE, CellSetup(), SensorPriors(u_offset_pressure=-1.0), "sealed")


def test_an_air_mode_nobody_knows_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="expected one of sealed, none, corrected"):
        check_setting(BASE, CellSetup(), SensorPriors(), "guess")


def test_without_a_sealed_baseline_an_evacuated_cell_is_fine():
    check_setting(None, CellSetup(), SensorPriors(), "none")
    check_points([FitPoint(300.0 + 5 * k, 1e4 + 1e3 * k) for k in range(3)])
