"""The marker's page: every run in a folder on one row, with what a marker looks for first and a link to its report."""

from __future__ import annotations

import os.path
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from acquire.record import RunRecord
from acquire.report import text
from acquire.report.content import finding_rows, liquid_words, newest_result
from acquire.report.errors import ReportError
from acquire.report.given_words import title_words
from acquire.report.language import said, spoken, tr
from acquire.report.page import render, report_html, write_page
from acquire.report.point_rows import TAKERS
from acquire.report.provenance import STATES
from acquire.report.refused_files import refusal_words
from acquire.report.result_block import liquid_of, result_block
from acquire.report.story import taken_early, why_no_result
from acquire.runfile.errors import RunFileError
from acquire.runfile.integrity import verify
from acquire.runfile.reader import read_run
from acquire.version import VERSION

RUN_FILES = "*.h5"
EDITS = {
    "point window": said("point window"), "point set aside": said("point set aside"),
    "point restored": said("point restored"), "undone": said("undone"), "redone": said("redone"),
}  # fmt: skip


@dataclass(frozen=True)
class MarkerRow:
    """One run.  `trouble` holds the sentence of a file that could not be read; then the rest is empty."""

    file: str
    href: str = ""
    title: str = ""
    who: str = ""
    when: str = ""
    liquid: str = ""
    result: str = ""
    why_none: str = ""
    interval: str = ""
    reference: str = ""
    textbook: str = ""
    findings: tuple[str, ...] = ()  # those that put the value in doubt
    notes: int = 0  # findings that do not
    points: str = ""
    taken: str = ""
    edits: str = ""
    integrity: str = ""
    trouble: str = ""
    simulated: bool = False


def marker_row(record: RunRecord, *, file: str, href: str, integrity: str) -> MarkerRow:
    """What the page says of one run."""
    fit = newest_result(record)
    result = result_block(fit, liquid_of(record.plan), why_none=why_no_result(record))
    found = finding_rows(fit)
    reference = ""
    if result.reference is not None:
        reference = tr("inside") if result.reference.inside else tr("outside")
    return MarkerRow(
        file=file,
        href=href,
        title=title_words(record),
        who=str(record.plan.get("operator", "") or record.plan.get("bench", "") or ""),
        when=text.date_and_time(record.start_time),
        liquid=liquid_words(record.plan),
        result=text.with_unit(f"({result.number})", result.unit) if result.stands else tr("none"),
        why_none="" if result.stands else result.reason,
        interval=result.interval,
        reference=reference,
        textbook=result.textbook.value if result.textbook else "",
        findings=tuple(f"{row.sign} {row.text}" for row in found if row.severity != "note"),
        notes=sum(row.severity == "note" for row in found),
        points=_points(record),
        taken=_taken(record),
        edits=_edits(record),
        integrity=tr(STATES.get(integrity, integrity)),
        simulated=record.truth is not None,
    )


def _points(record: RunRecord) -> str:
    used = sum(point.used for point in record.points)
    aside = len(record.points) - used
    returns = any(point.used and point.branch in ("return", "down") for point in record.points)
    parts = [tr("{0} used").format(used)]
    if aside:
        parts.append(tr("{0} set aside").format(aside))
    parts.append(tr("with a return point") if returns else tr("no return point"))
    return ", ".join(parts)


def _taken(record: RunRecord) -> str:
    takers = Counter(point.taken_by for point in record.points)
    before = len(taken_early(record.journal))
    parts = [tr("{0} by {1}").format(count, tr(TAKERS.get(who, who))) for who, count in takers.most_common()]
    if before:
        parts.append(tr("{0} before a plateau was proposed").format(before))
    return ", ".join(parts)


def _edits(record: RunRecord) -> str:
    edits = Counter(entry.kind for entry in record.journal if entry.kind in EDITS)
    return ", ".join(f"{count} × {tr(EDITS[kind])}" for kind, count in edits.items())


def marker_html(rows: list[MarkerRow], folder: str) -> str:
    """The page as text, in the language that is spoken; the rows in the order given."""
    return render("marker.html.j2", rows=rows, folder=folder, generator=f"satline {VERSION}")


def write_marker_page(folder: Path, out: Path, language: str = "en") -> Path:
    """Write a report beside every run file of the folder, and the page with one row a run.

    A file that cannot be read gets a row that says so; the others are not held up by it.

    Raises
    ------
    ReportError
        There is no run file in the folder, or a page cannot be written.
    """
    files = sorted(folder.glob(RUN_FILES))
    if not files:
        raise ReportError(
            f"there is no run file in {str(folder)!r}; expected one or more files that end in .h5. Name the folder the "
            "runs are in."
        )
    with spoken(language):
        rows = [_row_of(file, out.parent, language) for file in files]
        return write_page(marker_html(rows, folder.resolve().name), out)


def _row_of(file: Path, beside: Path, language: str) -> MarkerRow:
    try:
        record = read_run(file)
        integrity = verify(file).state
    except RunFileError as error:
        return MarkerRow(file.name, trouble=refusal_words(error))
    report = write_page(report_html(record, language), file.with_suffix(".html"))
    return marker_row(record, file=file.name, href=relative_link(report, beside), integrity=integrity)


def relative_link(target: Path, folder: Path) -> str:
    """A link that works from a page in `folder`, whatever characters the names have."""
    return quote(os.path.relpath(target.resolve(), folder.resolve()).replace(os.sep, "/"))
