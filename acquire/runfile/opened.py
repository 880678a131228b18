"""A run file kept open while it is looked at: readings stay in it, and a run that is being written is followed."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType

import numpy as np
from numpy.typing import NDArray

from acquire.record import RunRecord, Trace
from acquire.runfile import layout
from acquire.runfile.reader import RunFile
from acquire.runfile.traces import Overview, Stretch
from acquire.whereabouts import moved_words, went_to
from drivers.readings import CHANNEL_UNIT


class StoredTrace(Trace):
    """A trace whose readings are read when they are asked for, a stretch at a time.

    `time`, `value`, `raw` and `quality` read the whole column each time: for work on the whole run only.
    """

    def __init__(self, opened: OpenRun, channel: str) -> None:
        # The base is frozen: what it would hold as arrays are properties here.
        for name, value in (("_opened", opened), ("channel", channel), ("unit", CHANNEL_UNIT[channel])):
            object.__setattr__(self, name, value)
        object.__setattr__(self, "device", opened.file.trace(channel, 0, 1).device)

    _opened: OpenRun

    def __len__(self) -> int:
        return self._opened.file.rows(self.channel)

    @property
    def first_time(self) -> float:
        return self._overview.span[0]

    @property
    def last_time(self) -> float:
        return self._overview.span[1]

    def between(self, start: float, end: float) -> Trace:
        first, last = self._around(start, end)
        return self._opened.file.trace(self.channel, first, last).between(start, end)

    def values_between(self, start: float, end: float) -> NDArray[np.float64]:
        first, last = self._around(start, end)
        columns = (f"{layout.log_path(self.channel)}/{name}" for name in ("time", "value"))
        time, value = (self._opened.file.rows_of(path, first, last) for path in columns)
        return np.asarray(value[(time >= start) & (time < end)], np.float64)

    def _around(self, start: float, end: float) -> tuple[int, int]:
        """Rows that have everything between these times, and a few more."""
        return self._overview.near(start)[0], self._overview.near(end)[1]

    def stretch(self, start: float, end: float, most: int) -> Stretch:
        """The readings between two times as at most about `most` buckets with lowest and highest.  [s]"""
        return self._overview.fetch(start, end, most)

    @property
    def _overview(self) -> Overview:
        return self._opened.overview(self.channel)

    def _whole(self) -> Trace:
        return self._opened.file.trace(self.channel)

    @property
    def time(self) -> NDArray[np.float64]:
        return self._whole().time

    @property
    def value(self) -> NDArray[np.float64]:
        return self._whole().value

    @property
    def raw(self) -> NDArray[np.float64]:
        return self._whole().raw

    @property
    def quality(self) -> NDArray[np.uint8]:
        return self._whole().quality


class OpenRun:
    """One run file, open until `close`.

    Guarantees
    ----------
    - Opening costs the same for a run of any length: no column of readings is read.
    - `refresh` follows a run that is being written, also across its close, when another file takes its place.

    Raises
    ------
    NotARunFileError, DamagedFileError
        By every method that reads.

    Threads: one at a time.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        self._traces: dict[str, Trace] = {}
        self._open()

    def __enter__(self) -> OpenRun:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _open(self) -> None:
        self._place = _identity(self.path)
        self.file = RunFile(self.path)
        self._overviews: dict[str, Overview] = {}
        self._look()

    def _look(self) -> None:
        for channel in self.file.channels:
            if channel not in self._traces:
                self._traces[channel] = StoredTrace(self, channel)
        self.record: RunRecord = self.file.record(self._traces)

    @property
    def traces(self) -> Mapping[str, Trace]:
        """The same mapping all along: a channel that comes later is in it then."""
        return self._traces

    @property
    def live(self) -> bool:
        """Whether somebody is writing it."""
        return self.file.live

    @property
    def went_to(self) -> Path | None:
        """Where the recording went on when its disk or folder failed; the file appears there when the run is closed."""
        return went_to(self.path)

    @property
    def moved_words(self) -> str:
        """The same as a sentence; empty when it did not move."""
        return moved_words(self.path)

    def overview(self, channel: str) -> Overview:
        found = self._overviews.get(channel)
        if found is None:
            found = self._overviews[channel] = Overview(self.file, channel)
        return found

    def refresh(self) -> bool:
        """Look for what was written since; whether there can be anything new."""
        if not self.file.live:
            return False
        elsewhere = self.went_to
        if elsewhere is not None and elsewhere.is_file():
            self.path = elsewhere
        with contextlib.suppress(FileNotFoundError):  # its folder was removed; what is open stays readable
            if elsewhere == self.path or _identity(self.path) != self._place:
                self.reopen()
                return True
        self.file.refresh()
        self._look()
        return True

    def reopen(self) -> None:
        """Open the file that stands under the name now."""
        self.close()
        self._open()

    def close(self) -> None:
        """Let go of the file; until `reopen` nothing can be read."""
        self.file.close()


def _identity(path: Path) -> tuple[int, int]:
    found = os.stat(path)
    return found.st_dev, found.st_ino
