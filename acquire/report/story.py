"""What happened in a run, from its journal: the marks on the traces and the list under them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from acquire.journal import Entry
from acquire.record import RunRecord
from acquire.report import text
from acquire.report.language import counted, said, tr
from acquire.review.journal_view import JournalLine, act_name, journal_lines, refused_words


@dataclass(frozen=True)
class Mark:
    """A moment worth a line through the traces."""

    time: float  # [s]
    text: str


MARK_WORDS = {
    "valve_closed": said("valve shut"), "valve_opened": said("valve open"), "charged": said("charge"),
    "warmed": said("hot water"), "cooled": said("cold water"), "vented": said("vent"), "note": said("note"),
}  # fmt: skip
DEVICE_MARKS = {
    "lost": said("device lost"), "reconnected": said("device back"), "restarted": said("device restart"),
    "gap": said("gap"),
}  # fmt: skip

#: Acts whose effect has an entry of its own.
ANSWERS = ("take", "set_aside", "restore", "window", "undo", "redo")

#: What a reader of the report is told; offers and stage changes stay in the run file.
TOLD = ("people", "points", "devices")


def marks(entries: Iterable[Entry]) -> tuple[Mark, ...]:
    """Moments to mark on the traces, each with a word or two."""
    found = []
    for entry in entries:
        name = act_name(entry)
        if name in MARK_WORDS:
            found.append(Mark(entry.time, _poured(entry.data) or tr(MARK_WORDS[name])))
        elif entry.kind == "device" and entry.data.get("event") in DEVICE_MARKS:
            found.append(Mark(entry.time, tr(DEVICE_MARKS[entry.data["event"]])))
    return tuple(found)


def _poured(data: Mapping[str, Any]) -> str:
    volume = data.get("volume")
    if data.get("act") not in ("warmed", "cooled") or not isinstance(volume, int | float):
        return ""
    poured = text.count(round(volume * 1e6))
    return f"+{poured} mL"


def told(record: RunRecord) -> tuple[JournalLine, ...]:
    """The lines of the journal that a reader needs to follow the run.

    The answer to an offer is told once, and of the results only the last; cautions have a place of their own.
    """
    last_result = max((entry.number for entry in record.journal if entry.kind == "result"), default=-1)
    return tuple(
        line
        for line, entry in zip(journal_lines(record.journal), record.journal, strict=True)
        if line.group in TOLD
        and act_name(entry) not in ANSWERS
        and (entry.kind != "result" or entry.number == last_result)
    )


def taken_early(entries: Iterable[Entry]) -> frozenset[int]:
    """Numbers of the points that were taken before a plateau was proposed."""
    return frozenset(
        entry.data["number"] for entry in entries if entry.kind == "point" and "before it was proposed" in entry.text
    )


def caution_rows(entries: Iterable[Entry]) -> tuple[tuple[str, str], ...]:
    """When and what; a caution that stayed is one row with all its times."""
    times: dict[str, list[str]] = {}
    for line in journal_lines(entries, ("cautions",)):
        times.setdefault(line.what, []).append(line.clock)
    return tuple((", ".join(clocks), what) for what, clocks in times.items())


def why_no_result(record: RunRecord) -> str:
    """Why the run has no result, as its journal has it; "" when it says nothing."""
    for entry in reversed(record.journal):
        if entry.kind == "result":
            return refused_words(entry.data)
    used = sum(point.used for point in record.points)
    if used >= 3:
        return ""
    return counted(
        "The run has {0} point in use; three or more are needed.",
        "The run has {0} points in use; three or more are needed.",
        used,
    )
