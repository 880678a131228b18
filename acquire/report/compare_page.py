"""Several runs on one page: results, traces on one clock, lines, findings, warming against cooling."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from acquire.record import RunRecord
from acquire.report import text
from acquire.report.compare_figure import lines_figure, overlay_figure
from acquire.report.content import newest_result
from acquire.report.errors import ReportError
from acquire.report.interval_figure import interval_figure, interval_label
from acquire.report.language import language, spoken, tr
from acquire.report.page import PROGRAM, Picture, picture, render, write_page
from acquire.report.result_block import IntervalRow, liquid_of, result_block
from acquire.review.compare import compare_rows, labels_of, lines_of, overlays
from acquire.review.lines import COOLING_ONLY, WARMING_ONLY, branch_answers
from acquire.review.what_if import Answer


@dataclass(frozen=True)
class BranchRow:
    """One run fitted twice; a dash and the reason where a branch has too few points."""

    label: str
    warming: str
    cooling: str


def write_compare_page(records: Sequence[RunRecord], path: str | Path, language: str = "en") -> Path:
    """Write the page; the path it was written to.

    Raises
    ------
    ReportError
        Fewer than two runs, or the file cannot be written.
    """
    return write_page(compare_html(records, language), Path(path))


def compare_html(records: Sequence[RunRecord], language: str = "en") -> str:
    """The whole page as text."""
    if len(records) < 2:
        raise ReportError(f"found {len(records)} run to compare; expected two or more. Name another.")
    with spoken(language):
        return _page(records)


def _page(records: Sequence[RunRecord]) -> str:
    simulated = sum(record.truth is not None for record in records)
    return render(
        "compare.html.j2",
        rows=compare_rows(records),
        branches=branch_rows(records),
        simulated="all" if simulated == len(records) else str(simulated) if simulated else "",
        figures={"interval": _intervals(records), "traces": _traces(records), "lines": _lines(records)},
        generator=PROGRAM,
    )


def branch_rows(records: Sequence[RunRecord]) -> tuple[BranchRow, ...]:
    """The runs of which one branch at least can be fitted alone and there is a point after cooling."""
    rows = []
    for record, label in zip(records, labels_of(records), strict=True):
        answers = branch_answers(record)
        if answers[COOLING_ONLY].fit is not None:
            rows.append(BranchRow(label, _said(answers[WARMING_ONLY]), _said(answers[COOLING_ONLY])))
    return tuple(rows)


def _said(found: Answer) -> str:
    if found.fit is None or found.fit.at_298_15.interval_95 is None:
        return f"{text.ABSENT} {found.why_not(language().code)}"
    estimate = found.fit.at_298_15
    return f"{text.quantity(estimate.value, estimate.standard_uncertainty, 'kJ/mol')} {text.K_IS_1}"


def _intervals(records: Sequence[RunRecord]) -> Picture | None:
    """A bar for every run with a result, and the reference where all are of one liquid."""
    bars: list[IntervalRow] = []
    references = []
    for record, label in zip(records, labels_of(records), strict=True):
        block = result_block(newest_result(record), liquid_of(record.plan), called=label)
        bars += [row for row in block.rows if row.kind == "run"]
        references += [row for row in block.rows if row.kind == "reference"]
    if not bars:
        return None
    if len({row.value for row in references}) == 1 and len(references) == len(bars):
        bars.append(references[0])
    return picture("interval", interval_label(bars), lambda narrow: interval_figure(bars, wide=not narrow))


def _traces(records: Sequence[RunRecord]) -> Picture | None:
    pressure, temperature = (overlays(records, channel) for channel in ("pressure", "temperature"))
    if not pressure and not temperature:
        return None
    label = tr("Pressure and bath temperature of {0} runs over each other, with the charge at time zero.")
    label = label.format(len(pressure))
    return picture("traces", label, lambda narrow: overlay_figure(pressure, temperature, narrow=narrow))


def _lines(records: Sequence[RunRecord]) -> Picture | None:
    lines = lines_of(records)
    if not lines:
        return None
    label = tr("Saturation lines of {0} runs with their 95 % bands, and the residuals of their points.")
    label = label.format(len(lines))
    return picture("lines", label, lambda narrow: lines_figure(lines, narrow=narrow))
