"""The report as one self-contained page: templates, figures and style put together; nothing is fetched, no script."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from matplotlib.figure import Figure

from acquire.record import RunRecord
from acquire.report import content as words
from acquire.report import text
from acquire.report.curve import shown_points
from acquire.report.drawings import draw_line, draw_plateaus, draw_traces
from acquire.report.errors import ReportError
from acquire.report.interval_figure import interval_figure, interval_label
from acquire.report.language import language as page_language
from acquire.report.language import spoken, tr
from acquire.report.plateau_figure import parts_of
from acquire.report.points_page import points_content, with_branches
from acquire.report.result_block import ResultBlock
from acquire.report.saturation_figure import described
from acquire.report.svg import inline_svg
from acquire.review.what_if import recomputed
from acquire.version import VERSION

if TYPE_CHECKING:
    from analysis.enthalpy_result import EnthalpyFit
    from analysis.fit_input import FitPoint


PROGRAM = f"satline {VERSION}"


@dataclass(frozen=True)
class Picture:
    """One figure twice: for a wide page and for a telephone; the style sheet shows one of them.

    Without `narrow` the one drawing serves both.
    """

    wide: Markup
    narrow: Markup | None


def write_report(record: RunRecord, path: str | Path, language: str = "en") -> Path:
    """Write the report of a run; the path it was written to.

    Parameters
    ----------
    language
        A code of `acquire.report.language.LANGUAGES`.

    Raises
    ------
    ReportError
        The file cannot be written; what was there before is still there.
    """
    return write_page(report_html(record, language), Path(path))


def report_html(record: RunRecord, language: str = "en") -> str:
    """The whole page as text."""
    with spoken(language):
        content = words.run_content(record)
        pictures = _run_pictures(record, content.result)
        return render("report.html.j2", content=content, figures=pictures, generator=record.program)


def write_points_report(
    fit: Mapping[str, Any],
    points: Sequence[FitPoint],
    path: str | Path,
    *,
    title: str = "",
    source: str = "",
    language: str = "en",
) -> Path:
    """Write the report of a fit on a table of points; the path it was written to.

    Parameters
    ----------
    fit
        As `EnthalpyFit.as_dict()` gives it.
    points
        What was fitted, in the same order.
    source
        Where the table is from, for the line under the title.

    Raises
    ------
    ReportError
        The file cannot be written; what was there before is still there.
    """
    with spoken(language):
        return write_page(points_report_html(fit, points, title=title, source=source), Path(path))


def points_report_html(fit: Mapping[str, Any], points: Sequence[FitPoint], *, title: str, source: str) -> str:
    """The whole page of a table as text, in the language that is spoken."""
    content = points_content(fit, points, title=title or tr("Fit of a table of points"), source=source)
    lines = line_picture(fit, with_branches(fit, points))
    figures = {"interval": interval_picture(content.result), "saturation": lines}
    return render("points.html.j2", content=content, figures=figures, generator=PROGRAM)


def interval_picture(result: ResultBlock) -> Picture | None:
    """Where the result lies; None without a result."""
    if not result.rows:
        return None
    drawn = Markup(inline_svg(interval_figure(result.rows), name="interval", label=interval_label(result.rows)))
    return Picture(drawn, None)


def line_picture(
    fit: Mapping[str, Any], points: Sequence[Mapping[str, Any]], again: EnthalpyFit | None = None
) -> Picture:
    """The saturation line of a fit document."""
    return picture("saturation", described(points), lambda narrow: draw_line(fit, points, again, narrow=narrow))


def _run_pictures(record: RunRecord, result: ResultBlock) -> dict[str, Any]:
    fit = words.newest_result(record)
    saturation = None
    if fit is not None:
        saturation = line_picture(fit, shown_points(fit, record.points), recomputed(record, fit))
    traces = tr(
        "Traces of pressure and bath temperature over {0} minutes, with the windows of {1} points and what was done. "
        "The points and their windows are in the tables below."
    ).format(text.count(round(record.duration / 60)), len(record.points))
    return {
        "interval": interval_picture(result),
        "saturation": saturation,
        "traces": picture("traces", traces, lambda narrow: draw_traces(record, narrow=narrow)),
        "plateaus": [_plateau_picture(record, part) for part in range(len(parts_of(record.points)))],
    }


def _plateau_picture(record: RunRecord, part: int) -> Picture:
    numbers = ", ".join(str(point.number) for point in parts_of(record.points)[part])
    label = tr("Close-up of both traces around the windows of the points {0}, as deviations from each point.")
    label = label.format(numbers)
    return picture(f"plateaus-{part}", label, lambda narrow: draw_plateaus(record, part, narrow=narrow))


def picture(name: str, label: str, draw: Callable[[bool], Figure]) -> Picture:
    """Draw a figure for both widths; `draw` is told whether it is the narrow one."""
    return Picture(
        Markup(inline_svg(draw(False), name=f"{name}-wide", label=label)),
        Markup(inline_svg(draw(True), name=f"{name}-narrow", label=label)),
    )


@lru_cache(maxsize=1)
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("acquire.report", ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["tr"] = _placed  # known inside the macros too
    return environment


def _placed(sentence: str, *values: Any) -> Markup:
    """A sentence of a template, which may have marks in it, in the language of the page; what goes in is escaped."""
    return Markup(tr(sentence)).format(*values)


def render(template: str, **context: Any) -> str:
    """A template of this package with the style sheet and the lines that every page carries."""
    css = resources.files("acquire.report").joinpath("report.css").read_text(encoding="utf-8")
    return (
        _environment()
        .get_template(template)
        .render(
            css=Markup(css),
            lang=page_language().code,
            atmosphere=text.typeset("101.325"),
            disclaimer=tr(words.DISCLAIMER),
            who_decides=tr(words.WHO_DECIDES),
            **context,
        )
    )


def write_page(html: str, path: Path) -> Path:
    """Write beside the target and rename, so that a full disk never leaves half a page under the old name."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(html)
            Path(name).chmod(0o644)
            Path(name).replace(path)
        except OSError:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise ReportError(
            f"the page could not be written to {str(path)!r}: {error.strerror or error}; expected a folder that can be "
            "written to. Name another file with --out, or make room."
        ) from error
    return path
