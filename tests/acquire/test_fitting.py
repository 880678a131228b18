"""What the bench is told ahead: where the limit of pressure is reached, and how much of the charge evaporates."""

from __future__ import annotations

import math

import pytest

from acquire.fitting import charge_that_evaporates, forecasts
from acquire.plan import stored_plan
from acquire.record import Baseline
from analysis.liquids import load_liquid, unknown_liquid

PLAN = stored_plan({"bath": {"targets": [300.0, 313.15]}, "cell": {"volume": 130e-6, "charge": 2.5e-6}})
ROOM = Baseline("room", 294.65, 100.9e3, 0.01, 10.0, 10.0, 60.0)
SEALED = Baseline("sealed", 294.65, 100.9e3, 0.01, 10.0, 60.0, 120.0)


@pytest.mark.parametrize("name", ["n-heptane", "acetone"])
def test_the_limit_is_reached_where_the_forecast_says_so(name):
    pressure, reached = forecasts(PLAN, load_liquid(name), (ROOM, SEALED), ())
    found = reached(ROOM.pressure + 30e3)
    assert 290.0 < found < 340.0
    assert pressure(found) == pytest.approx(ROOM.pressure + 30e3, abs=5.0)


def test_where_nothing_is_known_no_limit_is_told():
    liquid = load_liquid("n-heptane")
    assert all(math.isnan(of(300.0)) for of in forecasts(PLAN, liquid, (ROOM,), ()))
    assert math.isnan(forecasts(PLAN, liquid, (ROOM, SEALED), ())[1](1e7))


def test_what_evaporates_is_the_saturated_vapour_of_the_warmest_target():
    # n-Heptane at 313.15 K: 12.326 kPa (CoolProp 8.0.0, reference equation of state), 100.2 g/mol, 679.5 kg/m3 at 25 °C
    # (the same); the vapour as an ideal gas, which is 1 % less than it is.
    moles = 12_326.4 * (130e-6 + PLAN.cell.tubing) / (8.314462618 * 313.15)
    assert charge_that_evaporates(PLAN, load_liquid("n-heptane")) == pytest.approx(moles * 0.10020 / 679.5, rel=0.03)
    assert math.isnan(charge_that_evaporates(PLAN, unknown_liquid()))
    assert math.isnan(charge_that_evaporates(PLAN, None))


def test_a_target_beyond_the_source_is_taken_at_its_end():
    hot = stored_plan({"bath": {"targets": [300.0, 390.0]}, "limits": {"temperature": 400.0}})
    assert charge_that_evaporates(hot, load_liquid("acetone")) > 0.0
