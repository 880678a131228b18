"""A table of measured points as text: every column names its unit, nothing is guessed."""

from __future__ import annotations

import csv
import difflib
import io
import math
from collections.abc import Sequence
from pathlib import Path

from analysis.fit_input import FitPoint
from drivers.units import UnitError, difference_to_si, quantity_of, to_si

MAX_BYTES = 5_000_000  # a table of points is a page, not a trace
MAX_ROWS = 20_000
BRANCHES = ("up", "down", "return")
#: column -> quantity that its unit must be of; None: text.
COLUMNS: dict[str, str | None] = {
    "temperature": "temperature",
    "pressure": "pressure",
    "u_temperature": "temperature",
    "u_pressure": "pressure",
    "branch": None,
    "label": None,
}
HEADER_EXAMPLE = "temperature/degC,pressure/kPa"


class PointsCsvError(Exception):
    """A table that cannot be taken as points; file, line, what was found and what was expected.

    Nothing of a faulty table is used: a half-read one would give a plausible wrong value.
    """

    def __init__(self, path: str | Path, line: int, found: str, expected: str) -> None:
        super().__init__(f"{path}:{line}: {found}; expected {expected}")
        self.line, self.found, self.expected = line, found, expected


class PointsTable(list[FitPoint]):
    """The points of a table; `stated` tells whether it gives an uncertainty for temperature or pressure."""

    stated: bool = False


def read_points(path: str | Path) -> PointsTable:
    """The points of a CSV file, in SI.

    The first line that is not blank and does not begin with `#` names each column with its unit.  Columns are
    parted by commas, semicolons or tabs; with semicolons or tabs a decimal comma is taken too.

    Raises
    ------
    PointsCsvError
        With the line.
    OSError
        The file cannot be read.
    """
    path = Path(path)
    if path.stat().st_size > MAX_BYTES:
        raise PointsCsvError(path, 1, f"the file has {path.stat().st_size} bytes", f"a table of at most {MAX_BYTES}")
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise PointsCsvError(path, 1, "bytes that are not UTF-8 text", "a CSV table of points") from error
    return parse_points(text, path)


def parse_points(text: str, name: str | Path = "points") -> PointsTable:
    """The same from text."""
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip() and not line.startswith("#")]
    if not lines:
        raise PointsCsvError(name, 1, "no line with text", f"a header such as {HEADER_EXAMPLE}")
    (header_line, header), *body = lines
    delimiter = next((d for d in ("\t", ";") if d in header), ",")
    columns = _columns(_cells(header, delimiter), name, header_line)
    if len(body) > MAX_ROWS:
        raise PointsCsvError(name, body[MAX_ROWS][0], f"{len(body)} rows", f"at most {MAX_ROWS}")
    comma = delimiter != ","
    points = PointsTable(_point(_cells(line, delimiter), columns, name, number, comma) for number, line in body)
    points.stated = any(column.startswith("u_") for column, _ in columns)
    return points


def _cells(line: str, delimiter: str) -> list[str]:
    return [cell.strip() for cell in next(csv.reader(io.StringIO(line), delimiter=delimiter))]


def _columns(cells: Sequence[str], name: str | Path, line: int) -> list[tuple[str, str]]:
    """(column, unit) of each cell of the header."""
    found: list[tuple[str, str]] = []
    for cell in cells:
        column, slash, unit = (part.strip() for part in cell.partition("/"))
        if column not in COLUMNS:
            near = difflib.get_close_matches(column, COLUMNS, n=1)
            hint = f" (did you mean {near[0]!r}?)" if near else ""
            raise PointsCsvError(name, line, f"the column {column!r}{hint}", ", ".join(COLUMNS))
        if column in {known for known, _ in found}:
            raise PointsCsvError(name, line, f"the column {column!r} twice", "each column once")
        quantity = COLUMNS[column]
        if quantity is not None:
            if not slash or not unit:
                raise PointsCsvError(
                    name, line, f"the column {column!r} without a unit", f"a header such as {HEADER_EXAMPLE}"
                )
            try:
                of = quantity_of(unit)
            except UnitError as error:
                raise PointsCsvError(
                    name, line, f"the unit {unit!r} of {column!r}: {error}", f"a {quantity} unit"
                ) from error
            if of != quantity:
                raise PointsCsvError(name, line, f"{unit!r}, a unit of {of}, for {column!r}", f"a unit of {quantity}")
        found.append((column, unit))
    missing = {"temperature", "pressure"} - {column for column, _ in found}
    if missing:
        raise PointsCsvError(name, line, f"no column {' and no '.join(sorted(missing))}", f"both: {HEADER_EXAMPLE}")
    return found


def _point(
    cells: Sequence[str], columns: Sequence[tuple[str, str]], name: str | Path, line: int, comma: bool
) -> FitPoint:
    if len(cells) != len(columns):
        raise PointsCsvError(name, line, f"{len(cells)} cells", f"{len(columns)}, as in the header")
    fields: dict[str, float | str] = {}
    for (column, unit), cell in zip(columns, cells, strict=True):
        if COLUMNS[column] is None:
            fields[column] = cell
            continue
        value = _number(cell, comma)
        if value is None:
            raise PointsCsvError(name, line, f"{cell!r} as {column}", "a plain number such as 21.84")
        fields[column] = float(difference_to_si(value, unit) if column == "u_temperature" else to_si(value, unit))
    branch = fields.get("branch", "up") or "up"
    if branch not in BRANCHES:
        raise PointsCsvError(name, line, f"the branch {branch!r}", ", ".join(BRANCHES))
    return FitPoint(**(fields | {"branch": branch}))  # type: ignore[arg-type]


def _number(cell: str, comma: bool) -> float | None:
    """A finite plain number, else None: `float` alone also takes "nan", "inf" and "1_000"."""
    text = cell.replace(",", ".") if comma else cell
    if not text or not set(text) <= set("0123456789+-.eE"):
        return None
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
