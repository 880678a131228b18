"""The one unit table of the project: factors to SI, and reading and writing of values with units.

Factors are exact by definition unless a comment says otherwise: international pound and inch (1959),
standard gravity 9.80665 m/s2 (CGPM 1901), standard atmosphere 101325 Pa (CGPM 1954), conventional millimetre
of mercury 13595.1 kg/m3 (ISO 80000-4). The tests compare the table with two libraries.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from drivers.errors import DriverError

Number = TypeVar("Number", float, NDArray[np.float64])

_GRAVITY = 9.80665
_INCH = 0.0254
_POUND = 0.45359237
_MERCURY = 13595.1


class UnitError(DriverError):
    """A unit is not in the table, or a text is not a value with a unit."""


class NoQuantityError(UnitError):
    """A text is not a number followed by a unit, whatever the unit."""


@dataclass(frozen=True)
class Unit:
    """`value in SI = factor * value + offset`."""

    symbol: str
    quantity: str
    factor: float
    offset: float = 0.0


_TABLE = (
    Unit("K", "temperature", 1.0),
    Unit("degC", "temperature", 1.0, 273.15),
    Unit("degF", "temperature", 5 / 9, 459.67 * 5 / 9),
    Unit("mK", "temperature", 1e-3),
    Unit("Pa", "pressure", 1.0),
    Unit("hPa", "pressure", 100.0),
    Unit("kPa", "pressure", 1e3),
    Unit("MPa", "pressure", 1e6),
    Unit("bar", "pressure", 1e5),
    Unit("mbar", "pressure", 100.0),
    Unit("atm", "pressure", 101325.0),
    Unit("Torr", "pressure", 101325.0 / 760),
    Unit("mmHg", "pressure", _MERCURY * _GRAVITY * 1e-3),
    Unit("inHg", "pressure", _MERCURY * _GRAVITY * _INCH),
    Unit("psi", "pressure", _POUND * _GRAVITY / _INCH**2),
    Unit("m3", "volume", 1.0),
    Unit("L", "volume", 1e-3),
    Unit("mL", "volume", 1e-6),
    Unit("uL", "volume", 1e-9),
    Unit("cm3", "volume", 1e-6),
    Unit("s", "time", 1.0),
    Unit("ms", "time", 1e-3),
    Unit("us", "time", 1e-6),
    Unit("min", "time", 60.0),
    Unit("h", "time", 3600.0),
    Unit("ohm", "resistance", 1.0),
    Unit("kohm", "resistance", 1e3),
    Unit("V", "voltage", 1.0),
    Unit("mV", "voltage", 1e-3),
    Unit("uV", "voltage", 1e-6),
    Unit("A", "current", 1.0),
    Unit("mA", "current", 1e-3),
    Unit("J/mol", "molar energy", 1.0),
    Unit("kJ/mol", "molar energy", 1e3),
    Unit("kg", "mass", 1.0),
    Unit("g", "mass", 1e-3),
    Unit("mg", "mass", 1e-6),
    Unit("kg/mol", "molar mass", 1.0),
    Unit("g/mol", "molar mass", 1e-3),
    Unit("mol", "amount", 1.0),
    Unit("mmol", "amount", 1e-3),
    Unit("m", "length", 1.0),
    Unit("cm", "length", 1e-2),
    Unit("mm", "length", 1e-3),
    Unit("W", "power", 1.0),
    Unit("W/K", "heat transfer", 1.0),
    Unit("K/s", "temperature rate", 1.0),
    Unit("K/min", "temperature rate", 1 / 60),
    Unit("mK/s", "temperature rate", 1e-3),
    Unit("Pa/s", "pressure rate", 1.0),
    Unit("Pa/min", "pressure rate", 1 / 60),
    Unit("kPa/min", "pressure rate", 1e3 / 60),
    Unit("1/K", "inverse temperature", 1.0),
    Unit("%", "fraction", 1e-2),
    Unit("ppm", "fraction", 1e-6),
    Unit("1", "fraction", 1.0),
)

#: Every unit by its symbol.
UNITS: dict[str, Unit] = {unit.symbol: unit for unit in _TABLE}

_ALIASES = {
    "°C": "degC", "℃": "degC", "C": "degC", "deg C": "degC", "°F": "degF", "℉": "degF", "F": "degF",
    "Kelvin": "K", "kelvin": "K", "celsius": "degC", "Celsius": "degC", "fahrenheit": "degF",
    "torr": "Torr", "mmhg": "mmHg", "inhg": "inHg", "kpa": "kPa", "hpa": "hPa", "pa": "Pa", "PSI": "psi",
    "m³": "m3", "m^3": "m3", "l": "L", "ml": "mL", "µL": "uL", "μL": "uL", "ul": "uL", "cm³": "cm3",
    "cm^3": "cm3", "cc": "cm3", "µs": "us", "μs": "us", "sec": "s", "Ω": "ohm", "kΩ": "kohm",
    "µV": "uV", "μV": "uV", "hour": "h", "minute": "min",
}  # fmt: skip


def find_unit(symbol: str) -> Unit:
    """The table's entry for a symbol or one of its usual spellings.

    Raises
    ------
    UnitError
        For a symbol that is not in the table; suggests the nearest.
    """
    stripped = symbol.strip()
    unit = UNITS.get(_ALIASES.get(stripped, stripped))
    if unit is None:
        near = [known for known in UNITS if known.lower() == stripped.lower()]
        near = near or difflib.get_close_matches(stripped, UNITS, n=1, cutoff=0.5)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        raise UnitError(f"unknown unit {symbol!r}; expected one of {', '.join(UNITS)}{hint}")
    return unit


def to_si(value: Number, unit: str) -> Number:
    """Convert a value, scalar or array, from `unit` to SI.

    Examples
    --------
    >>> to_si(25.0, "degC")
    298.15
    """
    known = find_unit(unit)
    return value * known.factor + known.offset


def from_si(value: Number, unit: str) -> Number:
    """Convert a value, scalar or array, from SI to `unit`."""
    known = find_unit(unit)
    return (value - known.offset) / known.factor


def difference_to_si(value: Number, unit: str) -> Number:
    """Convert a difference or an uncertainty to SI: the offset of the scale does not take part."""
    return value * find_unit(unit).factor


def difference_from_si(value: Number, unit: str) -> Number:
    """Convert a difference or an uncertainty from SI to `unit`."""
    return value / find_unit(unit).factor


def quantity_of(unit: str) -> str:
    """What a unit measures: "temperature", "pressure", "volume", "time", ..."""
    return find_unit(unit).quantity


_VALUE_WITH_UNIT = re.compile(
    r"\s*([+\-−]?(?:[0-9]{1,15}(?:[.,][0-9]{0,15})?|[.,][0-9]{1,15})(?:[eE][+-]?[0-9]{1,3})?)\s*(\S(?:.*\S)?)?\s*"
)


def parse_number_and_unit(text: str) -> tuple[float, str]:
    """Split "101.3 kPa" into 101.3 and "kPa"; a decimal comma is understood.

    Raises
    ------
    UnitError
        Where the text is not one number followed by one known unit.
    """
    match = _VALUE_WITH_UNIT.fullmatch(text[:100])
    if match is None:
        raise NoQuantityError(f"found {text!r}; expected a number and a unit, for example '101.3 kPa' or '21.5 degC'")
    number, unit = match.groups()
    if not unit:
        raise NoQuantityError(f"found {text!r} without a unit; expected for example '101.3 kPa' or '21.5 degC'")
    return float(number.replace(",", ".").replace("−", "-")), find_unit(unit).symbol


def parse_quantity(text: str) -> tuple[float, str]:
    """Read a text such as "101.3 kPa" as (value in SI, quantity): (101300.0, "pressure")."""
    number, unit = parse_number_and_unit(text)
    return to_si(number, unit), quantity_of(unit)
