"""Reads a table of liquids (TOML text) strictly: every fault at once, each with its liquid and key."""

from __future__ import annotations

import difflib
import math
import tomllib
from typing import Any

from analysis.liquids import Changing, Form, Liquid, Sourced
from analysis.refusal import LiquidError

FORMAT = 1
_TEXT = {"name", "formula", "cas"}
_SOURCED = {
    "enthalpy_vap": {"value", "u", "temperature", "source"},
    "heat_capacity_difference": {"value", "u", "temperature", "slope", "source"},
    "density": {"value", "u_relative", "expansivity", "expansivity_slope", "temperature", "source"},
    "heat_capacity": {"value", "u_relative", "temperature", "source"},
    "boiling_point": {"value", "u", "source"},
    "flash_point": {"value", "u", "source"},
    "air_solubility": {"value", "u_relative", "source"},
    "water_activity": {"value", "u_relative", "source"},
}
_FORMS = {
    "saturation": (4, {"coefficients", "range", "u_relative", "form_deviation", "source"}),
    "dz": (3, {"coefficients", "range", "u", "source"}),
}
#: Where values of any liquid lie, with the unit a table has to use: a value in degC, kJ or g/cm3 falls outside.
_PLAUSIBLE = {
    "enthalpy_vap": (3e3, 3e5, "J/mol"),
    "heat_capacity_difference": (-500.0, 100.0, "J/(mol K)"),
    "density": (300.0, 5000.0, "kg/m3"),
    "heat_capacity": (20.0, 3000.0, "J/(mol K)"),
    "boiling_point": (150.0, 900.0, "K"),
    "flash_point": (120.0, 700.0, "K"),
    "temperature": (100.0, 900.0, "K"),
    "expansivity": (0.0, 0.02, "1/K"),
    "expansivity_slope": (-1e-4, 1e-4, "1/K2"),
    "slope": (-5.0, 5.0, "J/(mol K2)"),
    "molar_mass": (2e-3, 1.0, "kg/mol"),
}
_KEYS = _TEXT | {"aliases", "molar_mass"} | set(_SOURCED) | set(_FORMS)


class _Faults:
    """Collects what is wrong, so that one reading of the table shows everything."""

    def __init__(self, origin: str) -> None:
        self.origin, self.found = origin, list[str]()

    def add(self, where: str, text: str) -> None:
        self.found.append(f"{where}: {text}")

    def unknown(self, where: str, given: set[str], known: set[str]) -> None:
        for key in sorted(given - known):
            near = difflib.get_close_matches(key, known, n=1)
            self.add(where, f"unknown key {key!r}" + (f", did you mean {near[0]!r}?" if near else ""))

    def number(self, where: str, table: dict[str, Any], key: str, default: float | None = None) -> float:
        """NaN where it is none, which no later comparison finds fault with a second time."""
        value = table.get(key, default)
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            if key not in table and default is not None:
                return default
            self.add(where, f"has no {key}" if key not in table else f"{key} is {value!r}, not a number")
            return math.nan
        return float(value)

    def within(self, where: str, key: str, value: float, of: str | None = None) -> None:
        """Whether a value is possible in the unit that the table uses; `of` names the entry in `_PLAUSIBLE`."""
        low, high, unit = _PLAUSIBLE.get(of or key, (-math.inf, math.inf, ""))
        if value < low or value > high:
            self.add(where, f"{key} is {value:g}; expected {unit}, between {low:g} and {high:g}")

    def numbers(self, where: str, table: dict[str, Any], key: str, count: int) -> tuple[float, ...]:
        values = table.get(key)
        if (
            not isinstance(values, list)
            or len(values) != count
            or not all(isinstance(v, int | float) and not isinstance(v, bool) for v in values)
        ):
            self.add(where, f"{key} is {values!r}, not {count} numbers")
            return (0.0,) * count
        return tuple(float(v) for v in values)


