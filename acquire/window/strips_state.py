"""What is drawn on the strips besides the traces: plateaus, proposal, acts, notes, baselines and limits."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from acquire import acts
from acquire.journal import Entry
from acquire.window.language import said, tr
from acquire.window.quantities import celsius, kilopascal, millilitres, temperature

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import Snapshot

#: Acts that get a mark on the strips, and what the mark says.
MARKS = {
    acts.BEGIN: said("begin"),
    acts.VALVE_CLOSED: said("valve shut"),
    acts.VALVE_OPENED: said("valve open"),
    acts.CHARGED: said("charge"),
    acts.WARMED: said("warm water"),
    acts.COOLED: said("cold water"),
    acts.VENTED: said("vented"),
}
MAX_NOTE = 24  # letters of a note beside its mark; the whole text is in the journal


@dataclass(frozen=True)
class Span:
    """A stretch of time that is shaded."""

    kind: str  # "point" | "set aside" | "baseline" | "offered" | "forming"
    start: float  # [s]
    end: float  # [s]
    label: str
    number: int | None = None  # of the point


@dataclass(frozen=True)
class Mark:
    """A moment with a word."""

    entry: int
    time: float  # [s]
    text: str
    kind: str  # "act" | "note" | "trouble"


@dataclass(frozen=True)
class Limit:
    channel: str
    value: float  # [°C or kPa]
    label: str


@dataclass(frozen=True)
class StripsState:
    now: float  # [s]
    spans: tuple[Span, ...]
    marks: tuple[Mark, ...]
    limits: tuple[Limit, ...]
    description: str
    closed: bool = False  # nothing more will come


class EntryShelf:
    """Marks of all entries seen so far: a snapshot carries only the latest ones."""

    def __init__(self) -> None:
        self._next = 0
        self._marks: list[Mark] = []

    def see(self, entries: Iterable[Entry]) -> tuple[Mark, ...]:
        """Take the tail of the journal; all marks up to now."""
        for entry in entries:
            if entry.number >= self._next:
                self._next = entry.number + 1
                if (mark := mark_of(entry)) is not None:
                    self._marks.append(mark)
        return tuple(self._marks)


def mark_of(entry: Entry) -> Mark | None:
    """The mark of one entry; None for what is not drawn."""
    if entry.kind == "device":
        words = {"lost": tr("device lost"), "reconnected": tr("device back"), "restarted": tr("device restarted")}
        event = entry.data.get("event")
        return Mark(entry.number, entry.time, words[event], "trouble") if event in words else None
    act = entry.data.get("act") if entry.kind == "act" else None
    if act == acts.NOTE:
        text = str(entry.data.get("text") or entry.text)
        return Mark(entry.number, entry.time, text if len(text) <= MAX_NOTE else text[: MAX_NOTE - 1] + "…", "note")
    if act not in MARKS:
        return None
    text = tr(MARKS[act])
    volume = entry.data.get("volume")
    if volume and act in (acts.WARMED, acts.COOLED):
        text = "+" + millilitres(volume)
    return Mark(entry.number, entry.time, text, "act")


def strips_state(snapshot: Snapshot, marks: tuple[Mark, ...]) -> StripsState:
    spans = [
        Span(
            "baseline", baseline.start, baseline.end,
            tr("room baseline") if baseline.kind == "room" else tr("sealed baseline"),
        )
        for baseline in snapshot.baselines
    ]  # fmt: skip
    spans += [
        Span("point" if point.used else "set aside", point.start, point.end, str(point.number), point.number)
        for point in snapshot.points
    ]
    proposal = snapshot.proposal
    if proposal is not None and proposal.end > proposal.start:
        kind = "offered" if proposal.offered else "forming"
        spans.append(Span(kind, proposal.start, proposal.end, "?" if proposal.offered else ""))
    limits = []
    if math.isfinite(snapshot.limit_temperature):
        limits.append(
            Limit(
                "temperature", celsius(snapshot.limit_temperature),
                tr("limit {0}").format(temperature(snapshot.limit_temperature, 0)),
            )
        )  # fmt: skip
    if math.isfinite(snapshot.limit_pressure):
        value = kilopascal(snapshot.limit_pressure)
        limits.append(Limit("pressure", value, tr("limit {0} kPa").format(round(value))))
    closed = snapshot.stage == "closed"
    return StripsState(snapshot.time, tuple(spans), marks, tuple(limits), describe(snapshot), closed)


def describe(snapshot: Snapshot) -> str:
    """The strips in one sentence, for a screen reader."""
    parts = []
    for name, word in (("temperature", tr("temperature")), ("pressure", tr("pressure"))):
        view = snapshot.channels.get(name)
        if view is not None and math.isfinite(view.value):
            value = celsius(view.value) if name == "temperature" else kilopascal(view.value)
            unit = "°C" if name == "temperature" else "kPa"
            parts.append(f"{word} {value:.2f} {unit}")
    return tr("Traces against time: {0}").format(", ".join(parts))


#: Lengths of time that the whole run is shown over.  [s]
USUAL_SPANS = (
    *(60.0 * minutes for minutes in (5, 10, 15, 20, 25, 30, 40, 50, 60, 90)),
    *(3600.0 * hours for hours in (2, 3, 4, 6, 8, 12, 16, 24)),
)


def nice_span(seconds: float) -> float:
    """The next of a few usual lengths of time to show.  [s]"""
    day = USUAL_SPANS[-1]
    return next((span for span in USUAL_SPANS if seconds <= span), math.ceil(seconds / day) * day)


def follow_range(now: float, span: float | None) -> tuple[float, float]:
    """The stretch of time to show while following; it moves in steps, since redrawing axes costs more than curves.

    Parameters
    ----------
    span
        Chosen length [s]; None shows the whole run in steps of the usual lengths.
    """
    if span is None:
        return 0.0, nice_span(now * 1.02)
    step = span / 8
    end = max(span, math.ceil((now + 0.02 * span) / step) * step)
    return end - span, end
