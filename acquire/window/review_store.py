"""What the strips of the review window draw of a trace that stays in its file."""

from __future__ import annotations

from typing import Protocol, runtime_checkable

import numpy as np

from acquire.window.strip_store import Array, StripStore


class Buckets(Protocol):
    """A stretch of a trace, each bucket with its first time, its lowest and its highest."""

    @property
    def time(self) -> Array: ...
    @property
    def minimum(self) -> Array: ...
    @property
    def maximum(self) -> Array: ...
    @property
    def rows_per_bucket(self) -> int: ...


@runtime_checkable
class StretchedTrace(Protocol):
    """A trace that gives any stretch of itself in few values, whatever its length."""

    def __len__(self) -> int: ...
    @property
    def first_time(self) -> float: ...
    @property
    def last_time(self) -> float: ...
    def stretch(self, start: float, end: float, most: int) -> Buckets: ...


class FileStore(StripStore):
    """Gives a strip the outline of a stored trace; holds no readings itself.

    Parameters
    ----------
    trace
        The trace in its file.
    factor, shift
        Shown value = value in SI * factor + shift.
    """

    def __init__(self, trace: StretchedTrace, factor: float, shift: float) -> None:
        # Not the base's own store: this one has no readings to keep.
        self._trace, self._factor, self._shift = trace, factor, shift
        self.look()

    def look(self) -> None:
        """Look how long the trace is now."""
        self.total = len(self._trace)
        self._last = self._trace.last_time
        span = self._last - self._trace.first_time
        self._spacing = span / (self.total - 1) if self.total > 1 else 0.0

    @property
    def nbytes(self) -> int:
        return 0

    @property
    def last_time(self) -> float:
        return self._last

    def extend(self, time: Array, value: Array) -> None:
        raise NotImplementedError("the readings of a stored trace come from its file")

    def outline(self, start: float, end: float, bins: int) -> tuple[Array, Array]:
        if self.total == 0 or not end > start:
            return np.empty(0), np.empty(0)
        found = self._trace.stretch(start, end, 4 * bins)
        keep = np.isfinite(found.minimum)
        low, high = (self._factor * edge[keep] + self._shift for edge in (found.minimum, found.maximum))
        if found.rows_per_bucket == 1:
            low = high  # one array, so that single readings stay single
        return self._thin(found.time[keep], low, high, start, end, bins, found.rows_per_bucket * self._spacing)
