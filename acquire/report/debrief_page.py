"""The debrief as a page to keep."""

from __future__ import annotations

from pathlib import Path

from acquire.record import RunRecord
from acquire.report.debrief_content import debrief_content
from acquire.report.page import PROGRAM, render, write_page


def debrief_html(record: RunRecord) -> str:
    """The page as text.

    Raises
    ------
    NoDebriefError
        The run was not rehearsed.
    """
    return render("debrief.html.j2", content=debrief_content(record), generator=PROGRAM)


def write_debrief(record: RunRecord, path: str | Path) -> Path:
    """Write the page; where it is.

    Raises
    ------
    NoDebriefError, ReportError
    """
    return write_page(debrief_html(record), Path(path))
