"""Summaries on disk, one line of JSON each, so that they can be gone through again without being held."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Iterator, Sequence
from importlib import import_module
from pathlib import Path

from acquire.pool.settings import PoolError
from acquire.pool.summary import LEFT_OUT, USED, RunSummary

COLUMNS = (
    *("run", "bench", "status", "reason", "liquid", "air", "simulated", "start/s", "points"),
    *("enthalpy_vap/(J/mol)", "u_own/(J/mol)", "u/(J/mol)", "low_95/(J/mol)", "high_95/(J/mol)"),
    *("room_pressure/Pa", "shared", "findings", "source", "content"),
)


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

    def __iter__(self) -> Iterator[RunSummary]:
        for table in self.tables:
            yield from read_table(table)
        with self.path.open(encoding="utf-8") as file:
            for line in file:
                yield RunSummary.from_dict(json.loads(line))


def table_row(summary: RunSummary) -> list[str]:
    """One line of the table of runs, SI, numbers in full."""
    low, high = summary.interval_95
    shared = ";".join(f"{carrier}={label}:{part!r}" for carrier, label, part in summary.shared)
    numbers = (summary.value, summary.u_own, summary.u if summary.shared or summary.used else summary.u_own, low, high)
    return [
        *(summary.run, summary.bench, summary.status, summary.reason, summary.liquid, summary.air),
        *("yes" if summary.simulated else "no", _text(summary.start), str(summary.points)),
        *(_text(number) for number in numbers),
        *(_text(summary.room_pressure), shared, ";".join(summary.findings), summary.source, summary.content),
    ]


def written_to_table(summaries: Iterable[RunSummary], path: str | Path) -> Iterator[RunSummary]:
    """Hands the summaries on, and each goes into the table of runs as it passes; the table can be pooled again."""
    with Path(path).open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for summary in summaries:
            writer.writerow(table_row(summary))
            yield summary


def write_table(summaries: Iterable[RunSummary], path: str | Path) -> Path:
    """The table of runs as CSV."""
    for _ in written_to_table(summaries, path):
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
    """Summaries of a table of runs, one at a time; the points are not in it, so no curve comes of it.

    Raises
    ------
    PoolError
        With file and line.
    """
    with Path(path).open(encoding="utf-8-sig", newline="") as file:
        number = 1
        try:
            for number, row in enumerate(csv.reader(file), start=1):
                if number > 1:
                    yield _summary(row)
        except (ValueError, csv.Error) as error:
            raise PoolError(f"{path}:{number}: {error}; expected a line as a pooling wrote it") from error


def _summary(row: list[str]) -> RunSummary:
    if len(row) != len(COLUMNS):
        raise ValueError(f"{len(row)} cells in place of {len(COLUMNS)}")
    run, bench, status, reason, liquid, air, simulated, start, points = row[:9]
    value, u_own, _, low, high, room, shared, findings, source, content = row[9:]
    if status not in (USED, LEFT_OUT):
        raise ValueError(f"the status {status!r}")
    return RunSummary(
        source=source,
        content=content,
        status=status,
        reason=reason,
        run=run,
        bench=bench,
        liquid=liquid,
        air=air,
        simulated=simulated == "yes",
        start=_number(start),
        value=_number(value),
        u_own=_number(u_own),
        interval_95=(_number(low), _number(high)),
        shared=tuple(_share(text) for text in shared.split(";")) if shared else (),
        points=int(points),
        room_pressure=_number(room),
        findings=tuple(findings.split(";")) if findings else (),
    )


def _share(text: str) -> tuple[str, str, float]:
    named, _, part = text.rpartition(":")
    carrier, _, label = named.partition("=")
    return carrier, label, float(part)


def _text(number: float) -> str:
    return "" if number != number else repr(float(number))


def _number(text: str) -> float:
    return float(text) if text else float("nan")


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
