"""The whole run over time: pressure, temperature, the windows of the points, and what people did."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from acquire.record import PointRecord, RunRecord
from acquire.report import palette
from acquire.report.decimate import drawable, outline
from acquire.report.language import tr
from acquire.report.story import Mark
from acquire.report.svg import bare, drawing_style
from drivers import units

MOST_ROWS = 5  # of labels above the traces; more would push the traces down
CHARACTER = 4.3  # [pt] mean width of a character at 7 pt, measured on this font


def trace_figure(
    record: RunRecord,
    marks: Sequence[Mark] = (),
    *,
    narrow: bool = False,
    limit_temperature: float | None = None,
    limit_pressure: float | None = None,
) -> Figure:
    """Pressure over temperature over one time axis in minutes.

    Parameters
    ----------
    marks
        Moments to mark, with a word or two each.
    narrow
        For a telephone: taller than wide, with letters of the same size.
    limit_temperature, limit_pressure
        Drawn as dashed lines when they lie within reach of the readings.  [K, Pa]
    """
    width, height = (3.5, 4.2) if narrow else (7.3, 4.3)
    end = max(record.duration, 60.0) / 60
    labels = _labels(marks, width * 72 * 0.86 / (1.025 * end))
    rows = 1 + max((label.row for label in labels if label.row is not None), default=0)
    with drawing_style():
        figure = Figure(figsize=(width, height + 0.13 * rows), layout="constrained")
        top, pressure, temperature = figure.subplots(
            3, 1, sharex=True, gridspec_kw={"height_ratios": [0.14 * rows, 1.5, 1.0], "hspace": 0.02}
        )
        bins = 450 if narrow else 1000
        _draw(pressure, record, "pressure", "kPa", palette.PRESSURE, bins)
        _draw(temperature, record, "temperature", "degC", palette.TEMPERATURE, bins)
        pressure.set_ylabel(tr("cell pressure / kPa"))
        temperature.set_ylabel(tr("bath / °C") if narrow else tr("bath temperature / °C"))
        temperature.set_xlabel(tr("time since start / min"))
        pressure.tick_params(labelbottom=False)
        _limit(pressure, limit_pressure, "kPa", tr("limit"))
        _limit(temperature, limit_temperature, "degC", tr("limit"))
        low, high = pressure.get_ylim()
        pressure.set_ylim(low, high + 0.11 * (high - low))  # room for the numbers above the trace
        temperature.set_xlim(-0.01 * end, 1.015 * end)
        for point in record.points:
            _window((pressure, temperature), point)
        _marks(top, (pressure, temperature), labels, rows)
        figure.align_ylabels((pressure, temperature))
    return figure


def _draw(axes: Axes, record: RunRecord, channel: str, unit: str, colour: str, bins: int) -> None:
    trace = record.traces.get(channel)
    if trace is None or not len(trace.time):
        missing = tr("no pressure readings") if channel == "pressure" else tr("no temperature readings")
        axes.text(0.5, 0.5, missing, transform=axes.transAxes, ha="center", color=palette.MUTED)
        return
    time, value = outline(*drawable(trace), bins)
    axes.plot(time / 60, units.from_si(value, unit), color=colour, gid=f"trace-{channel}")


def _limit(axes: Axes, limit: float | None, unit: str, word: str) -> None:
    if limit is None:
        return
    low, high = axes.get_ylim()
    level = float(units.from_si(limit, unit))
    if not low <= level <= high + 0.35 * (high - low):
        return
    axes.axhline(level, color=palette.INK, linestyle=(0, (4, 3)), linewidth=0.8)
    axes.annotate(
        word, (0.006, level), xycoords=("axes fraction", "data"), xytext=(0, 2), textcoords="offset points", fontsize=7
    )
    axes.set_ylim(low, max(high, level + 0.1 * (high - low)))


def _window(panels: Sequence[Axes], point: PointRecord) -> None:
    for axes in panels:
        face = palette.PLATEAU if point.used else "none"
        axes.axvspan(
            point.start / 60, point.end / 60, facecolor=face, edgecolor=palette.PLATEAU_EDGE, linewidth=0.6,
            hatch=None if point.used else "////", zorder=0.5,
        )  # fmt: skip
    panels[0].annotate(
        str(point.number), ((point.start + point.end) / 120, 1.0), xycoords=("data", "axes fraction"),
        xytext=(0, -3), textcoords="offset points", ha="center", va="top", fontsize=7, fontweight="bold",
    )  # fmt: skip


@dataclass(frozen=True)
class _Label:
    minute: float
    text: str
    row: int | None  # 0 right above the traces; None: no room for the word


def _labels(marks: Sequence[Mark], per_minute: float) -> list[_Label]:
    """Every mark with its row; `per_minute` is the width of a minute.  [pt]"""
    ordered = sorted(marks, key=lambda mark: mark.time)
    places = [mark.time / 60 * per_minute for mark in ordered]
    rows = label_rows(places, [mark.text for mark in ordered], MOST_ROWS)
    return [_Label(mark.time / 60, mark.text, row) for mark, row in zip(ordered, rows, strict=True)]


def _marks(strip: Axes, panels: Sequence[Axes], labels: Sequence[_Label], rows: int) -> None:
    """Words in rows above the traces, each beside the line that leads down to its moment."""
    bare(strip)
    strip.set_ylim(0, rows)
    for label in labels:
        for axes in panels:
            axes.axvline(label.minute, color=palette.MUTED, linestyle=(0, (1, 2)), linewidth=0.7, zorder=0.8)
        top = 0.3 if label.row is None else label.row + 0.85
        strip.plot([label.minute, label.minute], [0, top], color=palette.MUTED, linewidth=0.7, clip_on=False)
        if label.row is not None:
            strip.annotate(
                label.text, (label.minute, label.row + 0.5), xytext=(2.5, 0), textcoords="offset points", va="center",
                fontsize=7, annotation_clip=False,
            )  # fmt: skip


def label_rows(places: Sequence[float], words: Sequence[str], rows: int) -> list[int | None]:
    """The row of each label, 0 at the bottom; None where there is no room and the line must do.

    Every label begins at its own line, which runs down to the traces.  So a label stands above the labels of all
    later lines that it would otherwise meet, and no line ever runs through a word.

    Parameters
    ----------
    places
        Where the lines are, rising.  [pt]
    """
    taken: list[int | None] = [None] * len(places)
    for index in range(len(places) - 1, -1, -1):
        end = places[index] + len(words[index]) * CHARACTER + 6
        later = zip(places[index + 1 :], taken[index + 1 :], strict=True)
        row = max((row for place, row in later if place < end and row is not None), default=-1) + 1
        taken[index] = row if row < rows else None
    return taken
