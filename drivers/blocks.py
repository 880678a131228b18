"""Rows of numbers into blocks of readings, channel by channel; shared by devices that talk and devices that answer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from drivers.conversion import ChannelScale
from drivers.profile import DeviceProfile
from drivers.readings import BAROMETER, Readings

Row = tuple[float | None, ...]


class Table:
    """Rows of numbers. NaN: the device says that it has none; `absent`: a partial line left the field out.

    Attributes
    ----------
    numbers
        Shape (n, fields).
    absent
        Shape (n, fields), or None where nothing is.
    """

    __slots__ = ("absent", "numbers")

    def __init__(self, numbers: NDArray[np.float64], absent: NDArray[np.bool_] | None = None) -> None:
        self.numbers = numbers
        self.absent = absent

    @classmethod
    def of(cls, rows: Sequence[Row]) -> Table:
        """A table of rows, None where a field was left out."""
        if any(None in row for row in rows):
            absent = np.array([[number is None for number in row] for row in rows])
            filled = [[np.nan if number is None else number for number in row] for row in rows]
            return cls(np.array(filled, dtype=np.float64), absent)
        return cls(np.array(rows, dtype=np.float64).reshape(len(rows), -1))

    def __len__(self) -> int:
        return len(self.numbers)

    def rows(self, chosen: slice | list[int] | NDArray[np.bool_]) -> Table:
        """Some of the rows."""
        return Table(self.numbers[chosen], None if self.absent is None else self.absent[chosen])

    def after(self, earlier: Table | None) -> Table:
        """These rows with earlier ones before them."""
        if earlier is None or not len(earlier):
            return self
        if not len(self):
            return earlier
        absent = None
        if self.absent is not None or earlier.absent is not None:
            absent = np.vstack([_mask(earlier), _mask(self)])
        return Table(np.vstack([earlier.numbers, self.numbers]), absent)


def _mask(table: Table) -> NDArray[np.bool_]:
    return np.zeros(table.numbers.shape, dtype=bool) if table.absent is None else table.absent


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
        self,
        table: Table,
        time: NDArray[np.float64],
        flags: NDArray[np.uint8],
        u_time: float,
    ) -> list[Readings]:
        """Blocks of the channels that the rows have a number for.

        Parameters
        ----------
        table
            n rows of numbers in the order of the profile's fields.
        time, flags
            Time and quality bits of each row, shape (n,).  [s]
        u_time
            Standard uncertainty of the times.  [s]
        """
        made: dict[str, Readings] = {}
        for position, scale in self._order:
            at, marks, raw = time, flags, table.numbers[:, position].copy()
            junctions = None if scale.junction_field is None else table.numbers[:, self._place(scale)]
            if table.absent is not None and table.absent[:, position].any():
                here = ~table.absent[:, position]
                if not here.any():
                    continue
                at, marks, raw = time[here], flags[here], raw[here]
                junctions = None if junctions is None else junctions[here]
            value, quality = scale.apply(raw, self._air, junctions)
            if scale.channel == BAROMETER:
                good = value[quality == 0]
                self._air = float(good[-1]) if len(good) else self._air
            made[scale.channel] = Readings(scale.channel, at, value, raw, quality | marks, u_time)
        return [made[scale.channel] for scale in self._scales if scale.channel in made]

    def _place(self, scale: ChannelScale) -> int:
        return self._fields.index(scale.junction_field or 0)


def _barometer_first(item: tuple[int, ChannelScale]) -> bool:
    # A gauge sensor of the same frame counts from it.
    return item[1].channel != BAROMETER
