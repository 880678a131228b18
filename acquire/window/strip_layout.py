"""Where labels and axes of the strips go; pure geometry, knows no Qt."""

from __future__ import annotations

import math
from collections.abc import Sequence

LABEL_ROWS = 3


def label_rows(places: Sequence[tuple[float, float]], rows: int = LABEL_ROWS) -> list[int | None]:
    """The row for each label so that none overlaps its neighbour; None where it fits in no row.

    Parameters
    ----------
    places
        (left edge, width) of each label, by rising left edge.  [px]
    """
    ends = [-math.inf] * rows
    chosen: list[int | None] = []
    for left, width in places:
        row = next((index for index, end in enumerate(ends) if left >= end), None)
        if row is not None:
            ends[row] = left + width + 6
        chosen.append(row)
    return chosen


def value_range(
    low: float, high: float, least: float, current: tuple[float, float] | None, above: float = 0.2
) -> tuple[float, float]:
    """The range of an axis for values from `low` to `high`; stays as it is while it still fits well.

    Parameters
    ----------
    least
        The smallest height, so that noise alone never fills the picture.
    current
        The range shown now.
    above
        Share of the height that stays free at the top, for words and for the next step of the bath.
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        return current or (0.0, least)
    span = max(high - low, least)
    middle = (low + high) / 2
    low_edge, high_edge = min(low, middle - span / 2), max(high, middle + span / 2)
    if current is not None:
        tall = current[1] - current[0]
        if current[0] <= low and high <= current[1] - above * tall and tall <= 2.2 * span / (1 - above):
            return current
    # More air than must stay, so that the next step of the bath does not move the axis at once.
    free = min(0.6, 1.4 * above)
    return low_edge - 0.06 * span, high_edge + span * free / (1 - free)


def nudged(
    start: float, end: float, by_start: float, by_end: float, now: float, least: float = 5.0
) -> tuple[float, float]:
    """A window moved by seconds at its two ends, kept inside the run and not shorter than `least`.  [s]"""
    start = min(max(0.0, start + by_start), max(0.0, now - least))
    end = min(max(end + by_end, start + least), max(now, start + least))
    return start, end
