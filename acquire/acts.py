"""What a person can do to a run, as records; whether an act is legal now is for the run to say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

BEGIN = "begin"  # leave the set-up, start the room baseline
TAKE = "take"  # answer a proposal, or take what is there now
SET_ASIDE = "set_aside"  # answer a proposal, or set a taken point aside (data: point, reason)
RESTORE = "restore"  # use a point again that was set aside (data: point, reason)
VALVE_CLOSED = "valve_closed"
VALVE_OPENED = "valve_opened"
CHARGED = "charged"
WARMED = "warmed"  # hot water went in (data: volume, temperature where known)
COOLED = "cooled"  # cold water went in
NEXT = "next"  # leave this step for the next one
NOTE = "note"  # data: text
WINDOW = "window"  # change the window of a point (data: point, start, end, reason)
UNDO = "undo"
REDO = "redo"
VENTED = "vented"
FINISH = "finish"

ACTS = (
    BEGIN, TAKE, SET_ASIDE, RESTORE, VALVE_CLOSED, VALVE_OPENED, CHARGED, WARMED, COOLED,
    NEXT, NOTE, WINDOW, UNDO, REDO, VENTED, FINISH,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Act:
    """One act with who did it; the session stamps it with run time and block number."""

    name: str
    actor: str = "person"
    data: Mapping[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.name not in ACTS:
            raise ValueError(f"act is {self.name!r}; expected one of {', '.join(ACTS)}")
