"""Keeps the first and the last bytes that came from the line, bounded; for reports about a device that misbehaves.

The whole stream is in the raw journal while a run goes on; a closed run file need not carry it.
"""

from __future__ import annotations

from collections import deque

import h5py
import numpy as np

from acquire.runfile.columns import Appender
from drivers.readings import Received

FIRST_BYTES = 256 * 1024  # a banner, the settings and some minutes of lines; guessed
LAST_BYTES = 256 * 1024


class ReceivedWriter:
    """Appends the first bytes as they come and the last ones at the end."""

    def __init__(self, group: h5py.Group) -> None:
        self._bytes, self._arrival, self._ends = (Appender(group[name]) for name in ("bytes", "arrival", "end"))
        self._end = 0
        self._last: deque[Received] = deque()
        self._last_bytes = 0
        self._pending: list[Received] = []

    def add(self, received: Received) -> None:
        if not received.data:
            return
        if self._end + len(received.data) <= FIRST_BYTES and not self._last:
            self._end += len(received.data)
            self._pending.append(received)
            if len(self._pending) >= 64:
                self.write_pending()
            return
        self._last.append(received)
        self._last_bytes += len(received.data)
        while self._last_bytes > LAST_BYTES:
            self._last_bytes -= len(self._last.popleft().data)

    def write_pending(self) -> None:
        self._write(self._pending)
        self._pending = []

    def finish(self) -> None:
        """Write the last bytes behind the first; the arrivals show the gap between them."""
        self.write_pending()
        self._write(list(self._last))
        self._last.clear()

    def _write(self, items: list[Received]) -> None:
        if not items:
            return
        ends = self._bytes.rows + np.cumsum([len(item.data) for item in items])
        self._bytes.append(np.frombuffer(b"".join(item.data for item in items), np.uint8))
        self._arrival.append([item.arrival for item in items])
        self._ends.append(ends)
