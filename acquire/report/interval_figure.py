"""Where the result lies: intervals of this run, the textbook line and the reference on one scale."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from acquire.report import palette, text
from acquire.report.language import tr
from acquire.report.result_block import IntervalRow
from acquire.report.svg import drawing_style, short_name

#: Colour, mark, thickness of the bar [pt].
LOOKS = {
    "run": (palette.INK, "o", 9),
    "line": (palette.TEMPERATURE, "D", 5),
    "reference": (palette.PRESSURE, "s", 5),
}


def interval_label(rows: Sequence[IntervalRow]) -> str:
    """What the figure shows, in words, for people who cannot see it."""
    told = [
        tr("{0}: {1}, from {2} to {3} kJ/mol.").format(
            row.label, *(text.typeset(f"{value:.1f}") for value in (row.value, row.low, row.high))
        )
        for row in rows
    ]
    return " ".join([tr("Intervals on one scale."), *told])


def interval_figure(rows: Sequence[IntervalRow], *, wide: bool = False) -> Figure:
    """One bar a row; a dashed line at each reference runs through all of them.

    `wide` is for a figure that has the page for itself.
    """
    with drawing_style():
        figure = Figure(figsize=(7.3 if wide else 3.6, 0.5 + 0.38 * len(rows)), layout="constrained")
        axes = figure.subplots()
        for index, row in enumerate(rows):
            colour, mark, thickness = LOOKS[row.kind]
            axes.plot([row.low, row.high], [index, index], color=colour, linewidth=thickness, solid_capstyle="butt",
                      alpha=0.3)  # fmt: skip
            axes.plot([row.value], [index], marker=mark, color=colour, markersize=6 if row.kind == "run" else 4)
            if row.kind == "reference":
                axes.axvline(row.value, color=colour, linewidth=0.9, linestyle=(0, (5, 3)), zorder=0.9)
        axes.set_ylim(len(rows) - 0.5, -0.6)
        axes.set_yticks(range(len(rows)), [short_name(row.label, 40 if wide else 22) for row in rows])
        for label, row in zip(axes.get_yticklabels(), rows, strict=True):
            label.set_color(palette.INK)
            label.set_fontweight("bold" if row.kind == "run" else "normal")
        axes.tick_params(axis="y", length=0)
        axes.spines["left"].set_visible(False)
        axes.grid(axis="y", visible=False)
        axes.xaxis.set_major_locator(MaxNLocator(5))
        axes.margins(x=0.06)
        axes.set_xlabel(tr("95 % intervals / (kJ/mol)"))
    return figure
