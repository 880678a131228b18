"""A run as tables and documents for other programs: CSV, JSON, plain HDF5; reads through `RunFile`, writes new files.

CSV after RFC 4180, UTF-8, the unit of each column in its head after a slash.  Numbers are written with a point and as
many digits as bring back the same float64, whatever the locale.  A text cell that a spreadsheet would take for a
formula gets an apostrophe in front (OWASP, "CSV Injection").
"""

from __future__ import annotations

import csv
import dataclasses
import json
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import IO, Any

import h5py
import numpy as np

from acquire.fitting import fit_point
from acquire.record import Baseline, PointRecord
from acquire.runfile import layout
from acquire.runfile.errors import ExportFailedError, RunFileExistsError, first_line
from acquire.runfile.reader import RunFile
from acquire.runfile.tables import UNITS
from drivers.readings import CHANNEL_UNIT

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
#: The columns that `satline fit` reads.
POINT_COLUMNS = (
    "temperature/K", "pressure/Pa", "u_temperature/K", "u_pressure/Pa", "branch", "label", "time/s", "correlation/1",
    "lag/K", "u_lag/K",
)  # fmt: skip

Rows = Iterable[Sequence[Any]]


@dataclasses.dataclass(frozen=True)
class Dialect:
    """How a CSV is written.

    The friendly form begins with a byte order mark and ends lines with CR LF, by which spreadsheets know UTF-8; with
    a decimal comma cells are parted by semicolons, as spreadsheets of such countries expect.
    """

    friendly: bool = False
    decimal_comma: bool = False

    @property
    def encoding(self) -> str:
        return "utf-8-sig" if self.friendly else "utf-8"

    def cell(self, value: Any) -> str:
        if isinstance(value, str):
            return "'" + value if value.startswith(FORMULA_STARTS) else value
        if value is None:
            return ""
        if isinstance(value, bool | np.bool_):
            return "1" if value else "0"
        if isinstance(value, int | np.integer):
            return str(int(value))
        number = float(value)
        text = repr(number) if math.isfinite(number) else ""
        return text.replace(".", ",") if self.decimal_comma else text

    def write(self, stream: IO[str], head: Sequence[str], rows: Rows) -> None:
        writer = csv.writer(
            stream, delimiter=";" if self.decimal_comma else ",", lineterminator="\r\n" if self.friendly else "\n"
        )
        writer.writerow(head)
        writer.writerows([self.cell(value) for value in row] for row in rows)


def export_csv(path: str | Path, folder: str | Path, dialect: Dialect | None = None) -> list[Path]:
    """Write the tables of a run into a folder; returns the files.

    `…-points.csv` holds the points in use, as `satline fit` reads them, and `…-plan.json` and `…-baselines.csv` what
    it needs beside them; `…-all-points.csv` all points with windows and reasons; one file for the readings of each
    channel; the journal.

    Raises
    ------
    RunFileExistsError
        One of the files is there already; nothing is overwritten.
    ExportFailedError, NotARunFileError, DamagedFileError
    """
    dialect = dialect or Dialect()
    written = []
    with RunFile(path) as run:
        for name, head, rows in _tables(run):
            target = Path(folder) / f"{Path(path).stem}-{name}.csv"
            with _new_text(target, dialect.encoding) as stream:
                dialect.write(stream, head, rows())
            written.append(target)
        target = Path(folder) / f"{Path(path).stem}-plan.json"
        with _new_text(target, "utf-8") as stream:
            json.dump(_plain(run.header().plan), stream, ensure_ascii=False, allow_nan=False, indent=1)
            stream.write("\n")
        written.append(target)
    return written


def _tables(run: RunFile) -> Iterator[tuple[str, Sequence[str], Callable[[], Rows]]]:
    points, baselines = run.points(), run.baselines()
    used = [point for point in points if point.used]
    yield (
        "points",
        POINT_COLUMNS,
        lambda: (
            (
                p.temperature,
                p.pressure,
                p.u_temperature,
                p.u_pressure,
                p.branch,
                p.label,
                p.time,
                p.correlation,
                p.lag,
                p.u_lag,
            )
            for p in map(fit_point, used)
        ),
    )
    yield "all-points", _heads(PointRecord), lambda: (dataclasses.astuple(point) for point in points)
    yield "baselines", _heads(Baseline), lambda: (dataclasses.astuple(baseline) for baseline in baselines)
    for channel in run.channels:
        unit = CHANNEL_UNIT[channel]
        columns = ("time/s", f"{channel}/{unit}", "raw", "quality")
        yield f"readings-{channel}", columns, lambda channel=channel: _readings(run, channel)  # type: ignore[misc]
    head = ("number", "time/s", "kind", "actor", "given", "text", "data")
    yield (
        "journal",
        head,
        lambda: (
            (e.number, e.time, e.kind, e.actor, e.given, e.text, json.dumps(dict(e.data), ensure_ascii=False))
            for e in run.entries()
        ),
    )


