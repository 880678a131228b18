"""What happened in a run, from its journal: the marks on the traces and the list under them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from acquire.journal import Entry
from acquire.record import RunRecord
from acquire.report import text
from acquire.review.journal_view import JournalLine, act_name, journal_lines


@dataclass(frozen=True)
class Mark:
    """A moment worth a line through the traces."""

    time: float  # [s]
    text: str


MARK_WORDS = {
    "valve_closed": "valve shut", "valve_opened": "valve open", "charged": "charge", "warmed": "hot water",
    "cooled": "cold water", "vented": "vent", "note": "note",
}  # fmt: skip
DEVICE_MARKS = {"lost": "device lost", "reconnected": "device back", "restarted": "device restart", "gap": "gap"}

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
            found.append(Mark(entry.time, _poured(entry.data) or MARK_WORDS[name]))
        elif entry.kind == "device" and entry.data.get("event") in DEVICE_MARKS:
            found.append(Mark(entry.time, DEVICE_MARKS[entry.data["event"]]))
    return tuple(found)


def _poured(data: Mapping[str, Any]) -> str:
    volume = data.get("volume")
    if data.get("act") not in ("warmed", "cooled") or not isinstance(volume, int | float):
        return ""
    return f"+{volume * 1e6:.0f} mL"


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
            return str(entry.data.get("refused", ""))
    used = sum(point.used for point in record.points)
    return f"The run has {text.counted(used, 'point')} in use; three or more are needed." if used < 3 else ""
