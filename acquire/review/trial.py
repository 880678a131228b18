"""A stored run decided again under other settings, a little at a time, so that a window stays alive meanwhile."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from acquire.plan import RunPlan
from acquire.record import RunRecord
from acquire.replay import Replay
from analysis.liquids import Liquid


class Trial:
    """What the settings alone would have taken and found; the record stays as it is.

    Parameters
    ----------
    plan
        The other settings.
    """

    def __init__(self, record: RunRecord, liquid: Liquid | None, plan: RunPlan) -> None:
        self._replay = Replay(record, liquid, plan=plan, take_given=False)
        self._duration = record.duration
        self._position = min((t.first_time for t in record.traces.values() if len(t)), default=0.0)
        self._done = False

    def advance(self, seconds: float) -> bool:
        """Decide these further seconds; whether all are done."""
        if not self._done:
            self._position += seconds
            self._done = self._position > self._duration
            self._replay.to(math.inf if self._done else self._position)
        return self._done

    @property
    def progress(self) -> float:
        """0 to 1."""
        return 1.0 if self._done or self._duration <= 0 else min(max(self._position / self._duration, 0.0), 1.0)

    @property
    def result(self) -> Mapping[str, Any] | None:
        return self._replay.run.result

    @property
    def points(self) -> int:
        """How many points are in use."""
        return sum(point.used for point in self._replay.run.points)
