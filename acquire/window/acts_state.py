"""Which acts the row shows, with their keys, and which of them is due; whether one is legal is for the run to say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from acquire import acts
from acquire.acts import Act
from acquire.window.language import said, tr
from acquire.window.next_act import ANSWER

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import Snapshot

#: Label and key of every act; keys as Qt's portable names.  No key ends a run by accident: those two want Ctrl.
LABELS: dict[str, tuple[str, str]] = {
    acts.BEGIN: (said("Begin"), "B"),
    acts.TAKE: (said("Take plateau"), "Space"),
    acts.SET_ASIDE: (said("Set aside"), "Backspace"),
    acts.RESTORE: (said("Use it again"), "R"),
    acts.VALVE_CLOSED: (said("Valve is shut"), "V"),
    acts.VALVE_OPENED: (said("Valve is open"), "Shift+V"),
    acts.CHARGED: (said("Liquid is in"), "L"),
    acts.WARMED: (said("Warm water is in"), "W"),
    acts.COOLED: (said("Cold water is in"), "C"),
    acts.NEXT: (said("Next step"), "PgDown"),
    acts.NOTE: (said("Note"), "N"),
    acts.UNDO: (said("Undo"), "Ctrl+Z"),
    acts.REDO: (said("Redo"), "Ctrl+Shift+Z"),
    acts.VENTED: (said("Cell is vented"), "Ctrl+E"),
    acts.FINISH: (said("Finish the run"), "Ctrl+F"),
}

#: What a person does at a bench; where a stored run plays again, it comes by itself.
BENCH_WORK = frozenset(
    {acts.BEGIN, acts.VALVE_CLOSED, acts.VALVE_OPENED, acts.CHARGED, acts.WARMED, acts.COOLED, acts.NEXT, acts.VENTED}
)

ANSWER_KEY = "Return"  # says "done" to the next practical act, whatever it is

#: How a key is written on a button.
KEY_SIGNS = {"Space": "␣", "Backspace": "⌫", "Return": "⏎", "PgDown": said("PgDn"), "Shift+V": "⇧V"}

# Not acts of a run: switches of the window that stand in the row once the run is closed.
OPEN_REPORT, LEAVE = "open report", "leave"


@dataclass(frozen=True)
class ActButton:
    act: str
    label: str
    key: str  # as written on the button
    enabled: bool
    due: bool


@dataclass(frozen=True)
class ActsState:
    row: tuple[ActButton, ...]
    enabled: frozenset[str]  # all acts of the menu that can be done now
    answer: str | None  # the act that Enter says "done" to
    answer_label: str
    labels: Mapping[str, str] = field(default_factory=dict)
    absent: frozenset[str] = frozenset()  # acts that have no place in this kind of run


def key_sign(key: str) -> str:
    if key.startswith("Ctrl+"):
        return tr("Ctrl") + key.removeprefix("Ctrl")
    return tr(KEY_SIGNS.get(key, key))


def act_name(act: str) -> str:
    """What an act is called on its button."""
    return tr(LABELS[act][0]) if act in LABELS else tr("Change a window")


def acts_state(snapshot: Snapshot, selected: int | None = None, *, report: bool = False) -> ActsState:
    """The row for this moment.

    Parameters
    ----------
    selected
        Number of the point that is looked at, if any.
    report
        The run is closed and its report is there.
    """
    if snapshot.stage == "closed":
        return _closed(report)
    possible = set(snapshot.possible_acts)
    enabled = set(possible)
    enabled.discard(acts.UNDO)
    enabled.discard(acts.REDO)
    if snapshot.can_undo:
        enabled.add(acts.UNDO)
    if snapshot.can_redo:
        enabled.add(acts.REDO)
    answer = ANSWER.get(snapshot.instruction.kind)
    answer = answer if answer in enabled else None
    point = next((p for p in snapshot.points if p.number == selected), None)
    offered = snapshot.proposal is not None and snapshot.proposal.offered
    labels = {act: tr(label) for act, (label, _) in LABELS.items()}
    if acts.TAKE in enabled and not offered:
        labels[acts.TAKE] = tr("Take it now")
    if point is not None:
        labels[acts.SET_ASIDE] = tr("Set point {0} aside").format(point.number)
        labels[acts.RESTORE] = tr("Use point {0} again").format(point.number)
        if point.used:
            enabled.discard(acts.RESTORE)
        else:
            enabled.discard(acts.SET_ASIDE)
    else:
        enabled.discard(acts.RESTORE)
        if not offered:
            enabled.discard(acts.SET_ASIDE)
    row: list[ActButton] = []
    if answer is not None:
        row.append(ActButton(answer, labels[answer], key_sign(ANSWER_KEY), True, not offered))
    row.append(_button(acts.TAKE, labels, enabled, due=offered))
    if point is not None and not point.used:
        row.append(_button(acts.RESTORE, labels, enabled))
    else:
        row.append(_button(acts.SET_ASIDE, labels, enabled))
    row.append(_button(acts.NOTE, labels, enabled))
    if answer != acts.NEXT and not snapshot.replayed:
        row.append(_button(acts.NEXT, labels, enabled))
    last = acts.VENTED if acts.VENTED in enabled else acts.FINISH
    if answer not in (acts.VENTED, acts.FINISH):
        row.append(_button(last, labels, enabled))
    absent = BENCH_WORK if snapshot.replayed else frozenset[str]()
    return ActsState(tuple(row), frozenset(enabled), answer, labels[answer] if answer else "", labels, absent)


def _closed(report: bool) -> ActsState:
    """After the run its file is sealed: points are changed in the review, not here."""
    row = (
        ActButton(OPEN_REPORT, tr("Open the report"), key_sign("Ctrl+R"), report, report),
        ActButton(LEAVE, tr("Leave"), key_sign("Ctrl+Q"), True, False),
    )
    return ActsState(row, frozenset(), None, "", {act: tr(label) for act, (label, _) in LABELS.items()})


def _button(act: str, labels: Mapping[str, str], enabled: set[str], *, due: bool = False) -> ActButton:
    return ActButton(act, labels[act], key_sign(LABELS[act][1]), act in enabled, due)


def act_for(
    name: str,
    snapshot: Snapshot,
    *,
    selected: int | None = None,
    amount: tuple[float, float] | None = None,
    text: str = "",
) -> Act:
    """The act record that a key or a click means, with the data that belong to it.

    Parameters
    ----------
    amount
        Water that was poured, as entered: millilitres and °C.
    text
        Of a note, or the reason for setting a point aside.
    """
    data: dict[str, Any] = {}
    if name in (acts.SET_ASIDE, acts.RESTORE) and selected is not None:
        data = {"point": selected, "reason": text or tr("set aside by hand")}
        if name == acts.RESTORE:
            data["reason"] = text or tr("used again by hand")
    elif name in (acts.WARMED, acts.COOLED) and amount is not None:
        data = {"volume": amount[0] * 1e-6, "temperature": amount[1] + 273.15}
    elif name == acts.NOTE:
        data = {"text": text}
    return Act(name, data=data)


def window_act(point: int, start: float, end: float) -> Act:
    """Change the window of a point.  [s]"""
    return Act(acts.WINDOW, data={"point": point, "start": start, "end": end, "reason": tr("window moved by hand")})
