"""The air balance: limits that can be worked out by hand, and derivatives against brute force."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from analysis.liquids import load_liquid
from analysis.trapped_air import (
    CellSetup,
    SealedBaseline,
    air_inputs,
    air_pressure,
    faultless,
    foreign_pressure,
    second_virial_air,
)

T0, P0 = 295.15, 100e3
BASE = SealedBaseline(T0, P0)
#: A bench in which nothing happens but warming: no moisture, no dissolved air, no cold places, stiff glass.
PLAIN = faultless(CellSetup(room_humidity=0.0, dissolved_air=0.0, glass_expansion=0.0, room_temperature=T0))
ETHANOL, WATER, HEPTANE = (load_liquid(n) for n in ("ethanol", "water", "n-heptane"))
HOT = 311.15


def air(setup, liquid, t=HOT, **kwargs) -> float:
    return float(air_pressure(t, BASE, setup, liquid, **kwargs).value[0])


def test_a_dry_cell_without_liquid_follows_gay_lussac_and_the_virial_of_air():
    empty = replace(PLAIN, charge_volume=0.0)
    liquid = replace(ETHANOL, air_solubility=replace(ETHANOL.air_solubility, value=0.0))
    simple = P0 * HOT / T0
    change = float(second_virial_air(HOT) - second_virial_air(T0)) * simple / (8.314462618 * HOT)
    assert air(empty, liquid, pressure=0.0) == pytest.approx(simple * (1 + change), rel=1e-6)


@pytest.mark.parametrize(("name", "fluid"), [("n-heptane", "n-Heptane"), ("water", "Water"), ("ethanol", "Ethanol")])
def test_a_liquid_under_air_has_as_much_more_vapour_as_its_chemical_potential_rises(name, fluid):
    # The rise from the reference equation of state of the liquid alone (CoolProp): no molar volume, no formula of ours.
    liquid = load_liquid(name)
    liquid = replace(liquid, air_solubility=replace(liquid.air_solubility, value=0.0))
    vapour = float(liquid.saturation_pressure(HOT))
    inputs = {i.key: i.value for i in air_inputs(BASE, PLAIN, liquid)}
    by_vapour = [
        float(foreign_pressure(np.array([HOT]), np.array([pv]), inputs, PLAIN, liquid, 40e3)[0]) for pv in (0.0, vapour)
    ]
    # What evaporates makes room for the air; the rest of the difference is vapour.
    made_room = by_vapour[0] * vapour / (8.314462618 * HOT) * float(liquid.molar_volume(HOT))
    more = (by_vapour[1] - by_vapour[0] + made_room) / vapour
    low = PropsSI("GMOLAR", "T", HOT, "Q", 0, fluid)
    high = PropsSI("GMOLAR", "T|liquid", HOT, "P", vapour + by_vapour[0], fluid)
    assert more == pytest.approx(np.expm1((high - low) / (8.314462618 * HOT)), rel=0.02)


def test_a_plunger_left_in_squeezes_the_air_into_what_the_liquid_leaves():
    drawn, left = air(PLAIN, HEPTANE), air(replace(PLAIN, plunger_drawn_back=False), HEPTANE)
    assert left / drawn == pytest.approx(125 / 122, rel=1e-4)


def test_a_plunger_nobody_noted_lies_between_with_its_whole_width_as_uncertainty():
    unknown = air_pressure(HOT, BASE, replace(PLAIN, plunger_drawn_back=None), HEPTANE)
    drawn, left = air(PLAIN, HEPTANE), air(replace(PLAIN, plunger_drawn_back=False), HEPTANE)
    assert unknown.value[0] == pytest.approx(0.5 * (drawn + left), rel=1e-3)
    assert abs(unknown.derivatives["plunger"][0]) == pytest.approx(0.5 * (left - drawn), rel=0.02)


def test_a_glass_that_grows_makes_room():
    grown = air(replace(PLAIN, glass_expansion=1e-4), HEPTANE)
    # 125 mL grow by 1e-4 times 16 K, against the 122 mL the gas has.
    assert grown / air(PLAIN, HEPTANE) == pytest.approx(1 - 1e-4 * (HOT - T0) * 125 / 122, rel=2e-5)


def test_moisture_goes_into_a_liquid_that_takes_water_and_stays_over_one_that_does_not():
    damp = replace(PLAIN, room_humidity=0.5)
    moisture = 0.5 * float(WATER.saturation_pressure(T0)) * HOT / T0
    lost_in_ethanol = air(PLAIN, ETHANOL) - air(damp, ETHANOL)
    lost_in_heptane = air(PLAIN, HEPTANE) - air(damp, HEPTANE)
    assert 0.9 * moisture < lost_in_ethanol < 1.05 * moisture
    assert lost_in_heptane < 0.15 * moisture


def test_over_water_the_rooms_moisture_is_no_foreign_gas():
    damp = air(replace(PLAIN, room_humidity=1.0), WATER)
    moisture = float(WATER.saturation_pressure(T0)) * HOT / T0
    assert air(PLAIN, WATER) - damp == pytest.approx(moisture, rel=0.01)


def test_a_degassed_liquid_takes_air_up_by_henrys_law():
    degassed, saturated = air(PLAIN, HEPTANE), air(replace(PLAIN, dissolved_air=1.0), HEPTANE)
    # Ostwald coefficient times charge over gas space, with the air's share of the pressure in the bottle.
    share = HEPTANE.air_solubility.value * 3 / 122 * (1 - float(HEPTANE.saturation_pressure(T0)) / P0)
    assert saturated / degassed - 1 == pytest.approx(share, rel=0.08)


def test_cold_places_hold_more_air_and_less_vapour():
    warm = air(PLAIN, HEPTANE)
    assert air(replace(PLAIN, gas_above_water=0.05), HEPTANE) < warm
    empty_tube = air(replace(PLAIN, tubing_volume=2e-6, tubing_vapour=0.0), HEPTANE)
    full_tube = air(replace(PLAIN, tubing_volume=2e-6, tubing_vapour=1.0), HEPTANE)
    assert empty_tube < full_tube < warm


def test_everything_scales_with_the_sealed_pressure():
    setup = replace(PLAIN, dissolved_air=0.0)
    double = air_pressure(HOT, replace(BASE, pressure=2 * P0), setup, HEPTANE, slope=36e3).value[0]
    single = air_pressure(HOT, BASE, setup, HEPTANE, slope=36e3).value[0]
    # The virial term doubles too: 3e-4 of the pressure at 1 bar.
    assert double / single == pytest.approx(2.0, rel=5e-4)


@pytest.mark.parametrize("liquid", [ETHANOL, HEPTANE, WATER, None], ids=["ethanol", "heptane", "water", "unknown"])
def test_stated_derivatives_are_what_a_changed_input_does(liquid):
    setup = CellSetup(room_humidity=0.4, tubing_volume=1e-6, gas_above_water=0.03, plunger_drawn_back=None)
    found = air_pressure(HOT, BASE, setup, liquid, 110e3, 40e3)
    inputs = air_inputs(BASE, setup, liquid)
    base = {i.key: i.value for i in inputs}
    vapour = np.array([110e3]) - found.value
    for item in (i for i in inputs if i.u > 0):
        up = foreign_pressure(np.array([HOT]), vapour, {**base, item.key: item.value + item.u}, setup, liquid, 40e3)
        # One-sided against central: they differ by the curvature, small for every input.
        assert found.derivatives[item.label][0] == pytest.approx(
            float(up[0] - found.value[0]), abs=0.12 * found.u_common[0]
        )
    assert found.u_common[0] == pytest.approx(np.sqrt(sum(d[0] ** 2 for d in found.derivatives.values())))


def test_many_cases_at_once_are_the_same_as_one_by_one():
    inputs = {i.key: i.value for i in air_inputs(BASE, CellSetup(room_humidity=0.4), ETHANOL)}
    t, pv = np.array([296.0, 305.0]), np.array([7e3, 12e3])
    volumes = np.array([[110e-6], [125e-6], [140e-6]])
    at_once = foreign_pressure(t, pv, {**inputs, "volume": volumes}, CellSetup(), ETHANOL, 42e3)
    for row, volume in zip(at_once, volumes[:, 0], strict=True):
        alone = foreign_pressure(t, pv, {**inputs, "volume": volume}, CellSetup(), ETHANOL, 42e3)
        assert row == pytest.approx(alone, rel=1e-14)


def test_water_in_the_liquid_takes_its_mole_fraction_off_the_vapour():
    def foreign(humidity: float, vapour: float) -> float:
        inputs = {i.key: i.value for i in air_inputs(BASE, replace(PLAIN, room_humidity=humidity), ETHANOL)}
        return float(foreign_pressure(np.array([HOT]), np.array([vapour]), inputs, PLAIN, ETHANOL, 42e3)[0])

    vapour = float(ETHANOL.saturation_pressure(HOT))
    taken = (foreign(0.5, vapour) - foreign(0.0, vapour)) - (foreign(0.5, 0.0) - foreign(0.0, 0.0))
    moist = 0.5 * float(WATER.saturation_pressure(T0)) * 122e-6 / (8.314462618 * T0)  # mol, plunger drawn
    liquid = 3e-6 * ETHANOL.density.value / ETHANOL.molar_mass
    # Nearly all of it is in the liquid: Raoult's law for the ethanol.
    assert taken == pytest.approx(-moist / liquid * vapour, rel=0.08)
