"""The traces of a running session in memory: append-only, read by index, for strips and for the record."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from acquire.record import Trace
from drivers.readings import CHANNEL_UNIT, UNUSABLE, Readings

_FIELDS = ("time", "value", "raw", "quality")


class TraceStore:
    """Growing columns per channel; doubling keeps appending O(1) on average.

    Threads: one thread appends; a view handed out stays valid and unchanged, since written rows never change.
    """

    def __init__(self) -> None:
        self._columns: dict[str, dict[str, NDArray]] = {}
        self._count: dict[str, int] = {}
        self._device: dict[str, str] = {}

    @property
    def channels(self) -> tuple[str, ...]:
        return tuple(self._count)

    def count(self, channel: str) -> int:
        return self._count.get(channel, 0)

    def append(self, readings: Readings, device: str) -> None:
        n = len(readings)
        if n == 0:
            return
        have = self._count.setdefault(readings.channel, 0)
        self._device[readings.channel] = device
        columns = self._columns.setdefault(
            readings.channel,
            {name: np.empty(4096, np.uint8 if name == "quality" else np.float64) for name in _FIELDS},
        )
        for name in _FIELDS:
            column = columns[name]
            if have + n > len(column):
                grown = np.empty(max(2 * len(column), have + n), column.dtype)
                grown[:have] = column[:have]
                columns[name] = column = grown
            column[have : have + n] = getattr(readings, name)
        self._count[readings.channel] = have + n

    def since(self, channel: str, index: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Times [s] and values [SI] of the readings from this index on; unusable readings have NaN values."""
        count = self._count.get(channel, 0)
        if index >= count:
            return np.empty(0), np.empty(0)
        columns = self._columns[channel]
        values = columns["value"][index:count].copy()
        values[(columns["quality"][index:count] & UNUSABLE) != 0] = np.nan
        return columns["time"][index:count], values

    def latest(self, channel: str) -> tuple[float, float]:
        """Time and value of the newest usable reading among the last hundred; NaN when there is none."""
        count = self._count.get(channel, 0)
        times, values = self.since(channel, max(count - 100, 0))
        good = np.flatnonzero(np.isfinite(values))
        return (float(times[good[-1]]), float(values[good[-1]])) if len(good) else (float("nan"), float("nan"))

    def trace(self, channel: str) -> Trace:
        count = self._count[channel]
        columns = {name: column[:count] for name, column in self._columns[channel].items()}
        return Trace(channel, CHANNEL_UNIT[channel], **columns, device=self._device[channel])

    def traces(self) -> dict[str, Trace]:
        return {channel: self.trace(channel) for channel in self._count}
