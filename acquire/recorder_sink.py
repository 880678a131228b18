"""Where a recorder writes: raw journal first, run file second, another folder when the disk fails; never raises."""

from __future__ import annotations

import contextlib
import os
import queue
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from acquire import recorder_words as words
from acquire.journal import Entry
from acquire.raw_journal import SUFFIX, RawJournal, raw_journal_path
from acquire.record import Baseline, PointRecord, Trace
from acquire.recorder_room import BALLAST, Ballast, reserve_path, room_warning
from acquire.runfile.errors import RunFileError, WriteFailedError, first_line
from acquire.runfile.layout import RunHeader
from acquire.runfile.rebuild import closing_data, rebuild
from acquire.runfile.writer import RunFileWriter
from acquire.whereabouts import forget, leave_word
from drivers.readings import Readings, Received, SourceEvent

#: Gives all readings and journal entries of the run so far, as the session holds them.
Memory = Callable[[], tuple[Mapping[str, Trace], Sequence[Entry]]]


class RecordingSink:
    """The sink of a session that must not lose a reading: has the methods of `RunFileWriter`, and more behind them.

    Guarantees
    ----------
    - Bytes that came through a queue of `queue_for` are in the raw journal before the session sees them.
    - Everything accepted is in the raw journal at once, and on the disk through a power cut after `flush`.
    - When the run file cannot be written, recording goes on in the raw journal and the run file is made from it at
      the close.  When the raw journal cannot be written either, a reserve on the disk is given back, then a fallback
      folder is used.  `trouble` says so at once, as a sentence.
    - Nothing already written is hurt by any of this.

    Parameters
    ----------
    path, header
        As for `RunFileWriter`.
    fallbacks
        Folders to go on in, tried in this order.
    ballast
        Reserve kept on the disk.  [bytes]

    Raises
    ------
    RunFileExistsError, FileInUseError, WriteFailedError
        Only when it is made; not one of its methods raises for what a disk does.

    Threads: the sources' threads put into the queues of `queue_for`, the session's thread calls everything else; one
    lock keeps their writing apart.
    """

    def __init__(
        self,
        path: str | Path,
        header: RunHeader,
        *,
        fallbacks: Sequence[str | Path] = (),
        ballast: int = BALLAST,
    ) -> None:
        self.path = Path(path)
        self.header = header
        self.trouble = ""
        self._full: tuple[Path, str] | None = None  # a disk that is full now, and what it said
        self.closed = False
        self._fallbacks = [Path(folder) for folder in fallbacks]
        self._lock = threading.RLock()
        self._tapped = False
        self._backlog: list[Callable[[RawJournal], None]] = []  # what no disk has taken yet, oldest first
        self._memory: Memory | None = None
        self._rows_given: dict[str, int] = {}
        self._entries_given = 0
        self._raw = RawJournal(raw_journal_path(self.path), asdict(header))
        try:
            self._writer: RunFileWriter | None = RunFileWriter(self.path, header)
        except RunFileError:
            self._drop_raw()
            raise
        forget(self.path)
        self._ballast = Ballast(reserve_path(self.path), ballast)
        if not self._ballast.lay():
            self.trouble = room_warning(self.path.parent) or words.NO_RESERVE.format(path=self.path)

    @property
    def raw_path(self) -> Path:
        """The raw journal in use."""
        return self._raw.path

    @property
    def readings_written(self) -> int:
        return 0 if self._writer is None else self._writer.readings_written

    def queue_for(self, device: str) -> queue.Queue[SourceEvent]:
        """A queue for a source; what is received goes into the raw journal before anyone can take it out."""
        self._tapped = True
        return _JournallingQueue(self, device)

    def remember_with(self, memory: Memory) -> None:
        """Where to take the run from when the drive with the raw journal cannot even be read any more."""
        self._memory = memory

    def received(self, device: str, received: Received) -> None:
        """Keep bytes as they came.  Any thread."""
        self._keep(lambda raw: raw.received(device, received))

    def append_received(self, received: Received, device: str = "device") -> None:
        if not self._tapped:
            self.received(device, received)
        self._record(lambda writer: writer.append_received(received))

    def append(self, readings: Readings, device: str) -> None:
        self._rows_given[readings.channel] = self._rows_given.get(readings.channel, 0) + len(readings)
        self._keep(lambda raw: raw.readings(device, readings))
        self._record(lambda writer: writer.append(readings, device))

    def append_entries(self, entries: Sequence[Entry]) -> None:
        kept = list(entries)
        self._entries_given += len(kept)
        self._keep(lambda raw: raw.entries(kept))
        self._record(lambda writer: writer.append_entries(kept))

    def flush(self) -> None:
        """Put everything on the disk, and look whether folder and disk are still well."""
        self._record(lambda writer: writer.flush())
        with self._lock:
            if not self._raw.still_there():
                self._move(words.GONE)
            try:
                self._raw.sync()
            except WriteFailedError as error:
                self._move(error.reason)
            self._empty_backlog()
            warning = room_warning(self._raw.path.parent)
            if warning and not self.trouble:
                self.trouble = warning

    def close(
        self,
        end_time: str,
        points: Sequence[PointRecord],
        baselines: Sequence[Baseline],
        results: Sequence[Mapping[str, Any]],
        truth: Mapping[str, Any] | None = None,
    ) -> Path:
        """Close the run; returns where its run file is.

        The raw journal is removed only once the closed run file has been read back.  When no run file can be
        written, it stays, and `trouble` says how to make the run file from it.
        """
        closing = closing_data(end_time, points, baselines, results, truth)
        self._ballast.drop()
        self._keep(lambda raw: raw.ended(closing))
        self.flush()
        writer, self._writer = self._writer, None
        self.closed = True
        if writer is not None:
            try:
                writer.close(end_time, points, baselines, results, truth)
            except RunFileError as error:
                writer.abandon()
                self.trouble = str(error)
            else:
                self._drop_raw()
                self.trouble = self._afterwards()
                return self.path
        return self._close_from_raw(end_time)

    def abandon(self) -> None:
        """Let go of everything without closing the run; the raw journal stays."""
        self._ballast.drop()
        writer, self._writer = self._writer, None
        if writer is not None:
            writer.abandon()
        self._raw.close()
        self.closed = True

    def discard(self) -> None:
        """Take back a run that never began: nothing is left on the disk."""
        self.abandon()
        for path in (self.path, self._raw.path):
            with contextlib.suppress(OSError):
                path.unlink()

    # Inside

    def _close_from_raw(self, now_iso: str) -> Path:
        raw = self._raw.path
        self._raw.close()
        target = _run_file_of(raw)
        draft = target.with_name(target.name + ".rebuilt")
        try:
            with contextlib.suppress(FileNotFoundError):
                draft.unlink()
            rebuild(raw, draft, now_iso=now_iso, thorough=True)
            os.replace(draft, target)
            raw.unlink()
        except (RunFileError, OSError) as error:
            self.trouble = words.NO_RUN_FILE.format(reason=first_line(error), raw=raw, path=target)
            return raw
        made = words.MADE if target == self.path else words.MADE_ELSEWHERE.format(folder=target.parent)
        self.trouble = f"{self._afterwards()} {made}".strip()
        self.path = target
        return target

    def _record(self, doing: Callable[[RunFileWriter], None]) -> None:
        if self._writer is None:
            return
        try:
            doing(self._writer)
        except RunFileError as error:
            self._writer.abandon()
            self._writer = None
            self.trouble = words.JOURNAL_ONLY.format(reason=error)

    def _keep(self, doing: Callable[[RawJournal], None]) -> None:
        with self._lock:
            self._backlog.append(doing)
            self._empty_backlog()

    def _empty_backlog(self) -> None:
        """Write what waits, in order; at a full or lost disk give room back, then move, then let it wait."""
        while self._backlog:
            try:
                self._backlog[0](self._raw)
            except WriteFailedError as error:
                if self._ballast.drop():
                    self._full = self._raw.path.parent, error.reason
                    self.trouble = words.LAST_RESERVE.format(folder=self._raw.path.parent, reason=error.reason)
                elif not self._move(error.reason):
                    return
                continue
            self._backlog.pop(0)

    def _move(self, reason: str) -> bool:
        """Go on in the next fallback folder, with everything the raw journal held; False when none is left."""
        while self._fallbacks:
            folder = self._fallbacks.pop(0)
            try:
                moved, told = self._continued(_free_raw(folder, self.path.name))
            except RunFileError:
                continue
            old, self._raw = self._raw, moved
            old.close()
            if self._writer is not None:
                self._writer.abandon()
                self._writer = None
            leave_word(self.path, _run_file_of(moved.path))
            self._full = None
            self.trouble = told.format(folder=moved.path.parent, old=old.path, reason=reason)
            return True
        self._full = self._raw.path.parent, reason
        self.trouble = words.MEMORY_ONLY.format(path=self._raw.path, reason=reason)
        return False

    def _afterwards(self) -> str:
        """The trouble as it is told when the run is closed: no advice any more for a disk that was full."""
        if self._full is None:
            return self.trouble
        folder, reason = self._full
        return words.WAS_FULL.format(folder=folder, reason=reason)

    def _continued(self, path: Path) -> tuple[RawJournal, str]:
        """A raw journal at another place with everything so far, and what to say about that."""
        header = asdict(self.header)
        try:
            return RawJournal(path, header, continues=self._raw), words.MOVED
        except WriteFailedError:
            fresh = RawJournal(path, header)  # the old one cannot be read; what follows is kept in any case
        if self._memory is None:
            return fresh, words.MOVED_WITHOUT
        traces, entries = self._memory()
        try:
            for trace in traces.values():
                given = slice(0, self._rows_given.get(trace.channel, 0))
                columns = (trace.time[given], trace.value[given], trace.raw[given], trace.quality[given])
                fresh.readings(trace.device, Readings(trace.channel, *columns))
            fresh.entries(entries[: self._entries_given])
        except WriteFailedError:
            fresh.close()
            path.unlink(missing_ok=True)
            raise
        self._backlog.clear()  # it was given, and so is in memory too
        return fresh, words.MOVED_FROM_MEMORY

    def _drop_raw(self) -> None:
        self._raw.close()
        with contextlib.suppress(OSError):
            self._raw.path.unlink()


def _run_file_of(raw: Path) -> Path:
    return raw.with_name(raw.name.removesuffix(SUFFIX))


def _free_raw(folder: Path, name: str) -> Path:
    """A name for the raw journal in this folder whose run file's name is free too."""
    for number in range(1, 1000):
        stem, dot, suffix = name.rpartition(".")
        tried = name if number == 1 else f"{stem}-{number}{dot}{suffix}"
        run_file = folder / tried
        if not run_file.exists() and not raw_journal_path(run_file).exists():
            return raw_journal_path(run_file)
    raise WriteFailedError(folder, "recording to", "999 runs of this name are there")


class _JournallingQueue(queue.Queue):
    """A queue whose items are in the raw journal before anyone can take them; unbounded, since the disk keeps them."""

    def __init__(self, sink: RecordingSink, device: str) -> None:
        super().__init__()
        self._sink, self._device = sink, device

    def _put(self, item: SourceEvent) -> None:
        if isinstance(item, Received):
            self._sink.received(self._device, item)
        super()._put(item)
