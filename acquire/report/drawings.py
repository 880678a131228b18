"""Each figure of a run drawn from its record, for a page or for a file of its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from matplotlib.figure import Figure

from acquire.record import RunRecord
from acquire.report.curve import curve_of, curve_of_document, placed, shown_points, total_slopes
from acquire.report.plateau_figure import parts_of, plateau_figure
from acquire.report.saturation_figure import saturation_figure
from acquire.report.story import marks
from acquire.report.trace_figure import trace_figure
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
        marks(record.journal),
        narrow=narrow,
        limit_temperature=limits.get("temperature"),
        limit_pressure=None if room is None or over is None else room + over,
    )


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
