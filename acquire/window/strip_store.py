"""Readings behind a strip in bounded memory, and the short line that stands for any stretch of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FACTOR = 16  # readings or bins that one bin of the next level holds
#: Readings kept one by one: 24 h at 10 Hz, 14 MB a channel; older ones stay as lowest and highest of sixteen.
CAPACITY = 1 << 20
#: The same for a run that goes on: 3.6 h at 10 Hz, never less than half of that.
LIVE_CAPACITY = 1 << 17
#: Bins kept a level, of 16, 256, 4096, 65 536 readings each: 29 h at 10 Hz, weeks at 1 kHz.  A full level forgets its
#: older half: its stretch is then drawn from the level above.
BINS = (1 << 16, 1 << 15, 1 << 14, 1 << 14)
LEVELS = len(BINS)
GAP_SPACINGS, GAP_SECONDS = 10.0, 2.0  # one lost line is no gap, a pulled cable is


class _Column:
    """A growing array that forgets its older half when it is full; one that is reserved has its size at once."""

    def __init__(self, width: int, capacity: int, reserved: bool) -> None:
        self._capacity = capacity
        # Written, not only asked for: the system gives memory at the first touch.
        self._data = np.full((width, capacity), np.nan) if reserved else np.empty((width, min(capacity, 1024)))
        self.n = 0
        self.forgot = False

    def extend(self, rows: Array) -> None:
        """Append columns of shape (width, k)."""
        k = rows.shape[1]
        if k > self._capacity:
            rows, k = rows[:, -self._capacity :], self._capacity
            self.n, self.forgot = 0, True
        if self.n + k > self._capacity:
            keep = min(self.n, self._capacity // 2, self._capacity - k)
            self._data[:, :keep] = self._data[:, self.n - keep : self.n].copy()
            self.n, self.forgot = keep, True
        if self.n + k > self._data.shape[1]:
            size = min(self._capacity, max(2 * self._data.shape[1], self.n + k))
            grown = np.empty((self._data.shape[0], size))
            grown[:, : self.n] = self._data[:, : self.n]
            self._data = grown
        self._data[:, self.n : self.n + k] = rows
        self.n += k

    def __getitem__(self, row: int) -> Array:
        return self._data[row, : self.n]

    @property
    def nbytes(self) -> int:
        return self._data.nbytes


class StripStore:
    """All readings of one channel.

    Guarantees
    ----------
    - `outline` never loses a highest or lowest reading of what it shows.
    - Its cost does not grow with the length of the run, and memory ends growing at a known size.

    Parameters
    ----------
    capacity
        Readings kept one by one.
    bins
        Bins kept of each level.
    reserved
        Take all memory at once, for a run that may go on for days: what is there at the start is there at the end.
    """

    def __init__(self, capacity: int = CAPACITY, bins: tuple[int, ...] = BINS, *, reserved: bool = False) -> None:
        self._readings = _Column(2, capacity, reserved)
        self._levels = [_Column(3, most, reserved) for most in bins]  # first time, lowest, highest
        self._open: list[Array] = [np.empty((2, 0)), *(np.empty((3, 0)) for _ in range(LEVELS - 1))]
        self.total = 0
        self._spacing = 0.0  # [s] usual time between readings

    @property
    def nbytes(self) -> int:
        return self._readings.nbytes + sum(level.nbytes for level in self._levels)

    @property
    def last_time(self) -> float:
        return float(self._readings[0][-1]) if self._readings.n else float("nan")

    def extend(self, time: Array, value: Array) -> None:
        """Append readings, times never decreasing.  [s, shown unit]"""
        if len(time) == 0:
            return
        keep = np.isfinite(value)
        rows = np.vstack([time[keep], value[keep]])
        self.total += rows.shape[1]
        self._readings.extend(rows)
        if self._readings.n > 1:
            self._spacing = float(np.median(np.diff(self._readings[0][-200:])))
        for number in range(LEVELS):
            rows = self._close_bins(number, rows)
            if rows.shape[1] == 0:
                break
            self._levels[number].extend(rows)

    def _close_bins(self, number: int, rows: Array) -> Array:
        waiting = np.hstack([self._open[number], rows])
        whole = waiting.shape[1] // FACTOR * FACTOR
        self._open[number] = waiting[:, whole:].copy()
        full = waiting[:, :whole].reshape(waiting.shape[0], -1, FACTOR)
        return np.vstack([full[0, :, 0], full[1].min(axis=1), full[-1].max(axis=1)])

    def outline(self, start: float, end: float, bins: int) -> tuple[Array, Array]:
        """At most about two values for each of `bins` equal stretches of start..end [s], NaN in gaps.

        Readings just outside are included, so that the line runs to both edges of the picture.
        """
        time = self._readings[0]
        first = self._first(time, start)
        last = min(len(time), int(np.searchsorted(time, end, "right")) + 1)
        covered = not self._readings.forgot or (len(time) > 0 and time[0] <= start)
        if covered and last - first <= 2 * FACTOR * bins:
            return self._thin_readings(first, last, start, end, bins)
        for level in self._levels:
            if level.n == 0:
                break
            begin = self._first(level[0], start)
            stop = min(level.n, int(np.searchsorted(level[0], end, "right")) + 1)
            seen = not level.forgot or level[0][0] <= start
            if seen and stop - begin <= 2 * FACTOR * bins:
                return self._with_tail(level, begin, stop, start, end, bins)
        if covered:
            return self._thin_readings(first, last, start, end, bins)
        top = next(level for level in reversed(self._levels) if level.n)
        return self._with_tail(top, self._first(top[0], start), top.n, start, end, bins)

    def _thin_readings(self, first: int, last: int, start: float, end: float, bins: int) -> tuple[Array, Array]:
        value = self._readings[1][first:last]
        return self._thin(self._readings[0][first:last], value, value, start, end, bins, 0.0)

    @staticmethod
    def _first(time: Array, start: float) -> int:
        return max(0, int(np.searchsorted(time, start, "left")) - 1)

    def _with_tail(
        self, level: _Column, begin: int, stop: int, start: float, end: float, bins: int
    ) -> tuple[Array, Array]:
        """A level's bins, then the readings that no whole bin of it holds yet."""
        time, low, high = (level[row][begin:stop] for row in range(3))
        size = FACTOR ** (1 + next(n for n, one in enumerate(self._levels) if one is level))
        if stop == level.n:
            rest = self.total - self.total // size * size
            rest = min(rest, self._readings.n)
            if rest:
                time = np.concatenate([time, self._readings[0][-rest:]])
                low = np.concatenate([low, self._readings[1][-rest:]])
                high = np.concatenate([high, self._readings[1][-rest:]])
        return self._thin(time, low, high, start, end, bins, size * self._spacing)

    def _thin(
        self, time: Array, low: Array, high: Array, start: float, end: float, bins: int, apart: float
    ) -> tuple[Array, Array]:
        """Lowest and highest of each stretch, in pairs at its first time; entries are usually `apart` seconds."""
        if len(time) > 2 * bins and end > start:
            place = np.floor((time - start) * (bins / (end - start))).astype(np.int64)
            edge = np.flatnonzero(np.diff(place, prepend=place[0] - 1))
            low, high, time = np.minimum.reduceat(low, edge), np.maximum.reduceat(high, edge), time[edge]
            return self._gaps(np.repeat(time, 2), np.column_stack([low, high]).ravel(), (end - start) / bins + apart)
        if low is high:
            return self._gaps(time, high, 0.0)
        return self._gaps(np.repeat(time, 2), np.column_stack([low, high]).ravel(), apart)

    def _gaps(self, time: Array, value: Array, bin_width: float) -> tuple[Array, Array]:
        """NaN between neighbours that are further apart than readings usually are."""
        if len(time) < 2:
            return time, value
        usual = max(GAP_SPACINGS * self._spacing, GAP_SECONDS) + 2 * bin_width
        after = np.flatnonzero(np.diff(time) > usual) + 1
        if len(after) == 0:
            return time, value
        return np.insert(time, after, time[after - 1]), np.insert(value, after, np.nan)
