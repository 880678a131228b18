"""A sheet to compute a run by hand: blank for the person, filled in for the marker, both from the same run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from markupsafe import Markup
from matplotlib.figure import Figure
from matplotlib.ticker import AutoMinorLocator, MaxNLocator

from acquire.record import RunRecord
from acquire.report import palette, text
from acquire.report.content import liquid_words, newest_result
from acquire.report.errors import ReportError
from acquire.report.given_words import title_words
from acquire.report.hand_work import R_PRINTED, HandWork, hand_work
from acquire.report.language import spoken, tr
from acquire.report.page import render, write_page
from acquire.report.result_block import ResultBlock, liquid_of, result_block
from acquire.report.svg import drawing_style, inline_svg
from acquire.version import VERSION


@dataclass(frozen=True)
class Question:
    """Something to think about, with what a good answer says."""

    ask: str
    answer: str


def write_worksheet(record: RunRecord, path: str | Path, *, filled: bool = False, language: str = "en") -> Path:
    """Write the sheet; the path it was written to.

    Raises
    ------
    ReportError
        The run cannot be computed by hand, or the file cannot be written.
    """
    return write_page(worksheet_html(record, filled=filled, language=language), Path(path))


def worksheet_html(record: RunRecord, *, filled: bool = False, language: str = "en") -> str:
    """The whole sheet as text."""
    work = hand_work(record)
    if work is None:
        raise ReportError(_why_not(record))
    with spoken(language):
        return _sheet(record, work, filled=filled)


def _sheet(record: RunRecord, work: HandWork, *, filled: bool) -> str:
    result = result_block(newest_result(record), liquid_of(record.plan))
    drawn = inline_svg(graph(work, filled=filled), name="graph", label=_label(filled))
    return render(
        "worksheet.html.j2",
        title=title_words(record),
        liquid=liquid_words(record.plan),
        when=text.date_and_time(record.start_time),
        work=work,
        filled=filled,
        show=_shower(filled),
        gas_constant=text.typeset(str(R_PRINTED)),
        fixed=_fixed,
        line=_line_texts(work),
        graph=Markup(drawn),
        questions=questions(work, result),
        result=result,
        given=text.with_unit(f"({result.number})", result.unit),
        generator=f"satline {VERSION}",
    )


def _why_not(record: RunRecord) -> str:
    used = sum(point.used for point in record.points)
    sealed = any(baseline.kind == "sealed" for baseline in record.baselines)
    return (
        f"the run {record.title!r} cannot be computed by hand: found {used} point{'' if used == 1 else 's'} in use and "
        f"{'a' if sealed else 'no'} sealed baseline; expected three points or more, above the pressure of the air, and "
        "a sealed baseline. The report shows what there is."
    )


def _label(filled: bool) -> str:
    if filled:
        return tr("Graph of ln(p/kPa) over 1000 K/T with the line")
    return tr("Empty graph for ln(p/kPa) over 1000 K/T")


def _fixed(value: float, decimals: int) -> str:
    return text.typeset(f"{value:.{decimals}f}")


def _shower(filled: bool) -> Callable[..., Markup]:
    """A number when the sheet is filled in, a blank to write into when it is not."""

    def show(value: float | str, decimals: int | None = None) -> Markup:
        if not filled:
            return Markup('<span class="blank">&nbsp;</span>')
        shown = value if decimals is None else _fixed(float(value), decimals)
        return Markup('<span class="filled">{}</span>').format(shown)

    return show


def _line_texts(work: HandWork) -> dict[str, str]:
    """The numbers under the graph, with the digits that the scatter leaves."""
    return {
        "slope": _fixed(work.slope, 3),
        "u_slope": _fixed(work.u_slope, 3),
        "student": _fixed(work.student, 2),
        "enthalpy": _fixed(work.enthalpy, 2),
        "half_width": _fixed(work.half_width, 2),
    }


def questions(work: HandWork, result: ResultBlock) -> tuple[Question, ...]:
    """Three things to think about, with answers from this very run."""
    hot = max(work.points, key=lambda point: point.temperature)
    constant_air = text.with_unit(_fixed(hot.air - work.pressure_0 * work.volume_factor, 2), "kPa")
    comparison = (
        tr(
            "The program's interval is {0}: it counts the trapped air, the offsets of the sensors, the lag and the "
            "vapour's non-ideality too."
        ).format(result.interval) if result.stands else
        tr("In this run the program gives no interval at all; the report says why.")
    )  # fmt: skip
    by_hand = text.with_unit(f"({_fixed(work.enthalpy, 2)} ± {_fixed(work.half_width, 2)})", "kJ/mol")
    return (
        Question(
            tr(
                "The air in the cell was warmed along with the liquid. By how much would the vapour pressure at the "
                "hottest point be wrong if the air's pressure were taken as constant, and which way would the enthalpy "
                "go?"
            ),
            tr(
                "By {0}, too high at the hot end and hardly at the cold end: the line gets too steep and the enthalpy "
                "too large."
            ).format(constant_air),
        ),
        Question(
            tr("Name two errors that move all points together. Would you see them in the scatter of the points?"),
            tr(
                "For example moisture in the air shut in, a wrong gas volume, an offset of a sensor. No: the points "
                "lie just as well on a line, and that is why the interval from the scatter is too narrow."
            ),
        ),
        Question(
            tr(
                "Compare your interval with the one that the program gives. What does the wider one know that the "
                "other does not?"
            ),
            tr("By hand: {0}. {1}").format(by_hand, comparison),
        ),
    )


def graph(work: HandWork, *, filled: bool) -> Figure:
    """Squared paper with axes that suit the run; the points and the line only when filled in."""
    x = [point.inverse for point in work.points]
    y = [point.logarithm for point in work.points]
    with drawing_style():
        figure = Figure(figsize=(7.0, 4.0), layout="constrained")
        axes = figure.subplots()
        axes.set_xlim(_rounded_out(min(x), max(x), 0.02))
        axes.set_ylim(_rounded_out(min(y), max(y), 0.2))
        for axis in (axes.xaxis, axes.yaxis):
            axis.set_major_locator(MaxNLocator(12, steps=[1, 2, 5, 10]))
            axis.set_minor_locator(AutoMinorLocator(5))
        axes.grid(which="major", color=palette.MUTED, linewidth=0.5)
        axes.grid(which="minor", color=palette.RULE, linewidth=0.4)
        axes.set_xlabel("1000 K / T")
        axes.set_ylabel(tr("ln(p / kPa) of the vapour"))
        if filled:
            ends = axes.get_xlim()
            axes.plot(ends, [work.intercept + work.slope * end for end in ends], color=palette.INK)
            axes.plot(x, y, linestyle="none", marker="o", color=palette.PRESSURE, markerfacecolor="white", markersize=6)
            axes.set_xlim(ends)
    return figure


def _rounded_out(low: float, high: float, step: float) -> tuple[float, float]:
    """The next multiples of `step` below and above, so that the squares have handy values."""
    return step * ((low - step / 4) // step), step * (-(-(high + step / 4) // step))
