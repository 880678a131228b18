"""Tables of a debrief, and the one that gives a mark with its reasons."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from acquire.report import text
from acquire.report.language import tr


@dataclass(frozen=True)
class DebriefTable:
    """One table, ready to be shown."""

    heading: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    empty: str  # what is said where there is no row
    note: str = ""


def mark_table(data: Mapping[str, Any]) -> tuple[DebriefTable, ...]:
    """The mark with its reasons, where the plan sets a scale; nothing where it does not."""
    mark = data.get("mark")
    if not mark:
        return ()
    rows = tuple(
        (tr(r["what"]), tr("{0} of {1}").format(text.typeset(f"{r['got']:.1f}"), f"{r['of']:.0f}"), _why(r))
        for r in mark["reasons"]
    )
    total = tr("{0} % of what counts here, by the scale of the run plan.").format(f"{100 * mark['share']:.0f}")
    headers = (tr("For"), tr("Got"), tr("Because"))
    return (DebriefTable(tr("Mark: {0}").format(mark["mark"]), headers, rows, tr("Nothing counts."), total),)


def _why(reason: Mapping[str, Any]) -> str:
    """An older file has the English sentence alone."""
    return tr(reason["sentence"]).format(*reason["facts"]) if "sentence" in reason else str(reason["why"])
