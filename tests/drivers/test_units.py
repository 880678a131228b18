"""The unit table against two libraries that know nothing of it."""

import numpy as np
import pint
import pytest
import scipy.constants
from hypothesis import given
from hypothesis import strategies as st

from drivers.units import (
    UNITS,
    UnitError,
    difference_from_si,
    difference_to_si,
    find_unit,
    from_si,
    parse_quantity,
    quantity_of,
    to_si,
)

SCIPY_FACTORS = {
    "bar": scipy.constants.bar,
    "atm": scipy.constants.atm,
    "Torr": scipy.constants.torr,
    "psi": scipy.constants.psi,
    "min": scipy.constants.minute,
    "h": scipy.constants.hour,
    "L": scipy.constants.liter,
}
PINT_NAMES = {
    "Torr": "torr",
    "psi": "pound_force_per_square_inch",
    "L": "liter",
    "mL": "milliliter",
    "uL": "microliter",
    "inHg": "inch_Hg",
    "mmHg": "mmHg",
    "degC": "degC",
    "degF": "degF",
    "mK": "millikelvin",
    "%": "percent",
    "1": "dimensionless",
    "kohm": "kiloohm",
    "h": "hour",
    "us": "microsecond",
    "uV": "microvolt",
}


@pytest.mark.parametrize("symbol", SCIPY_FACTORS)
def test_a_factor_is_the_one_of_scipy_constants(symbol):
    assert UNITS[symbol].factor == pytest.approx(SCIPY_FACTORS[symbol], rel=1e-15)


@pytest.fixture(scope="module")
def pint_registry():
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize("symbol", UNITS)
def test_a_unit_converts_as_pint_converts_it(symbol, pint_registry):
    name = PINT_NAMES.get(symbol, symbol.replace("m3", "m**3").replace("cm**3", "cm**3"))
    theirs = pint_registry.Quantity(7.25, name).to_base_units()
    base = pint_registry.Quantity(to_si(7.25, symbol), _si_name(symbol)).to_base_units()
    # pint holds mercury to twelve digits
    assert base.magnitude == pytest.approx(theirs.magnitude, rel=1e-11)
    assert base.units == theirs.units


def _si_name(symbol):
    return {
        "temperature": "K",
        "pressure": "Pa",
        "volume": "m**3",
        "time": "s",
        "resistance": "ohm",
        "voltage": "V",
        "current": "A",
        "molar energy": "J/mol",
        "mass": "kg",
        "molar mass": "kg/mol",
        "amount": "mol",
        "length": "m",
        "power": "W",
        "heat transfer": "W/K",
        "temperature rate": "K/s",
        "pressure rate": "Pa/s",
        "inverse temperature": "1/K",
        "fraction": "dimensionless",
    }[UNITS[symbol].quantity]


@given(st.floats(-1e6, 1e6), st.sampled_from(sorted(UNITS)))
def test_there_and_back_is_the_same_value(value, symbol):
    offset = abs(UNITS[symbol].offset / UNITS[symbol].factor)
    assert from_si(to_si(value, symbol), symbol) == pytest.approx(value, rel=1e-14, abs=1e-12 * (1 + offset))


def test_arrays_convert_element_by_element():
    np.testing.assert_allclose(to_si(np.array([0.0, 100.0]), "degC"), [273.15, 373.15], rtol=0)


def test_a_difference_leaves_the_offset_of_the_scale_out():
    assert difference_to_si(0.5, "degC") == 0.5
    assert difference_to_si(9.0, "degF") == pytest.approx(5.0, rel=1e-15)
    assert difference_from_si(5.0, "degF") == pytest.approx(9.0, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "value", "quantity"),
    [
        ("101.3 kPa", 101300.0, "pressure"),
        ("42,5 °C", 315.65, "temperature"),
        ("-5degC", 268.15, "temperature"),
        ("−5 °C", 268.15, "temperature"),
        ("1e3 mL", 1e-3, "volume"),
        (" 2.5 min ", 150.0, "time"),
        (".5 L", 5e-4, "volume"),
    ],
)
def test_a_value_with_its_unit_is_read(text, value, quantity):
    found, what = parse_quantity(text)
    assert found == pytest.approx(value, rel=1e-14)
    assert what == quantity


@pytest.mark.parametrize("text", ["101.3", "kPa", "", "1 2 kPa", "nan K", "1_0 K", "1.2.3 K", "٣ K", "inf K"])
def test_a_text_that_is_no_value_with_unit_is_refused(text):
    with pytest.raises(UnitError, match=r"expected|unknown unit"):
        parse_quantity(text)


def test_a_value_without_a_unit_is_told_the_way_out():
    with pytest.raises(UnitError) as caught:
        parse_quantity("101.3")
    assert str(caught.value) == "found '101.3' without a unit; expected for example '101.3 kPa' or '21.5 degC'"


def test_an_unknown_unit_suggests_the_nearest():
    with pytest.raises(UnitError, match="did you mean 'kPa'"):
        find_unit("kpA")


def test_mercury_and_torr_are_two_units():
    assert to_si(760.0, "Torr") == pytest.approx(101325.0, rel=1e-15)
    assert to_si(1.0, "mmHg") == pytest.approx(133.322387415, abs=5e-10)  # ISO 80000-4, as printed


def test_quantities_have_plain_names():
    assert (quantity_of("kPa"), quantity_of("°C"), quantity_of("cm3")) == ("pressure", "temperature", "volume")
