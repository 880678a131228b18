"""A school mark for a rehearsed run by the scale of its plan, with the reason for every part; none without a scale."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from acquire.plan import Mark


def mark_of(data: Mapping[str, Any], scale: Mark | None) -> dict[str, Any] | None:
    """The mark of a debrief.

    Parameters
    ----------
    data
        Of `acquire.debrief.make_debrief`.
    scale
        Of the plan; None: nobody asked for a mark.

    Returns
    -------
    dict or None
        "mark", "share" (of the full number), "reasons" (each with "what", "got", "of", "why").  What could not go
        right or wrong in this run (a mishap that nobody could see, no point to wait for) does not count.
    """
    if scale is None:
        return None
    reasons = [
        reason
        for reason in (_points(data, scale), _mishaps(data, scale), _result(data, scale), _waiting(data, scale))
        if reason is not None and reason["of"] > 0
    ]
    full = sum(reason["of"] for reason in reasons)
    share = sum(reason["got"] for reason in reasons) / full if full else 0.0
    # A hair, so that three quarters of ten points is not below 0.75 by rounding.
    reached = [name for name, least in zip(scale.names, scale.least, strict=False) if share >= least - 1e-9]
    return {"mark": reached[0] if reached else scale.names[-1], "share": share, "reasons": reasons}


def _reason(what: str, share: float, of: float, why: str, *facts: int) -> dict[str, Any]:
    """`why` with its numbers filled in, and apart from them for other languages."""
    return {
        "what": what,
        "got": share * of,
        "of": of,
        "why": why.format(*facts),
        "sentence": why,
        "facts": list(facts),
    }


def _points(data: Mapping[str, Any], scale: Mark) -> dict[str, Any]:
    count, early = len(data["points"]), int(data["early"])
    if not count:
        return _reason("points in time", 0.0, scale.points, "no point was taken")
    share = 1 - early / count
    return _reason("points in time", share, scale.points, "{0} of {1} were not taken too early", count - early, count)


def _mishaps(data: Mapping[str, Any], scale: Mark) -> dict[str, Any] | None:
    visible = [m for m in data["mishaps"] if m["began"] is not None and m["visible_from"] is not None]
    if not visible:
        return None
    seen = sum(m["person"] is not None for m in visible)
    return _reason(
        "mishaps",
        seen / len(visible),
        scale.mishaps,
        "a reaction followed {0} of {1} that could be seen",
        seen,
        len(visible),
    )


def _result(data: Mapping[str, Any], scale: Mark) -> dict[str, Any]:
    interval = (data["result"] or {}).get("interval_95")
    if interval is None:
        return _reason("result", 0.0, scale.result, "there is no interval")
    holds = interval[0] <= data["truth"]["enthalpy_vap"] <= interval[1]
    why = "the interval holds the true value" if holds else "the interval misses the true value"
    return _reason("result", float(holds), scale.result, why)


def _waiting(data: Mapping[str, Any], scale: Mark) -> dict[str, Any] | None:
    count = len(data["points"])
    if not count:
        return None
    each = data["waiting"] / count
    # Full up to the patience, nothing from three times that on.
    share = min(1.0, max(0.0, (3.0 - each / scale.patience) / 2.0))
    return _reason(
        "no time lost", share, scale.waiting, "{0} s a point were waited after the moment of level", round(each)
    )
