"""Each figure of a run drawn from its record, for a page or for a file of its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from matplotlib.figure import Figure

from acquire.record import RunRecord
from acquire.report.content import SEVERITIES as SIGNS
from acquire.report.content import newest_result
from acquire.report.curve import curve_of, curve_of_document, placed, shown_points, total_slopes
from acquire.report.plateau_figure import parts_of, plateau_figure
from acquire.report.saturation_figure import saturation_figure
from acquire.report.story import Mark, marks
from acquire.report.trace_figure import trace_figure
from acquire.review.places import place_of
from acquire.review.what_if import recomputed

if TYPE_CHECKING:
    from analysis.enthalpy_result import EnthalpyFit


def draw_traces(record: RunRecord, *, narrow: bool = False) -> Figure:
    """The whole run with its windows, acts and limits."""
    limits = record.plan.get("limits", {})
    room = next((baseline.pressure for baseline in record.baselines if baseline.kind == "room"), None)
    over = limits.get("over_pressure")
    return trace_figure(
        record,
        (*marks(record.journal), *finding_marks(record)),
        narrow=narrow,
        limit_temperature=limits.get("temperature"),
        limit_pressure=None if room is None or over is None else room + over,
    )


def finding_marks(record: RunRecord) -> tuple[Mark, ...]:
    """A mark with sign and number for each finding that the traces show, as the list of findings counts them."""
    fit = newest_result(record)
    found = []
    ordered = sorted((fit or {}).get("findings") or (), key=lambda finding: SIGNS.get(finding["severity"], ("●", 2))[1])
    for number, finding in enumerate(ordered, 1):
        place = place_of(finding, record, fit)
        if place is not None:
            sign = SIGNS.get(finding["severity"], ("●", 2))[0]
            found.append(Mark(place.start if place.moment is None else place.moment, f"{sign}{number}"))
    return tuple(found)


def draw_plateaus(record: RunRecord, part: int = 0, *, narrow: bool = False) -> Figure:
    """A handful of plateaus up close; `part` counts the handfuls from 0."""
    fit = record.results[-1] if record.results else None
    points = parts_of(record.points)[part]
    return plateau_figure(record.traces, points, total_slopes(record.points, fit), narrow=narrow)


def draw_saturation(record: RunRecord, *, narrow: bool = False) -> Figure:
    """The saturation line of the newest result."""
    fit = record.results[-1]
    return draw_line(fit, shown_points(fit, record.points), recomputed(record, fit), narrow=narrow)


def draw_line(
    fit: Mapping[str, Any],
    points: Sequence[Mapping[str, Any]],
    again: EnthalpyFit | None = None,
    *,
    narrow: bool = False,
) -> Figure:
    """A saturation line.

    Parameters
    ----------
    again
        The same fit made again, whose band is exact; without it the band is drawn from the stored numbers.
    """
    curve = curve_of(again) if again is not None else curve_of_document(fit)
    return saturation_figure(fit, placed(points, again), curve, narrow=narrow)
