"""What the point cards say: one card a point, and one for the plateau that is forming or offered."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from acquire.journal import DEVICE, OPERATOR, PERSON, PROGRAM
from acquire.window.borrowed import gate_text
from acquire.window.language import said, tr
from acquire.window.quantities import clock, duration, pressure, pressure_with_u, temperature, temperature_with_u

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.record import PointRecord
    from acquire.snapshot import Snapshot

_TAKEN_BY = {
    PERSON: said("you"),
    PROGRAM: said("auto"),
    OPERATOR: said("operator"),
    DEVICE: said("device"),
}


@dataclass(frozen=True)
class PointCard:
    number: int
    heading: str
    tag: str
    temperature: str
    pressure: str
    vapour: str  # pressure of the vapour alone, once the trapped air is known
    note: str
    used: bool
    selected: bool
    description: str


@dataclass(frozen=True)
class FormingCard:
    heading: str
    text: str
    lines: tuple[str, ...]
    offered: bool
    can_take: bool
    take_label: str


@dataclass(frozen=True)
class CardsState:
    points: tuple[PointCard, ...]
    forming: FormingCard | None


def cards_state(snapshot: Snapshot, selected: int | None = None) -> CardsState:
    """Cards for all points; `selected` is the point whose window is being looked at."""
    results = results_by_point(snapshot)
    return CardsState(
        tuple(_card(point, results.get(point.number), point.number == selected) for point in snapshot.points),
        forming_card(snapshot),
    )


def results_by_point(snapshot: Snapshot) -> dict[int, dict[str, Any]]:
    """The fit's line for each point.

    The fit lists points in the order of the run; it is asked again with every change, so a list of another length
    belongs to an older picture and is not used.
    """
    lines = (snapshot.result or {}).get("points", [])
    if len(lines) == len(snapshot.points):
        return {point.number: line for point, line in zip(snapshot.points, lines, strict=True)}
    used = [point for point in snapshot.points if point.used]
    if len(lines) == len(used):
        return {point.number: line for point, line in zip(used, lines, strict=True)}
    return {}


def _card(point: PointRecord, line: dict[str, Any] | None, selected: bool) -> PointCard:
    heading = tr("Point {0}").format(point.number)
    if point.branch == "return":
        heading += " · " + tr("return")
    tag = tr(_TAKEN_BY.get(point.taken_by, point.taken_by))
    shown_temperature = temperature_with_u(point.temperature, point.u_temperature)
    shown_pressure = pressure_with_u(point.pressure, point.u_pressure)
    vapour = ""
    if line is not None and line.get("pressure_vapour") is not None:
        u = line.get("u_pressure_vapour")
        vapour = pressure_with_u(line["pressure_vapour"], math.nan if u is None else u)
    note = ""
    if not point.used:
        note = tr("set aside: {0}").format(point.reason) if point.reason else tr("set aside")
    window = f"{clock(point.start)} – {clock(point.end)}"
    described = [part for part in (heading, shown_temperature, shown_pressure, tag, window, note) if part]
    return PointCard(
        point.number, heading, tag, shown_temperature, shown_pressure, vapour, note, point.used, selected,
        ", ".join(described),
    )  # fmt: skip


def forming_card(snapshot: Snapshot) -> FormingCard | None:
    """The card of the next point; None where the run is in no stage that takes points."""
    can_take = "take" in snapshot.possible_acts
    proposal = snapshot.proposal
    if not can_take and proposal is None:
        return None
    next_number = proposal.number if proposal else max((p.number for p in snapshot.points), default=0) + 1
    baseline = snapshot.stage in ("room baseline", "soak", "sealed baseline")
    if proposal is not None and proposal.offered:
        what = tr("Baseline") if baseline else tr("Point {0}").format(next_number)
        return FormingCard(
            tr("{0} ready").format(what),
            tr("steady for {0}").format(duration(proposal.end - proposal.start)),
            (temperature(proposal.temperature), pressure(proposal.pressure)),
            True,
            can_take,
            tr("Take it"),
        )
    what = tr("Baseline forming") if baseline else tr("Point {0} forming").format(next_number)
    if snapshot.instruction.kind in ("warm", "cool"):
        text = tr("after the next change of the bath")
    elif snapshot.gates:
        text = gate_text(*snapshot.gates[0])  # one at a time: the card is small, and the first decides
    elif proposal is not None:
        text = tr("steady for {0} so far").format(duration(proposal.end - proposal.start))
    else:
        text = ""
    return FormingCard(what, text, (), False, can_take, tr("Take it now"))