def parse_liquids(text: str, origin: str = "the table of liquids") -> tuple[Liquid, ...]:
    """Liquids from TOML text.

    Parameters
    ----------
    text : str
        A table in the form of the shipped one: `[[liquid]]` entries, SI units.
    origin : str
        How the text is called in messages, usually its file name.

    Raises
    ------
    LiquidError
        Names every fault: liquid, key, what was found.
    """
    try:
        document = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        raise LiquidError(
            f"{origin} is not TOML: {fault}", "a TOML table of liquids", "Mend the line named."
        ) from fault
    faults = _Faults(origin)
    if document.get("format") != FORMAT:
        given = f"format is {document['format']!r}" if "format" in document else f"there is no line 'format = {FORMAT}'"
        faults.add("top", f"{given}, this program reads {FORMAT}")
    faults.unknown("top", set(document), {"format", "libraries", "liquid"})
    entries = document.get("liquid", [])
    liquids = tuple(_liquid(entry, faults, number) for number, entry in enumerate(entries, 1))
    names = [n.casefold() for liquid in liquids for n in (liquid.name, *liquid.aliases)]
    for name in sorted({n for n in names if names.count(n) > 1}):
        faults.add(name, "the name is given twice")
    if faults.found:
        raise LiquidError(
            f"{origin} has {len(faults.found)} fault{'s' * (len(faults.found) > 1)}: " + "; ".join(faults.found),
            "entries like those of the shipped table",
            "Mend them and read it again.",
        )
    return liquids


def _sourced(entry: dict[str, Any], key: str, faults: _Faults, where: str) -> Sourced | None:
    table = entry.get(key)
    if table is None:
        return None
    place = f"{where}, {key}"
    if not isinstance(table, dict):
        faults.add(place, f"is {table!r}, not a table")
        return None
    faults.unknown(place, set(table), _SOURCED[key])
    value = faults.number(place, table, "value")
    u = faults.number(place, table, "u_relative") * abs(value) if "u_relative" in _SOURCED[key] else None
    u = faults.number(place, table, "u") if u is None else u
    if u <= 0:
        faults.add(place, "the uncertainty is not greater than zero")
    if not table.get("source"):
        faults.add(place, "no source is named")
    faults.within(place, "value", value, key)
    temperature = faults.number(place, table, "temperature", math.nan)
    faults.within(place, "temperature", temperature)
    source = str(table.get("source", ""))
    if "slope" not in _SOURCED[key]:
        return Sourced(value, u, source, temperature)
    slope = faults.number(place, table, "slope", 0.0)
    faults.within(place, "slope", slope)
    return Changing(value, u, source, temperature, slope)


def _form(entry: dict[str, Any], key: str, faults: _Faults, where: str) -> Form | None:
    table = entry.get(key)
    if table is None:
        return None
    place = f"{where}, {key}"
    if not isinstance(table, dict):
        faults.add(place, f"is {table!r}, not a table")
        return None
    count, known = _FORMS[key]
    faults.unknown(place, set(table), known)
    coefficients = faults.numbers(place, table, "coefficients", count)
    low, high = faults.numbers(place, table, "range", 2)
    if not 0 < low < high:
        faults.add(place, f"range {low:g} to {high:g} is not two rising temperatures in kelvin")
    else:
        faults.within(place, "the lower end of range", low, "temperature")
    u = faults.number(place, table, "u_relative" if "u_relative" in known else "u")
    if u <= 0:
        faults.add(place, "the uncertainty is not greater than zero")
    if not table.get("source"):
        faults.add(place, "no source is named")
    return Form(
        coefficients, (low, high), u, str(table.get("source", "")), faults.number(place, table, "form_deviation", 0.0)
    )


def _liquid(entry: dict[str, Any], faults: _Faults, number: int) -> Liquid:
    where = str(entry.get("name") or f"liquid {number}")
    faults.unknown(where, set(entry), _KEYS)
    if not entry.get("name"):
        faults.add(where, "has no name")
    molar_mass = faults.number(where, entry, "molar_mass")
    faults.within(where, "molar_mass", molar_mass)
    parts = {key: _sourced(entry, key, faults, where) for key in _SOURCED}
    density = entry.get("density", {})
    optional = {
        k: v for k, v in parts.items() if v is not None or k not in ("heat_capacity_difference", "air_solubility")
    }
    for key in ("expansivity", "expansivity_slope"):
        if isinstance(density, dict) and key in density:
            value = faults.number(f"{where}, density", density, key)
            faults.within(f"{where}, density", key, value)
            optional[key] = value  # type: ignore[assignment]
    return Liquid(
        name=str(entry.get("name", "")),
        molar_mass=molar_mass,
        formula=str(entry.get("formula", "")),
        cas=str(entry.get("cas", "")),
        aliases=tuple(str(a) for a in entry.get("aliases", [])),
        saturation=_form(entry, "saturation", faults, where),
        dz_form=_form(entry, "dz", faults, where),
        **optional,  # type: ignore[arg-type]
    )
