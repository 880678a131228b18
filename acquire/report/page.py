"""The report as one self-contained page: templates, figures and style put together; nothing is fetched, no script."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from matplotlib.figure import Figure

from acquire.record import RunRecord
from acquire.report import content as words
from acquire.report.curve import total_slopes
from acquire.report.errors import ReportError
from acquire.report.interval_figure import interval_figure
from acquire.report.plateau_figure import plateau_figure
from acquire.report.result_block import ResultBlock
from acquire.report.saturation_figure import described, saturation_figure
from acquire.report.story import marks
from acquire.report.svg import inline_svg
from acquire.report.trace_figure import trace_figure


@dataclass(frozen=True)
class Picture:
    """One figure twice: for a wide page and for a telephone; the style sheet shows one of them.

    Without `narrow` the one drawing serves both.
    """

    wide: Markup
    narrow: Markup | None


def write_report(record: RunRecord, path: str | Path) -> Path:
    """Write the report of a run; the path it was written to.

    Raises
    ------
    ReportError
        The file cannot be written; what was there before is still there.
    """
    return write_page(report_html(record), Path(path))


def report_html(record: RunRecord) -> str:
    """The whole page as text."""
    said = words.run_content(record)
    fit = words.newest_result(record)
    return render(
        "report.html.j2",
        content=said,
        figures={
            "interval": interval_picture(said.result),
            "saturation": saturation_picture(fit),
            "traces": _trace_picture(record),
            "plateaus": _plateau_picture(record, fit),
        },
        generator=record.program,
    )


def interval_picture(result: ResultBlock) -> Picture | None:
    """Where the result lies; None without a result."""
    if not result.rows:
        return None
    label = "Intervals on one scale. " + " ".join(
        f"{row.label}: {row.value:.1f}, from {row.low:.1f} to {row.high:.1f} kJ/mol." for row in result.rows
    )
    drawn = Markup(inline_svg(interval_figure(result.rows), name="interval", label=label))
    return Picture(drawn, None)


def saturation_picture(fit: Mapping[str, Any] | None) -> Picture | None:
    """The saturation line; None without points."""
    if fit is None or not fit["points"]:
        return None
    return picture("saturation", described(fit), lambda narrow: saturation_figure(fit, narrow=narrow))


def _trace_picture(record: RunRecord) -> Picture:
    plan = record.plan
    limits = plan.get("limits", {})
    room = next((b.pressure for b in record.baselines if b.kind == "room"), None)
    over = limits.get("over_pressure")
    limit_pressure = room + over if room is not None and over is not None else None
    label = (
        f"Traces of pressure and bath temperature over {record.duration / 60:.0f} minutes, with the windows of "
        f"{len(record.points)} points and what was done. The points and their windows are in the tables below."
    )
    return picture(
        "traces", label,
        lambda narrow: trace_figure(
            record, marks(record.journal), narrow=narrow,
            limit_temperature=limits.get("temperature"), limit_pressure=limit_pressure,
        ),
    )  # fmt: skip


def _plateau_picture(record: RunRecord, fit: Mapping[str, Any] | None) -> Picture | None:
    if not record.points:
        return None
    label = "Close-up of both traces around the window of each point, as deviations from the point."
    slopes = total_slopes(record.points, fit)
    return picture("plateaus", label, lambda narrow: plateau_figure(record, slopes, narrow=narrow))


def picture(name: str, label: str, draw: Callable[[bool], Figure]) -> Picture:
    """Draw a figure for both widths; `draw` is told whether it is the narrow one."""
    return Picture(
        Markup(inline_svg(draw(False), name=f"{name}-wide", label=label)),
        Markup(inline_svg(draw(True), name=f"{name}-narrow", label=label)),
    )


@lru_cache(maxsize=1)
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("acquire.report", ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def render(template: str, **context: Any) -> str:
    """A template of this package with the style sheet and the lines that every page carries."""
    css = resources.files("acquire.report").joinpath("report.css").read_text(encoding="utf-8")
    return (
        _environment()
        .get_template(template)
        .render(css=Markup(css), disclaimer=words.DISCLAIMER, who_decides=words.WHO_DECIDES, **context)
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
