"""The record of a liquid: names, ranges, derivatives."""

from __future__ import annotations

import math

import pytest

from analysis.liquids import GAS_CONSTANT, Liquid, list_liquids, load_liquid, unknown_liquid
from analysis.refusal import LiquidError, OutsideRangeError

HEPTANE = load_liquid("n-heptane")


@pytest.mark.parametrize("name", ["n-heptane", "Heptane", "142-82-5", " N-HEPTANE "])
def test_a_liquid_is_found_by_any_of_its_names(name):
    assert load_liquid(name) is HEPTANE


def test_a_name_nobody_has_is_answered_with_the_nearest():
    with pytest.raises(LiquidError) as refused:
        load_liquid("ethnol")
    assert str(refused.value).startswith("no liquid is called 'ethnol'; expected a name")
    assert "'ethanol'" in refused.value.way_out


@pytest.mark.parametrize("temperature", [200.0, 263.14, 400.0, math.nan])
def test_nothing_is_extrapolated_silently(temperature):
    for ask in (HEPTANE.saturation_pressure, HEPTANE.dz, HEPTANE.slope, HEPTANE.beta, HEPTANE.enthalpy_vap_reference):
        with pytest.raises(OutsideRangeError, match=r"263\.15 K to 376\.53 K"):
            ask(temperature)


def test_beta_and_slope_are_the_derivatives_of_the_saturation_pressure():
    t, h = 303.15, 1e-3
    p = [float(HEPTANE.saturation_pressure(x)) for x in (t - h, t + h)]
    assert float(HEPTANE.beta(t)) == pytest.approx((p[1] - p[0]) / (2 * h), rel=1e-7)
    by_inverse = -GAS_CONSTANT * math.log(p[1] / p[0]) / (1 / (t + h) - 1 / (t - h))
    assert float(HEPTANE.slope(t)) == pytest.approx(by_inverse, rel=1e-7)


def test_an_unknown_liquid_has_wide_priors_and_no_reference():
    unknown = unknown_liquid("spill")
    assert not unknown.known
    assert unknown.heat_capacity_difference.u > HEPTANE.heat_capacity_difference.u
    with pytest.raises(LiquidError, match="no saturation pressure is known for 'spill'"):
        unknown.saturation_pressure(300.0)


def test_an_own_liquid_takes_the_name_of_a_shipped_one():
    own = Liquid(name="n-heptane", molar_mass=0.1)
    assert load_liquid("n-heptane", (own,)) is own
    assert sum(liquid.name == "n-heptane" for liquid in list_liquids((own,))) == 1
    assert len(list_liquids((own,))) == len(list_liquids())
