"""Readings into closed one-second blocks, by a rule that live and replay share."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from acquire.record import Trace
from analysis.settling import Block, Blocker
from analysis.settling.stored import blocks_of
from drivers.readings import PRESSURE, TEMPERATURE, UNUSABLE, Quality, Readings

DECIDING = (TEMPERATURE, PRESSURE)
GRACE = 3.0  # [s] a channel this far behind the other is not waited for; three readings of a 1 Hz probe


class BlockFeed:
    """Closes a second once both channels have passed it, or one has by `grace` seconds.

    All channels of one arrival are taken before `close` is called, or a chunk that spans more than the grace would
    make its second channel late.

    Guarantees
    ----------
    - What a closed block holds depends only on the readings, not on how they were bunched: a reading that comes
      for a closed second is marked `Quality.LATE` and left out, here and in every replay.
    """

    def __init__(self, grace: float = GRACE) -> None:
        self._grace = grace
        self._blocker = Blocker()
        self._latest = dict.fromkeys(DECIDING, -math.inf)
        self._closed_upto: int | None = None

    def allow(self, grace: float) -> None:
        """From now on one channel may be this far ahead.  [s]"""
        self._grace = grace

    def take(self, readings: Readings) -> Readings:
        """Take a block; the same readings with late ones marked."""
        if readings.channel not in DECIDING or len(readings) == 0:
            return readings
        if self._closed_upto is not None and readings.time[0] < self._closed_upto:
            late = np.floor(readings.time) < self._closed_upto
            readings = replace(readings, quality=np.where(late, readings.quality | Quality.LATE, readings.quality))
        usable = (readings.quality & UNUSABLE) == 0
        self._blocker.add(readings.channel, readings.time[usable], readings.value[usable])
        self._latest[readings.channel] = max(self._latest[readings.channel], float(readings.time[-1]))
        return readings

    def close(self) -> list[Block]:
        """The blocks that are complete now, oldest first."""
        passed = min(self._latest.values())
        alone = max(self._latest.values()) - self._grace
        ready = max(passed, alone)
        if not math.isfinite(ready):
            return []
        upto = math.floor(ready)
        if self._closed_upto is not None and upto <= self._closed_upto:
            return []
        blocks = self._blocker.close(upto)
        if blocks:
            self._closed_upto = upto
        return blocks


def stored_blocks(traces: Mapping[str, Trace], grace: float = GRACE) -> list[Block]:
    """The blocks that a feed would have closed by the end of stored traces, whose late readings are marked."""
    used, latest = {}, []
    for channel in DECIDING:
        trace = traces.get(channel)
        if trace is None or len(trace.time) == 0:
            used[channel] = (np.empty(0), np.empty(0))
            latest.append(-math.inf)
            continue
        usable = (trace.quality & UNUSABLE) == 0
        used[channel] = (trace.time[usable], trace.value[usable])
        latest.append(float(trace.time[-1]))
    ready = max(min(latest), max(latest) - grace)
    return blocks_of(used, math.floor(ready)) if math.isfinite(ready) else []
