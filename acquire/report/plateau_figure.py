"""Each plateau up close: both traces about the window of the point, all at one scale."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from acquire.record import PointRecord, Trace
from acquire.report import palette
from acquire.report.decimate import drawable_between, outline
from acquire.report.language import tr
from acquire.report.svg import drawing_style

BEFORE, AFTER = 60.0, 20.0  # [s] shown around the window: enough to see how it became level
PANELS = 12  # in one figure
REACH = 0.5  # [K] shown above and below the point, and as much in pressure


def parts_of(points: Sequence[PointRecord]) -> list[tuple[PointRecord, ...]]:
    """The points in handfuls that make figures no taller than a printed page."""
    return [tuple(points[start : start + PANELS]) for start in range(0, len(points), PANELS)]


def plateau_figure(
    traces: Mapping[str, Trace], points: Sequence[PointRecord], slope: Mapping[int, float], *, narrow: bool = False
) -> Figure:
    """One panel a point, as deviations from the point.

    Parameters
    ----------
    points
        A handful, as `parts_of` gives them.
    slope
        dp/dT of the cell at each point by its number: with it half a kelvin looks the same in both traces.
        [Pa/K]
    """
    columns = min(len(points), 2 if narrow else 3) or 1
    rows = max(math.ceil(len(points) / columns), 1)
    width, height = (3.5, 1.35 * rows + 0.3) if narrow else (7.3, 1.35 * rows + 0.3)
    with drawing_style():
        figure = Figure(figsize=(width, height), layout="constrained")
        grid = figure.subplots(rows, columns, squeeze=False, sharey=True)
        for axes in list(grid.flat)[len(points) :]:
            axes.set_axis_off()
        for axes, point in zip(grid.flat, points, strict=False):
            _panel(axes, traces, point, slope.get(point.number, 1000.0))
        for axes in grid[:, 0]:
            axes.set_ylabel(tr("deviation / K"))
        for axes in grid[-1, :]:
            axes.set_xlabel(tr("s from window start"))
    return figure


def _panel(axes: Axes, traces: Mapping[str, Trace], point: PointRecord, slope: float) -> None:
    axes.axvspan(0, point.end - point.start, facecolor=palette.PLATEAU, edgecolor=palette.PLATEAU_EDGE, linewidth=0.6)
    axes.axhline(0, color=palette.INK, linewidth=0.5)
    # Pressure lower and temperature upper in drawing order, so that neither hides the other's middle.
    _deviation(axes, traces.get("pressure"), point, point.pressure, slope, palette.PRESSURE)
    _deviation(axes, traces.get("temperature"), point, point.temperature_probe, 1.0, palette.TEMPERATURE)
    axes.set_ylim(-REACH, REACH)
    axes.set_xlim(-BEFORE, point.end - point.start + AFTER)
    words = f"{point.number}" if point.used else tr("{0} set aside").format(point.number)
    axes.set_title(words, loc="left", fontsize=8, fontweight="bold", pad=2)


def _deviation(axes: Axes, trace: Trace | None, point: PointRecord, level: float, scale: float, colour: str) -> None:
    if trace is None:
        return
    short, shown = outline(*drawable_between(trace, point.start - BEFORE, point.end + AFTER), 150)
    axes.plot(short - point.start, np.clip((shown - level) / scale, -2 * REACH, 2 * REACH), color=colour, linewidth=0.8)
