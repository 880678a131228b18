"""Where in the traces of a run a finding is seen: the points and the stretch of time that show it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from acquire import acts
from acquire.journal import Entry
from acquire.record import Baseline, PointRecord, RunRecord
from acquire.trace_findings import time_of

BACK = ("down", "return")
AROUND = 20.0  # [s] shown before and after what took a moment
SAME = 1e-6  # [K] a finding names a point by its temperature


@dataclass(frozen=True)
class Place:
    """A stretch of the run, and the points in it that the finding is about."""

    start: float  # [s]
    end: float  # [s]
    points: tuple[int, ...] = ()
    moment: float | None = None  # where something happened at once [s]


@dataclass(frozen=True)
class _Seen:
    """What a finding can be placed in."""

    facts: Mapping[str, Any]
    used: tuple[PointRecord, ...]  # in the order of time
    fitted: Sequence[Mapping[str, Any]]  # the lines of the fit, for each point of the run
    all_points: tuple[PointRecord, ...]
    baselines: Sequence[Baseline]
    journal: Sequence[Entry]
    end: float  # [s]


def place_of(finding: Mapping[str, Any], record: RunRecord, fit: Mapping[str, Any] | None = None) -> Place | None:
    """Where to look for this finding; None where it is about inputs, which no trace shows.

    Parameters
    ----------
    fit
        The result that the finding belongs to; the newest one where not given.
    """
    return place_in(finding, record, record.points, record.journal, fit)


def place_in(
    finding: Mapping[str, Any],
    record: RunRecord,
    points: Iterable[PointRecord],
    journal: Sequence[Entry],
    fit: Mapping[str, Any] | None = None,
) -> Place | None:
    """The same with points and journal as they are after edits."""
    if fit is None:
        fit = record.results[-1] if record.results else {}
    everything = tuple(points)
    used = tuple(sorted((point for point in everything if point.used), key=lambda point: point.start))
    facts = finding.get("facts") or {}
    seen = _Seen(facts, used, fit.get("points") or (), everything, record.baselines, journal, record.duration)
    code, variant = str(finding.get("code", "")), str(finding.get("variant") or "")
    find = _PLACES.get((code, variant)) or _PLACES.get((code, ""))
    return find(seen) if find else None


def _of_points(points: Sequence[PointRecord]) -> Place | None:
    if not points:
        return None
    numbers = tuple(sorted(point.number for point in points))
    return Place(min(point.start for point in points), max(point.end for point in points), numbers)


def _sealed(seen: _Seen) -> Place | None:
    found = next((baseline for baseline in seen.baselines if baseline.kind == "sealed"), None)
    return None if found is None else Place(found.start, found.end)


def _closed(seen: _Seen) -> Place | None:
    """From the charge until the cell was opened: what a leak has to go by."""
    start, end = time_of(seen.journal, acts.CHARGED), time_of(seen.journal, acts.VENTED)
    if start is None:
        return _all(seen)
    last = max((point.end for point in seen.used), default=seen.end)
    return Place(start, min(last if end is None else end, seen.end), tuple(point.number for point in seen.used))


def _all(seen: _Seen) -> Place | None:
    return _of_points(seen.used)


def _back(seen: _Seen) -> Place | None:
    return _of_points([point for point in seen.used if point.branch in BACK])


def _first(seen: _Seen) -> Place | None:
    return _of_points(seen.used[:1])


def _at(seen: _Seen, *names: str) -> list[PointRecord]:
    """The points that have these temperatures."""
    wanted = [float(seen.facts[name]) for name in names if isinstance(seen.facts.get(name), int | float)]
    return [point for point in seen.used if any(abs(point.temperature - value) < SAME for value in wanted)]


def _named(seen: _Seen) -> Place | None:
    return _of_points(_at(seen, "temperature"))


def _between(seen: _Seen) -> Place | None:
    return _of_points(_at(seen, "low", "high"))


def _moment(seen: _Seen) -> Place | None:
    time = seen.facts.get("time")
    if not isinstance(time, int | float) or not math.isfinite(time):
        return None
    return Place(max(time - AROUND, 0.0), min(time + AROUND, seen.end), (), float(time))


def _furthest(seen: _Seen) -> Place | None:
    """The point that lies furthest from the line for its own uncertainty."""
    if len(seen.fitted) != len(seen.all_points):
        return _all(seen)
    off = [
        (abs(line["residual"]) / (line.get("u_pressure_total") or point.u_pressure or 1.0), point)
        for line, point in zip(seen.fitted, seen.all_points, strict=True)
        if point.used and isinstance(line.get("residual"), int | float)
    ]
    return _of_points([max(off, key=lambda pair: pair[0])[1]]) if off else _all(seen)


def _charge(seen: _Seen) -> Place | None:
    time = time_of(seen.journal, acts.CHARGED)
    return None if time is None else Place(max(time - AROUND, 0.0), min(time + AROUND, seen.end), (), time)


_PLACES: Mapping[tuple[str, str], Callable[[_Seen], Place | None]] = {
    ("channels-swapped", ""): _sealed,
    ("pressure-unit", ""): _sealed,
    ("gauge-pressure", ""): _sealed,
    ("pressure-implausible", ""): _sealed,
    ("temperature-unit", ""): _sealed,
    ("cell-not-conditioned", ""): _sealed,
    ("humidity-not-given", ""): _sealed,
    ("air-amount", ""): _sealed,
    ("plunger-not-given", ""): _charge,
    ("outside-reference", ""): _all,
    ("scatter", ""): _furthest,
    ("outlier-point", ""): _named,
    ("leak", ""): _closed,
    ("branches-differ", ""): _back,
    ("curvature", ""): _all,
    ("residual-air", ""): _all,
    ("liquid-exhausted", ""): _between,
    ("enthalpy-implausible", ""): _all,
    ("gas-let-out", "points"): _between,
    ("gas-let-out", "trace"): _moment,
    ("lag-too-long", ""): _all,
    ("not-saturated", ""): _first,
}

#: Findings about what was entered or looked up: no stretch of a trace shows them.
NOWHERE = frozenset(
    {"unknown-liquid", "vapour-not-ideal", "level-off-reference", "enthalpy-off-reference", "input-pulled"}
)
