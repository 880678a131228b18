"""Tables of measured points, and of baselines, as text: every column names its unit, nothing is guessed."""

from __future__ import annotations

import csv
import difflib
import io
import math
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from acquire.record import Baseline
from analysis.fit_input import FitPoint
from drivers.units import UNITS, UnitError, difference_to_si, quantity_of, to_si

MAX_BYTES = 5_000_000  # a table of points is a page, not a trace
MAX_ROWS = 20_000
MAX_LINE = 10_000
BRANCHES = ("up", "down", "return")
#: column -> quantity that its unit must be of; None: text.
COLUMNS: dict[str, str | None] = {
    "temperature": "temperature",
    "pressure": "pressure",
    "u_temperature": "temperature",
    "u_pressure": "pressure",
    "branch": None,
    "label": None,
    "time": "time",
    "correlation": "fraction",
    "lag": "temperature",
    "u_lag": "temperature",
}
#: Columns whose values are differences of temperature: the offset of a scale does not take part.
DIFFERENCES = ("u_temperature", "lag", "u_lag")
#: Columns in which a cell may be empty: not known.
MAY_BE_EMPTY = ("time", "correlation", "lag", "u_lag")
BASELINE_COLUMNS: dict[str, str | None] = {
    "kind": None,
    "temperature": "temperature",
    "pressure": "pressure",
    "u_temperature": "temperature",
    "u_pressure": "pressure",
    "start": "time",
    "end": "time",
}
BASELINE_EXAMPLE = "kind,temperature/degC,pressure/kPa,u_temperature/K,u_pressure/kPa,start/s,end/s"
BASELINE_KINDS = ("room", "sealed")
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

    The first line that is not blank and does not begin with `#` names each column with its unit, behind a slash or in
    round brackets.  Columns are
    parted by commas, semicolons or tabs; with semicolons or tabs a decimal comma is taken too.

    Raises
    ------
    PointsCsvError
        With the line.
    OSError
        The file cannot be read.
    """
    return parse_points(_text_of(Path(path)), path)


def read_baselines(path: str | Path) -> list[Baseline]:
    """The baselines of a run from the table that `satline export` wrote, in SI; raises as `read_points` does."""
    text = _text_of(Path(path))
    columns, body = _table(text, path, BASELINE_COLUMNS, set(BASELINE_COLUMNS), BASELINE_EXAMPLE)
    found = []
    for line, cells, comma in body:
        fields = _fields(cells, columns, path, line, comma)
        if fields["kind"] not in BASELINE_KINDS:
            raise PointsCsvError(path, line, f"the kind {fields['kind']!r}", " or ".join(BASELINE_KINDS))
        found.append(Baseline(**fields))  # type: ignore[arg-type]
    return found


def _text_of(path: Path) -> str:
    if path.stat().st_size > MAX_BYTES:
        raise PointsCsvError(path, 1, f"the file has {path.stat().st_size} bytes", f"a table of at most {MAX_BYTES}")
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise PointsCsvError(path, 1, "bytes that are not UTF-8 text", "a CSV table of points") from error


def parse_points(text: str, name: str | Path = "points") -> PointsTable:
    """The same from text."""
    columns, body = _table(text, name, COLUMNS, {"temperature", "pressure"}, HEADER_EXAMPLE)
    points = PointsTable(_point(cells, columns, name, line, comma) for line, cells, comma in body)
    points.stated = any(column in ("u_temperature", "u_pressure") for column, _ in columns)
    return points


Columns = list[tuple[str, str]]


def _table(
    text: str, name: str | Path, known: Mapping[str, str | None], needed: set[str], example: str
) -> tuple[Columns, list[tuple[int, list[str], bool]]]:
    """(column, unit) of the header, and line number, cells and whether a decimal comma may stand, of each row."""
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip() and not line.startswith("#")]
    for number, line in lines:
        if len(line) > MAX_LINE:
            raise PointsCsvError(name, number, f"a line of {len(line)} characters", f"at most {MAX_LINE}")
    if not lines:
        raise PointsCsvError(name, 1, "no line with text", f"a header such as {example}")
    (header_line, header), *body = lines
    delimiter = next((d for d in ("\t", ";") if d in header), ",")
    columns = _columns(_cells(header, delimiter), name, header_line, known, example)
    missing = needed - {column for column, _ in columns}
    if missing:
        raise PointsCsvError(name, header_line, f"no column {' and no '.join(sorted(missing))}", f"all of: {example}")
    if len(body) > MAX_ROWS:
        raise PointsCsvError(name, body[MAX_ROWS][0], f"{len(body)} rows", f"at most {MAX_ROWS}")
    comma = delimiter != ","
    return columns, [(number, _cells(line, delimiter), comma) for number, line in body]


def _cells(line: str, delimiter: str) -> list[str]:
    return [cell.strip() for cell in next(csv.reader(io.StringIO(line), delimiter=delimiter))]


def _columns(
    cells: Sequence[str], name: str | Path, line: int, known: Mapping[str, str | None], example: str
) -> Columns:
    """(column, unit) of each cell of the header."""
    found: Columns = []
    for cell in cells:
        column, unit = _named(cell)
        if column not in known:
            raise PointsCsvError(name, line, f"the column {column!r}{_hint(column, known)}", ", ".join(known))
        if column in {before for before, _ in found}:
            raise PointsCsvError(name, line, f"the column {column!r} twice", "each column once")
        quantity = known[column]
        if quantity is not None:
            if not unit:
                raise PointsCsvError(name, line, f"the column {column!r} without a unit", f"a header such as {example}")
            try:
                of = quantity_of(unit)
            except UnitError as error:
                fitting = [one.symbol for one in UNITS.values() if one.quantity == quantity]
                found_unit = f"the unit {unit!r} of {column!r}{_hint(unit, fitting)}"
                raise PointsCsvError(name, line, found_unit, f"one of {', '.join(fitting)}") from error
            if of != quantity:
                raise PointsCsvError(name, line, f"{unit!r}, a unit of {of}, for {column!r}", f"a unit of {quantity}")
        found.append((column, unit if quantity is not None else ""))
    return found


def _hint(word: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(word, known, n=1, cutoff=0.5)
    return f" (did you mean {near[0]!r}?)" if near else ""


def _named(cell: str) -> tuple[str, str]:
    """Name and unit of a column: temperature/K, or as it is common too, temperature (K)."""
    before, bracket, inside = cell.partition("(")
    if bracket and inside.endswith(")") and "/" not in before:
        return before.strip(), inside[:-1].strip()
    column, _, unit = cell.partition("/")
    return column.strip(), unit.strip()


def _fields(cells: Sequence[str], columns: Columns, name: str | Path, line: int, comma: bool) -> dict[str, float | str]:
    """The values of one row in SI, by column; an empty cell that may be empty is left out."""
    if len(cells) != len(columns):
        raise PointsCsvError(name, line, f"{len(cells)} cells", f"{len(columns)}, as in the header")
    fields: dict[str, float | str] = {}
    for (column, unit), cell in zip(columns, cells, strict=True):
        if not unit:
            fields[column] = cell
            continue
        if not cell and column in MAY_BE_EMPTY:
            continue
        value = _number(cell, comma)
        if value is None:
            raise PointsCsvError(name, line, f"{cell!r} as {column}", "a plain number such as 21.84")
        fields[column] = float(difference_to_si(value, unit) if column in DIFFERENCES else to_si(value, unit))
    return fields


def _point(cells: Sequence[str], columns: Columns, name: str | Path, line: int, comma: bool) -> FitPoint:
    fields = _fields(cells, columns, name, line, comma)
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
