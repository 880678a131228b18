"""The part of the pooled page that lists the single runs, each with links to its file and its report."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable
from datetime import UTC, datetime
from html import escape
from itertools import islice
from pathlib import Path
from urllib.parse import quote

from acquire.pool.parts import number_text
from acquire.pool.summary import RunSummary
from acquire.pool.words import FINDINGS
from acquire.report.language import counted, tr
from acquire.report.text import ABSENT

MOST_RUNS = 400  # more would make the page heavy; the table of runs has all


def runs_section(summaries: Iterable[RunSummary], folder: str | Path, count: int) -> str:
    """The runs as a table, links relative to the folder of the page.

    Parameters
    ----------
    summaries
        Of all files, used or not; no more than the first `MOST_RUNS` that can be used are looked at.
    folder
        Where the page will lie.
    count
        How many runs the pool has.
    """
    used = (summary for summary in summaries if summary.used)
    rows = sorted(islice(used, MOST_RUNS), key=lambda one: (one.bench, one.start != one.start, one.start, one.run))
    if not rows:
        return ""
    more = " " + tr("The first {0} of {1} are listed.").format(MOST_RUNS, count) if count > MOST_RUNS else ""
    texts = "".join(f"<th scope='col'>{name}</th>" for name in (tr("bench"), tr("run"), tr("begun")))
    head = (
        f"{texts}<th class='n' scope='col'>{tr('points')}</th><th class='n' scope='col'>{tr('value')}<span class='u'>"
        "kJ/mol</span></th><th class='n' scope='col'>u<span class='u'>kJ/mol</span></th>"
        f"<th scope='col'>{tr('findings')}</th>"
    )
    caption = tr(
        "In order of bench and time; u is the whole standard uncertainty of a run. All of it, and what was left out, "
        "stands in the table of runs."
    )
    inside = counted("{0} run with its file and report", "{0} runs with their files and reports", len(rows))
    body = "".join(_run_row(summary, Path(folder)) for summary in rows)
    return (
        f"<h2>{tr('The runs')}</h2><details><summary>{inside}</summary><p class='quiet'>{caption}{more}</p>"
        "<div class='scroll' tabindex='0'><table class='all'>"
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div></details>"
    )


def _run_row(summary: RunSummary, folder: Path) -> str:
    begun = f"{datetime.fromtimestamp(summary.start, UTC):%Y-%m-%d %H:%M}" if math.isfinite(summary.start) else ABSENT
    numbers = (str(summary.points), number_text(summary.value / 1e3, 2), number_text(summary.u / 1e3, 2))
    first, *others = (f"<td class='n'>{number}</td>" for number in numbers)
    findings = ", ".join(tr(FINDINGS.get(code, code.replace("-", " "))) for code in summary.findings) or tr("none")
    return (
        f"<tr><th scope='row'>{escape(summary.bench)}</th><td>{_links(summary, folder)}</td><td>{begun}</td>{first}"
        f"{''.join(others)}<td>{escape(findings)}</td></tr>"
    )


def _links(summary: RunSummary, folder: Path) -> str:
    """The run's name, leading to its file where that is there, and to the report beside it."""
    source, name = Path(summary.source), escape(summary.run or summary.source)
    if not summary.source or not source.is_file():
        return name
    report = source.with_suffix(".html")
    link = f"<a href='{_relative(source, folder)}'>{name}</a>"
    return link + (f", <a href='{_relative(report, folder)}'>{tr('report')}</a>" if report.is_file() else "")


def _relative(path: Path, folder: Path) -> str:
    return escape(quote(os.path.relpath(path.resolve(), folder.resolve()).replace(os.sep, "/")), quote=True)
