"""Appends the readings of one channel to its columns, its overview levels and its record of time uncertainty."""

from __future__ import annotations

from collections.abc import Sequence

import h5py
import numpy as np

from acquire.runfile import layout
from acquire.runfile.columns import Appender
from acquire.runfile.overview import OverviewWriter
from acquire.runfile.written import WrittenLog
from drivers.readings import Readings


class ChannelWriter:
    """The columns of one channel in a file that is being recorded."""

    def __init__(self, file: h5py.File, channel: str) -> None:
        log, recording = file[layout.log_path(channel)], file[layout.recording_path(channel)]
        self._columns = {name: Appender(log[name]) for name in layout.COLUMNS}
        self._step_row, self._step_u_time = Appender(recording["row"]), Appender(recording["u_time"])
        self._overview = OverviewWriter(file[layout.overview_path(channel)])
        self._written = WrittenLog(recording)
        self._u_time: float | None = None

    def write(self, blocks: Sequence[Readings]) -> None:
        """Append these blocks, oldest first."""
        row = self._columns["time"].rows
        for block in blocks:
            if len(block) and block.u_time != self._u_time:
                self._step_row.append([row])
                self._step_u_time.append([block.u_time])
                self._u_time = block.u_time
            row += len(block)
        joined = {
            "time": np.concatenate([block.time for block in blocks]),
            "raw_value": np.concatenate([block.raw for block in blocks]),
            "value": np.concatenate([block.value for block in blocks]),
            "value_mask": np.concatenate([block.quality for block in blocks]),
        }
        for name in layout.COLUMNS:  # time first: a reader takes the shortest column
            self._columns[name].append(joined[name])
        self._written.note(row, joined)
        self._overview.add(joined["time"], joined["value"], joined["value_mask"])
