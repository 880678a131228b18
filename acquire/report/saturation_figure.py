"""The saturation line: points, fitted curve with its band, residuals underneath."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from acquire.report import palette, text
from acquire.report.curve import FitPointDict, SaturationCurve, on_the_line, textbook_log_pressure
from acquire.report.language import tr
from acquire.report.svg import drawing_style

KILO = float(np.log(1000.0))  # ln(p/Pa) - ln(p/kPa)


def saturation_figure(
    fit: Mapping[str, Any], points: Sequence[FitPointDict], curve: SaturationCurve | None, *, narrow: bool = False
) -> Figure:
    """ln(p/kPa) over 1000 K/T, cold on the right, with the residual of each point below.

    Parameters
    ----------
    points
        As `curve.placed` gives them.
    narrow
        For a telephone: taller than wide, with letters of the same size.
    """
    width, height = (3.5, 4.3) if narrow else (7.3, 4.1)
    with drawing_style():
        figure = Figure(figsize=(width, height), layout="constrained")
        line, residual = figure.subplots(2, 1, sharex=True, gridspec_kw={"height_ratios": [2.7, 1.0], "hspace": 0.02})
        if curve is not None:
            _curve(line, curve, fit)
        residual.axhline(0.0, color=palette.INK, linewidth=0.8)
        for point in points:
            _point(line, residual, point)
        line.set_ylabel(tr("ln(p / kPa) of the vapour"))
        line.tick_params(labelbottom=False)
        line.yaxis.set_major_locator(MaxNLocator(6))
        residual.set_ylabel(tr("residual / Pa"))
        residual.set_xlabel("1000 K / T")
        residual.yaxis.set_major_locator(MaxNLocator(4))
        residual.margins(y=0.15)
        line.margins(x=0.03)
        add_celsius(line)
        if line.get_legend_handles_labels()[0]:
            line.legend(frameon=False, fontsize=7, loc="upper right", handlelength=1.8)
        figure.align_ylabels((line, residual))
    return figure


def _curve(axes: Axes, curve: SaturationCurve, fit: Mapping[str, Any]) -> None:
    x = 1000 * curve.inverse_temperature
    low, high = curve.log_low - KILO, curve.log_high - KILO
    axes.fill_between(x, low, high, color=palette.BAND, linewidth=0, label=tr("95 % band"))
    axes.plot(x, curve.log_pressure - KILO, color=palette.INK, label=tr("fitted curve"))
    if fit.get("textbook_line"):
        textbook = textbook_log_pressure(fit, curve.inverse_temperature) - KILO
        axes.plot(
            x, textbook, color=palette.TEMPERATURE, linestyle=(0, (4, 3)), linewidth=0.9, label=tr("textbook line")
        )


def _point(line: Axes, residual: Axes, point: FitPointDict) -> None:
    if not (point.get("drawn_vapour") or 0.0) > 0:
        return  # no logarithm, no place on the line
    x = 1000 / point["temperature"]
    marker, face = _marker(point)
    style: dict[str, Any] = {
        "marker": marker,
        "color": palette.PRESSURE,
        "markerfacecolor": face,
        "markersize": 5.5,
        "linestyle": "none",
        "zorder": 4,
    }
    y = float(np.log(point["drawn_vapour"])) - KILO
    line.plot([x], [y], **style)
    line.annotate(
        str(point["number"]), (x, y), xytext=(-6, -5), textcoords="offset points", ha="right", va="top", fontsize=7
    )
    if point.get("residual") is not None:
        u = point.get("u_pressure_total")
        residual.errorbar([x], [point["residual"]], yerr=[u] if u else None, elinewidth=0.8, capsize=2, **style)


def _marker(point: FitPointDict) -> tuple[str, str]:
    """Shape by what the point is: cross set aside, triangle taken after cooling, circle while warming."""
    if not point["used"]:
        return "x", "none"
    if point.get("branch") in ("down", "return"):
        return "v", "white"
    return "o", "white"


def add_celsius(axes: Axes) -> None:
    """The same axis in degrees along the top."""

    def to_celsius(x: Any) -> Any:
        return 1000 / np.maximum(x, 1e-6) - 273.15

    def from_celsius(t: Any) -> Any:
        return 1000 / np.maximum(np.asarray(t) + 273.15, 1e-6)

    top = axes.secondary_xaxis("top", functions=(to_celsius, from_celsius))
    top.set_xlabel(tr("temperature / °C"), color=palette.MUTED)
    top.spines["top"].set_visible(True)
    top.spines["top"].set_color(palette.RULE)


def described(points: Sequence[FitPointDict]) -> str:
    """What the figure shows, in words, for people who cannot see it."""
    used = [point for point in on_the_line(points) if point["used"]]
    if not used:
        return tr("Saturation line: no point is in use.")
    coldest, hottest = min(p["temperature"] for p in used), max(p["temperature"] for p in used)
    low, high = (found(p["pressure_vapour"] for p in used) / 1000 for found in (min, max))
    worst = max(abs(p.get("residual") or 0.0) for p in used)
    numbers = (f"{coldest - 273.15:.1f}", f"{hottest - 273.15:.1f}", f"{low:.2f}", f"{high:.2f}", f"{worst:.2g}")
    return tr(
        "Saturation line: logarithm of the vapour pressure over inverse temperature. {0} points in use from {1} to "
        "{2} °C, vapour pressure from {3} to {4} kPa, with the fitted curve, its 95 % band and the textbook line; "
        "largest residual {5} Pa."
    ).format(len(used), *(text.typeset(number) for number in numbers))