def _heads(kind: type) -> list[str]:
    return [f"{f.name}/{UNITS[f.name]}" if UNITS.get(f.name) else f.name for f in dataclasses.fields(kind)]


def _readings(run: RunFile, channel: str) -> Rows:
    """In pieces, so that a day at 1 kHz needs no memory."""
    for start in range(0, run.rows(channel), layout.SLICE_ROWS):
        trace = run.trace(channel, start, start + layout.SLICE_ROWS)
        yield from zip(
            trace.time.tolist(), trace.value.tolist(), trace.raw.tolist(), trace.quality.tolist(), strict=True
        )


def export_json(path: str | Path, target: str | Path) -> Path:
    """The whole run as one JSON document in SI; numbers that JSON has no word for are null.

    Raises
    ------
    RunFileExistsError, ExportFailedError, NotARunFileError, DamagedFileError
    """
    with RunFile(path) as run:
        record = run.record()
    document = {
        "format": "satline run",
        "schema_version": layout.SCHEMA_VERSION,
        "units": "SI: K, Pa, s, J/mol",
        **{
            field.name: getattr(record, field.name)
            for field in dataclasses.fields(record)
            if field.name not in ("traces", "journal", "path")
        },
        "journal": [json.loads(entry.canonical()) for entry in record.journal],
        "traces": {
            channel: {
                "unit": trace.unit,
                "device": trace.device,
                **{name: getattr(trace, name) for name in ("time", "value", "raw", "quality")},
            }
            for channel, trace in record.traces.items()
        },
    }
    with _new_text(Path(target), "utf-8") as stream:
        json.dump(_plain(document), stream, ensure_ascii=False, allow_nan=False, indent=1)
        stream.write("\n")
    return Path(target)


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return _plain(dataclasses.asdict(value))
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, np.ndarray):
        if value.dtype.kind != "f":
            return value.tolist()
        return [item if math.isfinite(item) else None for item in value.tolist()]
    return None if isinstance(value, float) and not math.isfinite(value) else value


def export_hdf5(path: str | Path, target: str | Path) -> Path:
    """The readings and points as a plain HDF5 file that the oldest libraries read: columns and units, nothing else.

    Raises
    ------
    RunFileExistsError, ExportFailedError, NotARunFileError, DamagedFileError
    """
    target = Path(target)
    if target.exists():
        raise RunFileExistsError(target)
    try:
        with RunFile(path) as run, h5py.File(target, "x", libver="earliest") as file:
            file.attrs["title"] = run.header().title
            file.attrs["start_time"] = run.header().start_time
            for channel in run.channels:
                _plain_channel(run, channel, file.create_group(channel))
            points = file.create_group("points")
            records = run.points()
            for field in dataclasses.fields(PointRecord):
                if field.type == "str":
                    continue
                column = points.create_dataset(field.name, data=np.array([getattr(p, field.name) for p in records]))
                column.attrs["units"] = UNITS.get(field.name, "")
    except (OSError, RuntimeError) as error:
        target.unlink(missing_ok=True)
        raise ExportFailedError(target, first_line(error)) from error
    return target


def _plain_channel(run: RunFile, channel: str, group: h5py.Group) -> None:
    rows = run.rows(channel)
    units = {"time": "s", "value": CHANNEL_UNIT[channel], "raw": "", "quality": ""}
    columns = {
        name: group.create_dataset(name, (rows,), "u1" if name == "quality" else "f8", compression="gzip", shuffle=True)
        if rows
        else group.create_dataset(name, (0,), "f8")
        for name in units
    }
    for name, unit in units.items():
        columns[name].attrs["units"] = unit
    for start in range(0, rows, layout.SLICE_ROWS):
        trace = run.trace(channel, start, start + layout.SLICE_ROWS)
        for name in units:
            part = getattr(trace, name)
            columns[name][start : start + len(part)] = part


class _new_text:
    """A new text file that is removed again when writing it fails; an existing one is refused."""

    def __init__(self, path: Path, encoding: str) -> None:
        self._path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._stream = open(path, "x", encoding=encoding, newline="")  # noqa: SIM115  (closed in __exit__)
        except FileExistsError as error:
            raise RunFileExistsError(path) from error
        except OSError as error:
            raise ExportFailedError(path, first_line(error)) from error

    def __enter__(self) -> IO[str]:
        return self._stream

    def __exit__(self, kind: Any, error: BaseException | None, trace: Any) -> None:
        try:
            self._stream.close()
        except OSError as failed:
            error = error or failed
        if error is not None:
            self._path.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise ExportFailedError(self._path, first_line(error)) from error
