"""Points typed by hand: from cells and units to the table that `satline fit` reads; knows no Qt."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from acquire.window.language import said, tr

TEMPERATURES = ("degC", "K", "degF")
PRESSURES = ("kPa", "hPa", "mbar", "Pa", "bar", "mmHg", "psi")
SHOWN = {"degC": "°C", "degF": "°F"}
BRANCHES = {"up": said("warming"), "down": said("cooling"), "return": said("return")}
AIR = {
    "sealed": said("shut in: give the sealed baseline"), "none": said("none: pure vapour"),
    "corrected": said("subtracted already"),
}  # fmt: skip
COLUMNS = ("temperature", "pressure", "u_temperature", "u_pressure", "branch")


class EntryError(Exception):
    """What was typed cannot be used; found, expected, way out."""


@dataclass(frozen=True)
class Entered:
    """What stands in the window."""

    rows: tuple[tuple[str, ...], ...]  # cells in the order of COLUMNS, the last a key of BRANCHES
    temperature_unit: str  # "" until it was chosen
    pressure_unit: str
    air: str  # a key of AIR, "" until it was chosen
    baseline: tuple[str, str]  # temperature and pressure, in the units of the columns
    liquid: str  # "" until it was chosen


def filled(rows: Sequence[Sequence[str]]) -> list[tuple[str, ...]]:
    """The rows with anything in a cell to be typed."""
    return [tuple(cell.strip() for cell in row) for row in rows if any(cell.strip() for cell in row[:4])]


def table_text(entered: Entered) -> str:
    """The table as a file would have it, decimal commas and all.

    Raises
    ------
    EntryError
        Something is not given that must not be guessed.
    """
    rows = filled(entered.rows)
    if not entered.temperature_unit or not entered.pressure_unit:
        raise EntryError(tr("Choose the units of temperature and pressure; they are never guessed."))
    if not rows:
        raise EntryError(tr("There is no point yet; type or paste temperatures and pressures, one point a row."))
    unit_u = "K" if entered.temperature_unit == "degC" else entered.temperature_unit
    stated = any(row[2] or row[3] for row in rows)
    if stated and not all(row[2] and row[3] for row in rows):
        raise EntryError(tr("Give both uncertainties of every point, or none at all."))
    header = [f"temperature/{entered.temperature_unit}", f"pressure/{entered.pressure_unit}"]
    if stated:
        header += [f"u_temperature/{unit_u}", f"u_pressure/{entered.pressure_unit}"]
    lines = [";".join((*header, "branch"))]
    for number, row in enumerate(rows, 1):
        if not row[0] or not row[1]:
            raise EntryError(tr("Row {0} has no temperature or no pressure; give both or none.").format(number))
        lines.append(";".join((*row[: 4 if stated else 2], row[4])))
    return "\n".join(lines) + "\n"


def air_text(entered: Entered) -> str:
    """How the air was treated, as after --air of `satline fit`.

    Raises
    ------
    EntryError
        Not chosen, or a sealed baseline that is not given.
    """
    if not entered.air:
        raise EntryError(tr("Choose how the trapped air was treated; it is never guessed."))
    if entered.air != "sealed":
        return entered.air
    temperature, pressure = (cell.strip().replace(",", ".") for cell in entered.baseline)
    if not temperature or not pressure:
        raise EntryError(tr("Give temperature and pressure of the closed, dry cell before the charge."))
    return f"sealed={temperature} {entered.temperature_unit},{pressure} {entered.pressure_unit}"


def liquid_name(entered: Entered) -> str:
    """Raises EntryError where none was chosen."""
    if not entered.liquid:
        raise EntryError(tr("Choose the liquid, or 'unknown'."))
    return entered.liquid


def pasted(text: str) -> list[list[str]]:
    """Rows and cells of a pasted table: parted by tabs or semicolons, else by blanks; lines of words are left out.

    A comma is a decimal comma, but for a line that has a point and a comma (`21.4,2.6`), where it parts the cells.
    """
    rows = []
    for line in text.splitlines():
        if not line.strip():
            continue
        if "\t" in line or ";" in line:
            cells = re.split(r"[\t;]", line)
        elif "," in line and "." in line:
            cells = line.split(",")
        else:
            cells = line.split()
        cells = [cell.strip() for cell in cells]
        if cells and re.fullmatch(r"[+\-−]?\d.*", cells[0]):
            rows.append([cell.replace("−", "-") for cell in cells])
    return rows
