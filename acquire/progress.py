"""How far the planned plateaus have come: the next target, and whether the bath was changed since the last point."""

from __future__ import annotations

import math

from acquire.plan import RunPlan


class Progress:
    """Targets are used up in order, at least one for every point taken, so that a drifting bath cannot trap a run."""

    def __init__(self, plan: RunPlan) -> None:
        self._plan = plan
        self._targets = plan.plateau_targets
        self.done = 0  # targets used up
        self.changed_at = -math.inf  # [s] the bath was last changed
        self.same_plateau = False  # a point was taken and the bath was not changed since

    @property
    def total(self) -> int:
        return len(self._targets)

    @property
    def complete(self) -> bool:
        return self.done >= len(self._targets)

    @property
    def target(self) -> float | None:
        """Bath temperature aimed at now; None: as the bath is found, or all are done.  [K]"""
        return None if self.complete else self._targets[self.done]

    def target_of(self, index: int) -> float | None:
        return self._targets[index]

    def bath_changed(self, time: float) -> None:
        self.changed_at = time
        self.same_plateau = False

    def taken(self, temperature: float) -> None:
        """A point was taken at this bath temperature [K]."""
        self.same_plateau = True
        self.done = min(self.done + 1, len(self._targets))
        while (target := self.target) is not None and target < temperature + 0.5 * self._plan.settle.separation:
            self.done += 1
