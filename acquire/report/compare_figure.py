"""Several runs in one figure: traces on one clock, and saturation lines with their bands and residuals."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from acquire.report import palette
from acquire.report.decimate import outline
from acquire.report.language import tr
from acquire.report.saturation_figure import KILO, add_celsius
from acquire.report.svg import drawing_style, short_name
from acquire.review.compare import LineOfRun, Overlay
from drivers import units

#: Colour, line and mark of each run: told apart without colour too.  Colours of Okabe and Ito that stand out on paper.
LOOKS = (
    ("#0072b2", "-", "o"),
    ("#d55e00", "--", "s"),
    ("#009e73", "-.", "^"),
    ("#b0588f", ":", "D"),
    ("#1c2329", (0, (6, 1, 1, 1, 1, 1)), "P"),
)


def look_of(run: int) -> tuple[str, object, str]:
    """Colour, line style and mark of the run of this number; they repeat after the fifth."""
    return LOOKS[run % len(LOOKS)]


def overlay_figure(pressure: Sequence[Overlay], temperature: Sequence[Overlay], *, narrow: bool = False) -> Figure:
    """Pressure over bath temperature, every run on the clock of its charge."""
    with drawing_style():
        figure = Figure(figsize=(3.5, 4.4) if narrow else (7.3, 4.4), layout="constrained")
        top, bottom = figure.subplots(2, 1, sharex=True, gridspec_kw={"height_ratios": [1.4, 1.0], "hspace": 0.02})
        bins = 300 if narrow else 700
        for axes, overlays, unit in ((top, pressure, "kPa"), (bottom, temperature, "degC")):
            for overlay in overlays:
                time, value = outline(overlay.time, overlay.value, bins)
                colour, style, _ = look_of(overlay.run)
                axes.plot(
                    time / 60, units.from_si(value, unit), color=colour, linestyle=style, linewidth=1.0,
                    label=short_name(overlay.label),
                )  # fmt: skip
            axes.axvline(0.0, color=palette.MUTED, linewidth=0.7, linestyle=(0, (1, 2)))
        top.set_ylabel(tr("cell pressure / kPa"))
        top.tick_params(labelbottom=False)
        bottom.set_ylabel(tr("bath / °C"))
        bottom.set_xlabel(tr("time since the charge / min"))
        _legend(figure, top, narrow)
        figure.align_ylabels((top, bottom))
    return figure


def lines_figure(lines: Sequence[LineOfRun], *, narrow: bool = False) -> Figure:
    """ln(p/kPa) over 1000 K/T of every run, with bands, and the residuals of all points below."""
    with drawing_style():
        figure = Figure(figsize=(3.5, 4.6) if narrow else (7.3, 4.6), layout="constrained")
        top, bottom = figure.subplots(2, 1, sharex=True, gridspec_kw={"height_ratios": [2.4, 1.0], "hspace": 0.02})
        bottom.axhline(0.0, color=palette.INK, linewidth=0.8)
        for line in lines:
            _line(top, bottom, line)
        top.set_ylabel(tr("ln(p / kPa) of the vapour"))
        top.tick_params(labelbottom=False)
        bottom.set_ylabel(tr("residual / Pa"))
        bottom.set_xlabel("1000 K / T")
        bottom.yaxis.set_major_locator(MaxNLocator(4))
        bottom.margins(y=0.15)
        add_celsius(top)
        _legend(figure, top, narrow)
        figure.align_ylabels((top, bottom))
    return figure


def _line(top: Axes, bottom: Axes, line: LineOfRun) -> None:
    colour, style, mark = look_of(line.run)
    if line.curve is not None:
        x = 1000 * line.curve.inverse_temperature
        top.fill_between(
            x, line.curve.log_low - KILO, line.curve.log_high - KILO, color=colour, alpha=0.15, linewidth=0
        )
        top.plot(x, line.curve.log_pressure - KILO, color=colour, linestyle=style, linewidth=1.0)
    x = 1000 * np.array(line.inverse_temperature)
    cooling = np.array(line.cooling, dtype=bool)
    # Open marks were taken after cooling: the same sign as everywhere for a direction, whatever the run's own mark.
    for which, face, label in ((~cooling, colour, short_name(line.label)), (cooling, "white", None)):
        shape: dict[str, Any] = {"linestyle": "none", "marker": mark, "color": colour, "markerfacecolor": face}
        top.plot(x[which], np.array(line.log_pressure)[which] - KILO, label=label, markersize=4.5, **shape)
        bottom.plot(x[which], np.array(line.residual)[which], markersize=4.5, **shape)


def _legend(figure: Figure, axes: Axes, narrow: bool) -> None:
    handles, labels = axes.get_legend_handles_labels()
    if handles:
        figure.legend(handles, labels, loc="outside upper left", ncols=1 if narrow else 3, frameon=False, fontsize=7)
