"""Summaries on disk, one line each, so that they can be gone through again without being held: JSON, or a table."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Iterator, Sequence
from importlib import import_module
from itertools import islice
from pathlib import Path

import numpy as np

from acquire.pool.columns import Floats, RunColumns, in_columns
from acquire.pool.settings import PoolError
from acquire.pool.summary import LEFT_OUT, USED, RunSummary
from analysis.pooling.runs import Parts, Share

COLUMNS = (
    *("run", "bench", "status", "reason", "liquid", "air", "simulated", "start/s", "points"),
    *("enthalpy_vap/(J/mol)", "u_own/(J/mol)", "u/(J/mol)", "low_95/(J/mol)", "high_95/(J/mol)"),
    *("room_pressure/Pa", "shared", "findings", "source", "content"),
)
LINES = 8192  # of a table that are held at a time, as columns
ROWS = 256  # of them that are held as rows: the garbage collector goes through rows, not through columns of text


class SummaryStore:
    """A file of summaries that grows by one line at a time and is read from the top as often as wanted.

    `tables` are tables of runs that come first; they are read where they are.
    """

    def __init__(self, path: str | Path, tables: Sequence[Path] = ()) -> None:
        self.path, self.tables = Path(path), tuple(tables)
        self.path.write_text("", encoding="utf-8")
        self.count = 0

    def extend(self, summaries: Iterable[RunSummary]) -> None:
        with self.path.open("a", encoding="utf-8") as file:
            for summary in summaries:
                file.write(json.dumps(summary.as_dict(), allow_nan=False) + "\n")
                self.count += 1

    def __iter__(self) -> Iterator[RunColumns]:
        for table in self.tables:
            yield from read_columns(table)
        with self.path.open(encoding="utf-8") as file:
            yield from in_columns(RunSummary.from_dict(json.loads(line)) for line in file)


def written_to_table(runs: Iterable[RunColumns], path: str | Path) -> Iterator[RunColumns]:
    """Hands the runs on, and each goes into the table of runs as it passes; the table can be pooled again."""
    with Path(path).open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for some in runs:
            writer.writerows(zip(*_cells(some), strict=True))
            yield some


def _cells(runs: RunColumns) -> tuple[Sequence[str], ...]:
    """The columns of the table of runs, SI, numbers in full."""
    numbers = (runs.value, runs.u_own, runs.u, runs.low, runs.high, runs.room_pressure)
    return (
        *(runs.run, runs.bench, [USED if used else LEFT_OUT for used in runs.used.tolist()], runs.reason),
        *(runs.liquid, runs.air, ["yes" if simulated else "no" for simulated in runs.simulated.tolist()]),
        *(_texts(runs.start), list(map(str, runs.points.tolist()))),
        *map(_texts, numbers),
        *(_shared_texts(runs.parts, len(runs)), runs.findings, runs.source, runs.content),
    )


def _texts(numbers: Floats) -> list[str]:
    return ["" if number != number else repr(number) for number in numbers.tolist()]


def _shared_texts(parts: Parts, count: int) -> list[str]:
    heads = [f"{carrier}={label}:" for carrier, label in parts.things]
    items = [heads[thing] + repr(part) for thing, part in zip(parts.thing.tolist(), parts.part.tolist(), strict=True)]
    ends = np.searchsorted(parts.run, np.arange(count), side="right").tolist()
    return [";".join(items[begin:end]) for begin, end in zip([0, *ends], ends, strict=False)]


def write_table(summaries: Iterable[RunSummary], path: str | Path) -> Path:
    """The table of runs as CSV."""
    for _ in written_to_table(in_columns(summaries), path):
        pass
    return Path(path)


def is_table(path: str | Path) -> bool:
    """Whether a file is a table of runs, as an earlier pooling wrote it."""
    try:
        with Path(path).open(encoding="utf-8-sig", newline="") as file:
            return file.readline().strip().split(",")[: len(COLUMNS)] == list(COLUMNS)
    except (OSError, UnicodeDecodeError):
        return False


def read_table(path: str | Path) -> Iterator[RunSummary]:
    """Summaries of a table of runs, one at a time; see `read_columns`."""
    for some in read_columns(path):
        yield from some.summaries()


def read_columns(path: str | Path) -> Iterator[RunColumns]:
    """The runs of a table of runs, many at a time; the points are not in it, so no curve comes of it.

    Raises
    ------
    PoolError
        With file and line.
    """
    with Path(path).open(encoding="utf-8-sig", newline="") as file:
        file.readline()
        lines = csv.reader(file)
        while True:
            try:
                some = _columns(lines, LINES)
            except (ValueError, csv.Error) as error:
                raise _first_spoilt(path) from error
            if not len(some):
                return
            yield some


def _first_spoilt(path: str | Path) -> PoolError:
    """Names the line at which a table cannot be read."""
    with Path(path).open(encoding="utf-8-sig", newline="") as file:
        number = 1
        try:
            for number, row in enumerate(csv.reader(file), start=1):
                if number > 1:
                    _columns(iter([row]), 1)
        except (ValueError, csv.Error) as error:
            return PoolError(f"{path}:{number}: {error}; expected a line as a pooling wrote it")
    return PoolError(f"{path} was changed while it was read; expected a table that nobody writes; try it again")


def _columns(lines: Iterator[list[str]], count: int) -> RunColumns:
    """The next runs of a table, at most so many; none at its end."""
    cells: list[list[str]] = [[] for _ in COLUMNS]
    for first in range(0, count, ROWS):
        rows = list(islice(lines, min(ROWS, count - first)))
        for row in rows:
            if len(row) != len(COLUMNS):
                raise ValueError(f"{len(row)} cells in place of {len(COLUMNS)}")
        for column, more in zip(cells, zip(*rows, strict=True), strict=False):  # no rows, no columns
            column.extend(more)
    run, bench, status, reason, liquid, air, simulated, start, points, *others = cells
    value, u_own, _, low, high, room, shared, findings, source, content = others
    for unknown in set(status) - {USED, LEFT_OUT}:
        raise ValueError(f"the status {unknown!r}")
    return RunColumns(
        source=source,
        content=content,
        reason=reason,
        run=run,
        bench=bench,
        liquid=liquid,
        air=air,
        findings=findings,
        used=np.array([one == USED for one in status], bool),
        simulated=np.array([one == "yes" for one in simulated], bool),
        start=_numbers(start),
        value=_numbers(value),
        u_own=_numbers(u_own),
        low=_numbers(low),
        high=_numbers(high),
        points=np.array(list(map(int, points)), int),
        room_pressure=_numbers(room),
        parts=_parts(shared),
    )


def _numbers(texts: Sequence[str]) -> Floats:
    return np.array([float(text or "nan") for text in texts], float)


def _parts(texts: Sequence[str]) -> Parts:
    code: dict[str, int] = {}
    run: list[int] = []
    thing: list[int] = []
    part: list[float] = []
    for place, text in enumerate(texts):
        for item in text.split(";") if text else ():
            named, _, number = item.rpartition(":")
            run.append(place)
            thing.append(code.setdefault(named, len(code)))
            part.append(float(number))
    return Parts(np.array(run, int), np.array(thing, int), np.array(part, float), _things(code))


def _things(texts: Iterable[str]) -> tuple[Share, ...]:
    return tuple((carrier, label) for carrier, _, label in (text.partition("=") for text in texts))


def write_parquet(table: str | Path, path: str | Path) -> Path:
    """The table of runs as Parquet, made from the CSV in pieces.

    Raises
    ------
    PoolError
        The library is not installed.
    """
    try:
        arrow, arrow_csv, parquet = map(import_module, ("pyarrow", "pyarrow.csv", "pyarrow.parquet"))
    except ImportError as error:
        raise PoolError(
            "Parquet needs the library pyarrow, which is not installed; install it, or use the CSV"
        ) from error
    numbers = {name: arrow.float64() for name in COLUMNS if "/" in name}
    texts = {name: arrow.string() for name in COLUMNS if "/" not in name and name != "points"}
    convert = arrow_csv.ConvertOptions(
        column_types=numbers | texts | {"points": arrow.int64()}, strings_can_be_null=False
    )
    with (
        arrow_csv.open_csv(table, convert_options=convert) as reader,
        parquet.ParquetWriter(path, reader.schema) as out,
    ):
        for batch in reader:
            out.write_batch(batch)
    return Path(path)
