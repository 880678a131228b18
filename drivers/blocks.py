"""Rows of numbers into blocks of readings, channel by channel; shared by devices that talk and devices that answer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from drivers.conversion import ChannelScale
from drivers.profile import DeviceProfile
from drivers.readings import BAROMETER, Readings

Row = tuple[float | None, ...]


class BlockMaker:
    """Turns rows, in the order of the profile's `wire_fields`, into one block per channel.

    Remembers the last barometer reading for a gauge sensor that counts from it.
    """

    def __init__(self, profile: DeviceProfile) -> None:
        self._fields = profile.wire_fields
        self._scales = [ChannelScale(channel) for channel in profile.channel]
        first = 1 if profile.clock.field is not None else 0
        self._order = sorted(enumerate(self._scales, start=first), key=_barometer_first)
        self._air = float("nan")

    def make(
        self, rows: Sequence[Row], time: NDArray[np.float64], flags: NDArray[np.uint8], u_time: float
    ) -> list[Readings]:
        """Blocks of the channels that the rows have a number for.

        Parameters
        ----------
        rows
            n rows; None where a row leaves a field out.
        time, flags
            Time and quality bits of each row, shape (n,).  [s]
        u_time
            Standard uncertainty of the times.  [s]
        """
        made: dict[str, Readings] = {}
        for position, scale in self._order:
            column = [row[position] for row in rows]
            if None in column:
                index = [n for n, number in enumerate(column) if number is not None]
                if not index:
                    continue
                at, marks = time[index], flags[index]
            else:
                index = []
                at, marks = time, flags
            raw = _floats(column, index)
            value, quality = scale.apply(raw, self._air, self._junctions(scale, rows, index))
            if scale.channel == BAROMETER:
                good = value[quality == 0]
                self._air = float(good[-1]) if len(good) else self._air
            made[scale.channel] = Readings(scale.channel, at, value, raw, quality | marks, u_time)
        return [made[scale.channel] for scale in self._scales if scale.channel in made]

    def _junctions(self, scale: ChannelScale, rows: Sequence[Row], index: list[int]) -> NDArray[np.float64] | None:
        if scale.junction_field is None:
            return None
        place = self._fields.index(scale.junction_field)
        return _floats([row[place] for row in rows], index)


def _floats(column: list[float | None], index: list[int]) -> NDArray[np.float64]:
    return np.array([column[n] for n in index] if index else column, dtype=np.float64)


def _barometer_first(item: tuple[int, ChannelScale]) -> bool:
    # A gauge sensor of the same frame counts from it.
    return item[1].channel != BAROMETER
