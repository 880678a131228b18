"""The reader of tables of liquids: what is right comes through, every fault is named at once."""

from __future__ import annotations

import pytest

from analysis.liquid_table import parse_liquids
from analysis.refusal import LiquidError

GOOD = """
format = 1
[[liquid]]
name = "testol"
molar_mass = 0.05
saturation = { coefficients = [30.0, -5000.0, -1.0, 0.0], range = [270.0, 350.0], u_relative = 0.01, source = "mine" }
dz = { coefficients = [10.0, -4000.0, 0.0], range = [270.0, 350.0], u = 0.004, source = "made up" }
density = { value = 800.0, u_relative = 0.01, expansivity = 1e-3, temperature = 298.15, source = "made up" }
"""


def test_a_table_of_ones_own_is_read():
    (liquid,) = parse_liquids(GOOD)
    assert liquid.name == "testol"
    assert liquid.known
    assert liquid.expansivity == 1e-3
    assert liquid.density.u == pytest.approx(8.0)
    assert liquid.dz_form.u == 0.004
    assert liquid.heat_capacity_difference.source  # the usual value stands in, and says so


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("molar_mass = 0.05", "molar_mass = 50.0", "molar_mass is 50; expected kg/mol"),
        ("molar_mass = 0.05", "molar_mas = 0.05", "did you mean 'molar_mass'?"),
        ("molar_mass = 0.05", "molar_mas = 0.05", "testol: has no molar_mass"),
        ("molar_mass = 0.05", "molar_mass = nan", "molar_mass is nan, not a number"),
        ("[270.0, 350.0], u_relative", "[350.0, 270.0], u_relative", "not two rising temperatures"),
        ("u_relative = 0.01, source", "u_relative = 0.0, source", "uncertainty is not greater than zero"),
        ("[30.0, -5000.0, -1.0, 0.0]", "[30.0, -5000.0]", "not 4 numbers"),
        ('u = 0.004, source = "made up"', "u = 0.004", "no source is named"),
        ("format = 1", "format = 7", "format is 7, this program reads 1"),
        ("format = 1", "", "there is no line 'format = 1', this program reads 1"),
        ("value = 800.0", "value = 0.8", "testol, density: value is 0.8; expected kg/m3, between 300 and 5000"),
        ("temperature = 298.15", "temperature = 25", "density: temperature is 25; expected K, between 100 and 900"),
        ("expansivity = 1e-3", "expansivity = 1.1", "density: expansivity is 1.1; expected 1/K, between 0 and 0.02"),
        ("expansivity = 1e-3", "expansivity_slope = 0.1", "expansivity_slope is 0.1; expected 1/K2, between -0.0001"),
        ("[270.0, 350.0], u = ", "[10.0, 60.0], u = ", "the lower end of range is 10; expected K, between 100 and 900"),
        ("value = 800.0", 'value = "heavy"', "value is 'heavy', not a number"),
    ],
)
def test_a_fault_is_named_with_its_liquid_and_key(old, new, said):
    with pytest.raises(LiquidError) as refused:
        parse_liquids(GOOD.replace(old, new, 1), "mine.toml")
    assert said in str(refused.value)
    assert "mine.toml" in str(refused.value)


def test_what_changes_with_temperature_is_carried_along():
    change = (
        'heat_capacity_difference = { value = -50.0, u = 15.0, temperature = 298.15, slope = -0.2, source = "mine" }'
    )
    (liquid,) = parse_liquids(GOOD + change + "\n")
    assert liquid.heat_capacity_difference.at(308.15) == pytest.approx(-52.0)
    (known,) = parse_liquids(GOOD.replace("expansivity = 1e-3", "expansivity = 1e-3, expansivity_slope = 4e-6"))
    assert known.molar_volume(308.15) == pytest.approx(0.05 / 800 * (1 + 0.01 + 0.5 * 4e-6 * 100))
    with pytest.raises(LiquidError, match=r"slope is -50; expected J/\(mol K2\)"):
        parse_liquids(GOOD + change.replace("-0.2", "-50.0") + "\n")


def test_units_of_the_bench_are_refused_where_the_table_wants_si():
    text = GOOD + 'enthalpy_vap = { value = 36.5, u = 0.5, temperature = 298.15, source = "mine" }\n'
    with pytest.raises(LiquidError, match=r"enthalpy_vap: value is 36\.5; expected J/mol, between 3000 and 300000"):
        parse_liquids(text)


def test_what_is_missing_is_said_once():
    with pytest.raises(LiquidError, match=r"has 1 fault: testol: has no molar_mass; expected entries"):
        parse_liquids(GOOD.replace("molar_mass = 0.05\n", ""))


def test_all_faults_come_at_once():
    text = GOOD.replace("molar_mass = 0.05", "molar_mass = 50.0").replace("u = 0.004", "u = -1.0")
    with pytest.raises(LiquidError, match="has 2 faults"):
        parse_liquids(text)


def test_a_name_given_twice_is_a_fault():
    with pytest.raises(LiquidError, match="testol: the name is given twice"):
        parse_liquids(GOOD + GOOD.replace("format = 1", ""))


def test_text_that_is_no_toml_is_said_to_be_none():
    with pytest.raises(LiquidError, match="is not TOML"):
        parse_liquids("liquid = [")


def test_brackets_without_end_are_refused_like_any_text_that_is_no_toml():
    with pytest.raises(LiquidError, match="is not TOML"):
        parse_liquids("format = " + "[" * 100_000)
