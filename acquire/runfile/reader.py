"""Reads a run file: the whole of it as a `RunRecord`, or lazily; also while it is being written."""

from __future__ import annotations

import itertools
from pathlib import Path
from types import TracebackType
from typing import Any

import h5py
import numpy as np
from numpy.typing import NDArray

from acquire.journal import Entry
from acquire.points import PointBook, baselines_of
from acquire.record import Baseline, PointRecord, RunRecord, Trace
from acquire.runfile import layout, refusals
from acquire.runfile.access import MALFORMED, open_for_reading, read_header, text_of
from acquire.runfile.codes import raw_values
from acquire.runfile.columns import checked, local, shortest
from acquire.runfile.errors import DamagedFileError, RunFileError, first_line
from acquire.runfile.layout import RunHeader
from acquire.runfile.seal import Seal, read_seal
from acquire.runfile.tables import R, read_document, read_records, result_numbers
from acquire.runfile.written import Written, read_written, wrong_rows
from drivers.readings import CHANNEL_UNIT, CHANNELS


class RunFile:
    """A run file opened for reading; also one that is being written, which `refresh` follows.

    Parameters
    ----------
    path
        The file.
    unlooked
        Open it at once: this process wrote it, or may die of it. Any other is first sent through `gate`.

    Raises
    ------
    NotARunFileError, DamagedFileError
        By the constructor and by every method that reads.

    Threads: one at a time.
    """

    def __init__(self, path: str | Path, *, unlooked: bool = False) -> None:
        self.path = Path(path)
        self._columns: dict[str, h5py.Dataset] = {}
        self._noted: dict[str, Written | None] = {}
        self._counted: dict[str, int] = {}  # readings by channel; stands once nobody writes
        self._file = open_for_reading(path, unlooked=unlooked)
        self._killed = self._file.driver == "fileobj"  # asking HDF5 costs as much as a small read
        self._devices: dict[str, str] = {}

    def __enter__(self) -> RunFile:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        self._columns.clear()
        self._file.close()

    @property
    def live(self) -> bool:
        """True while somebody is writing it."""
        return bool(self._file.swmr_mode)

    @property
    def killed(self) -> bool:
        """True when its writer ended without closing it."""
        return self._killed

    @property
    def sealed(self) -> bool:
        return layout.SEAL in self._file

    @property
    def channels(self) -> tuple[str, ...]:
        """Channels with at least one reading."""
        return tuple(channel for channel in CHANNELS if self.rows(channel))

    @property
    def hdf(self) -> h5py.File:
        """The open HDF5 file below, for the parts of this package."""
        return self._file

    def seal(self) -> Seal | None:
        """The seal as stored; None for a run that was not closed."""
        return self._guarded(read_seal, self._file)

    def header(self) -> RunHeader:
        return self._guarded(read_header, self._file)

    def refresh(self) -> None:
        """See what the writer has added since."""
        if not self.live:
            return

        def look_again() -> None:
            # the overview first: a level must never seem longer than the readings it stands for
            for channel in CHANNELS:
                for name in self._file[layout.overview_path(channel)]:
                    self._column(f"{layout.overview_path(channel)}/{name}").refresh()
                for name in layout.COLUMNS:
                    self._column(f"{layout.log_path(channel)}/{name}").refresh()
            for name in (*layout.JOURNAL_COLUMNS, "lines"):
                self._column(f"{layout.JOURNAL}/{name}").refresh()

        self._guarded(look_again)

    def rows(self, channel: str) -> int:
        """Readings of this channel that are in the file."""
        if not self.live and channel in self._counted:
            return self._counted[channel]

        def count() -> int:
            if f"{layout.log_path(channel)}/time" not in self._columns and layout.log_path(channel) not in self._file:
                return 0
            rows = shortest(self._column(f"{layout.log_path(channel)}/{name}") for name in layout.COLUMNS)
            written = self._written(channel)
            return rows if written is None else min(rows, written.rows)

        self._counted[channel] = self._guarded(count)
        return self._counted[channel]

    def length(self, path: str) -> int:
        """Rows of one column."""
        return self._guarded(lambda: int(self._column(path).shape[0]))

    def rows_of(self, path: str, first: int, last: int) -> NDArray:
        """Rows of one column."""
        return self._guarded(lambda: self._column(path)[first:last])

    def _column(self, path: str) -> h5py.Dataset:
        # looking a column up costs as much as reading a screenful of it
        column = self._columns.get(path)
        if column is None:
            column = self._columns[path] = checked(local(self._file, path))
        return column

    def _written(self, channel: str) -> Written | None:
        """What is known to have been written, of a file whose writer was killed."""
        if not self.killed:
            return None
        if channel not in self._noted:
            self._noted[channel] = read_written(self._file[layout.recording_path(channel)])
        return self._noted[channel]

    def trace(self, channel: str, start: int = 0, stop: int | None = None) -> Trace:
        """Readings from row `start` to before `stop`.

        Rows that the file has room for but that were never written (after a full disk) are left out.
        """
        rows = self.rows(channel)
        stop = rows if stop is None else min(stop, rows)

        def read() -> Trace:
            columns = {name: self._column(f"{layout.log_path(channel)}/{name}")[start:stop] for name in layout.COLUMNS}
            written = self._written(channel)
            if written is not None and start == 0 and (wrong := wrong_rows(written, columns)) and stop == rows:
                raise ValueError(f"{wrong} {channel} readings are not as they were written")
            raw = self._column(f"{layout.log_path(channel)}/raw_value")
            there = ~np.isnan(columns["time"])
            if not there.all():
                columns = {name: column[there] for name, column in columns.items()}
            devices = self._devices.get(channel, "")
            if not devices:
                devices = text_of(self._file[f"{layout.recording_path(channel)}/devices"])
                if not self.live:  # another device may take over while a run goes on
                    self._devices[channel] = devices
            return Trace(
                channel,
                CHANNEL_UNIT[channel],
                _frozen(columns["time"], np.float64),
                _frozen(columns["value"], np.float64),
                _frozen(raw_values(raw, columns["raw_value"]), np.float64),
                _frozen(columns["value_mask"], np.uint8),
                devices,
            )

        return self._guarded(read)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Journal entries from this number on."""
        return self._guarded(lambda: tuple(Entry.from_canonical(line) for line in self.journal_lines(since)[0]))

    def journal_lines(self, since: int = 0) -> tuple[list[str], list[str]]:
        """The canonical lines and stored hashes from this row on."""

        def read() -> tuple[list[str], list[str]]:
            journal = {name: self._column(f"{layout.JOURNAL}/{name}") for name in (*layout.JOURNAL_COLUMNS, "lines")}
            rows = shortest(journal[name] for name in layout.JOURNAL_COLUMNS)
            if since >= rows:
                return [], []
            first = int(journal["end"][since - 1]) if since else 0
            ends = journal["end"][since:rows].astype(np.int64)
            stored = journal["lines"].shape[0]
            if first < 0 or ends[0] < first or np.any(np.diff(ends) < 0) or ends[-1] > stored:
                raise ValueError("the journal's rows point outside its lines")
            data = journal["lines"][first : int(ends[-1])].tobytes()
            bounds = [0, *(ends - first).tolist()]
            lines = [data[a:b].decode("utf-8").rstrip("\n") for a, b in itertools.pairwise(bounds)]
            return lines, [item.decode("ascii") for item in journal["sha256"][since:rows].tolist()]

        return self._guarded(read)

    def record(self, traces: dict[str, Trace] | None = None) -> RunRecord:
        """Everything, as plain data; with `traces` in place of the readings where they stay in the file."""
        return self._guarded(self._record, traces)

    def _record(self, given: dict[str, Trace] | None) -> RunRecord:
        file, entry = self._file, self._file["entry"]
        header = read_header(file)
        end_time = text_of(entry["end_time"]) if "end_time" in entry else None
        traces = {channel: self.trace(channel) for channel in self.channels} if given is None else given
        entries = self.entries()
        return RunRecord(
            title=header.title,
            plan=dict(header.plan),
            plan_text=header.plan_text,
            profile_texts=dict(header.profile_texts),
            devices=dict(header.devices),
            start_time=header.start_time,
            end_time=end_time,
            program=header.program,
            traces=traces,
            journal=entries,
            baselines=self.baselines(),
            points=self.points(),
            results=tuple(read_document(entry[f"result_{number}/document"]) for number in result_numbers(entry)),
            truth=read_document(entry["truth"]) if "truth" in entry else None,
            versions=dict(header.versions),
            path=str(self.path),
            integrity="open" if self.live or self.killed else "sealed" if self.sealed else "unsealed",
            seal=_seal_content(file),
        )

    def points(self) -> tuple[PointRecord, ...]:
        """All points as they stand now.

        The journal decides: it has the points of a run that goes on, and edits made after the close.
        """
        book = PointBook(self.entries())
        return book.points if book.next_number > 1 else self._guarded(self._stored, layout.POINTS, PointRecord)

    def baselines(self) -> tuple[Baseline, ...]:
        """The baselines in force."""
        return baselines_of(self.entries()) or self._guarded(self._stored, layout.BASELINES, Baseline)

    def _stored(self, path: str, kind: type[R]) -> tuple[R, ...]:
        return read_records(self._file[path], kind) if path in self._file else ()

    def _guarded(self, read: Any, *arguments: Any) -> Any:
        try:
            return read(*arguments)
        except RunFileError:
            raise
        except MALFORMED as error:
            said = refusals.PART_READ.format(path=self.path, reason=first_line(error))
            raise DamagedFileError(said, self.path) from error


def _seal_content(file: h5py.File) -> str:
    """The one hash that stands for the file; a spoilt seal hinders nobody from reading, verifying finds it."""
    try:
        seal = read_seal(file)
    except MALFORMED:
        return ""
    return seal.content if seal is not None else ""


def _frozen(array: Any, dtype: Any) -> NDArray:
    out = np.ascontiguousarray(array, dtype=dtype)
    out.flags.writeable = False
    return out


def read_run(path: str | Path) -> RunRecord:
    """The whole run, from a closed file, one that is being written, or one whose writer was killed.

    Raises
    ------
    NotARunFileError, DamagedFileError
    """
    with RunFile(path) as file:
        return file.record()


__all__ = ["RunFile", "read_run"]
