"""Saturation data of the simulator against the reference equations, handbooks and thermodynamics itself."""

from __future__ import annotations

import math
import tomllib
from importlib.resources import files

import pytest
from chemicals import vapor_pressure
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS97

from sim.errors import UnknownNameError
from sim.liquids import R, list_liquids, load_liquid
from sim.tabulate import LIQUIDS, file_name, table
from tests.published.check_values import CHECK_VALUES, TEMPERATURES
from tests.published.vaporisation_handbook import CRC

COOLPROP = {name: fluid for name, fluid, *_ in LIQUIDS}


def temperatures(name: str) -> list[float]:
    """Between the samples of the table, where only the smooth function speaks."""
    liquid = load_liquid(name)
    return [t for t in (264.3, 279.1, 284.4, 298.15, 301.9, 313.7, 327.4, 341.8) if liquid.lowest <= t]


def test_at_least_eleven_liquids_are_there_and_heptane_is_one() -> None:
    assert len(list_liquids()) >= 11
    assert "n-heptane" in list_liquids()
    assert set(list_liquids()) == set(COOLPROP)


@pytest.mark.parametrize("name", list_liquids())
def test_saturation_agrees_with_the_reference_equation_between_its_samples(name: str) -> None:
    liquid, fluid = load_liquid(name), COOLPROP[name]
    for t in temperatures(name):
        assert liquid.saturation_pressure(t) == pytest.approx(PropsSI("P", "T", t, "Q", 0, fluid), rel=1e-6)
        assert liquid.density_vapour(t) == pytest.approx(PropsSI("Dmolar", "T", t, "Q", 1, fluid), rel=3e-6)
        assert liquid.molar_volume(t) == pytest.approx(1 / PropsSI("Dmolar", "T", t, "Q", 0, fluid), rel=1e-5)
        latent = PropsSI("Hmolar", "T", t, "Q", 1, fluid) - PropsSI("Hmolar", "T", t, "Q", 0, fluid)
        assert liquid.enthalpy_vap(t) == pytest.approx(latent, rel=3e-6)


@pytest.mark.parametrize("name", list_liquids())
def test_enthalpy_is_the_slope_that_clapeyron_asks_for(name: str) -> None:
    liquid = load_liquid(name)
    for t in (285.0, 300.0, 330.0):
        slope = math.log(liquid.saturation_pressure(t + 0.1) / liquid.saturation_pressure(t - 0.1)) / 0.2
        p = liquid.saturation_pressure(t)
        change = liquid.compressibility_vapour(t) - p * liquid.molar_volume(t) / (R * t)
        assert R * t * t * slope * change == pytest.approx(liquid.enthalpy_vap(t), rel=2e-5)


@pytest.mark.parametrize("name", sorted(CRC))
def test_enthalpy_agrees_with_the_calorimetric_value_of_the_handbook(name: str) -> None:
    # Calorimeters and equations of state agree to about half a per cent.
    assert load_liquid(name).enthalpy_vap(298.15) == pytest.approx(CRC[name][1], rel=5e-3)


# The handbook prints tetrahydrofuran's boiling point in whole degrees Celsius.
@pytest.mark.parametrize("name", [n for n in sorted(CRC) if CRC[n][0] < 343.0 and n != "tetrahydrofuran"])
def test_the_liquid_boils_at_the_handbooks_temperature(name: str) -> None:
    # 0.2 K of boiling point is 0.7 % of pressure; the handbook rounds and mixes sources.
    assert load_liquid(name).saturation_pressure(CRC[name][0]) == pytest.approx(101325.0, rel=7e-3)


@pytest.mark.parametrize("name", sorted(CHECK_VALUES.keys() & set(list_liquids())))
def test_saturation_pressure_agrees_with_the_published_check_values(name: str) -> None:
    kilopascals = [load_liquid(name).saturation_pressure(t) * 1e-3 for t in TEMPERATURES]
    assert kilopascals == pytest.approx(list(CHECK_VALUES[name][0]), abs=6e-5)


# Antoine constants of Poling, Prausnitz and O'Connell (The Properties of Gases and Liquids), shipped in `chemicals`.
@pytest.mark.parametrize("name", [n for n in list_liquids() if n not in ("dimethyl carbonate", "n-octane")])
def test_saturation_pressure_agrees_with_an_independent_correlation(name: str) -> None:
    liquid = load_liquid(name)
    row = vapor_pressure.Psat_data_AntoinePoling.loc[liquid.cas]
    for t in (295.0, 303.0, 313.0):
        expected = float(vapor_pressure.Antoine(t, row.A, row.B, row.C))
        assert liquid.saturation_pressure(t) == pytest.approx(expected, rel=4.5e-3)


def test_water_agrees_with_the_industrial_formulation() -> None:
    # IAPWS R7-97 as computed by the library `iapws`; the scientific and industrial equations differ by 6e-5 here.
    for t in (283.15, 298.15, 333.15):
        assert load_liquid("water").saturation_pressure(t) == pytest.approx(IAPWS97(T=t, x=0).P * 1e6, rel=1e-4)


def test_the_virial_coefficient_gives_back_the_saturated_vapour() -> None:
    liquid = load_liquid("n-heptane")
    density = liquid.density_vapour(310.0)
    pressure = R * 310.0 * density * (1 + liquid.virial(310.0) * density)
    assert pressure == pytest.approx(liquid.saturation_pressure(310.0), rel=1e-12)


@pytest.mark.parametrize("name", ["n-heptane", "cyclohexane", "acetone"])
def test_air_meets_vapour_with_the_coefficient_of_the_correlation(name: str) -> None:
    # Cross coefficients of nitrogen with small alkanes and the like lie between -300 and -40 cm3/mol (from memory).
    assert -300e-6 < load_liquid(name).cross_virial_air < -40e-6


@pytest.mark.parametrize("temperature", [260.0, 350.0, math.nan, -math.inf])
def test_outside_its_table_a_liquid_refuses(temperature: float) -> None:
    liquid = load_liquid("n-heptane")
    for question in (liquid.saturation_pressure, liquid.enthalpy_vap, liquid.molar_volume, liquid.virial):
        with pytest.raises(ValueError, match="the table of n-heptane holds from 263"):
            question(temperature)


def test_an_unknown_liquid_is_answered_with_the_known_ones() -> None:
    with pytest.raises(UnknownNameError) as caught:
        load_liquid("n-heptan")
    assert str(caught.value).startswith("found no liquid called 'n-heptan'; expected one of 2-methylpentane, ")
    assert str(caught.value).endswith("Did you mean 'n-heptane'?")


def test_the_table_in_the_tree_is_what_the_script_makes() -> None:
    name, fluid, activity, ostwald = LIQUIDS[0]
    # Least squares goes through the linear-algebra library of the machine, so the last digits may differ.
    made = tomllib.loads(table(name, fluid, activity, ostwald))
    shipped = tomllib.loads((files("sim") / "data" / file_name(name)).read_text(encoding="utf-8"))
    assert made["samples"]["pressure"] == pytest.approx(shipped["samples"]["pressure"], rel=1e-9)
    assert made["functions"]["enthalpy_vap"][:2] == pytest.approx(shipped["functions"]["enthalpy_vap"][:2], rel=1e-9)
    assert made["source"] == shipped["source"] == "reference equation of state Span-IJT-2003B"
    assert shipped["library"].startswith("CoolProp ")
