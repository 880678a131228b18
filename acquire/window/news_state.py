"""What happened by itself between two snapshots and deserves a word: the seen twin of the sound."""

from __future__ import annotations

from typing import TYPE_CHECKING

from acquire.journal import PERSON
from acquire.window.language import tr
from acquire.window.quantities import pressure, temperature

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import Snapshot


def news(before: Snapshot | None, after: Snapshot) -> str:
    """A sentence about points and baselines that were not taken by the person; empty for none."""
    if before is None:
        return ""
    known = {point.number for point in before.points}
    fresh = [point for point in after.points if point.number not in known and point.taken_by != PERSON]
    if fresh:
        last = fresh[-1]
        return tr("Point {0} was taken: {1}, {2}").format(
            last.number, temperature(last.temperature), pressure(last.pressure)
        )
    kinds = {baseline.kind for baseline in before.baselines}
    new = [baseline.kind for baseline in after.baselines if baseline.kind not in kinds]
    if "sealed" in new:
        return tr("The sealed baseline was taken.")
    if "room" in new:
        return tr("The room baseline was taken.")
    return ""
