"""The stages of a run and every legal move between them; knows nothing else."""

from __future__ import annotations

SET_UP = "set-up"
ROOM_BASELINE = "room baseline"
SOAK = "soak"
SEALED_BASELINE = "sealed baseline"
CHARGE = "charge"
PLATEAUS = "plateaus"
RETURN = "return"
VENT = "vent"
CLOSED = "closed"

ORDER = (SET_UP, ROOM_BASELINE, SOAK, SEALED_BASELINE, CHARGE, PLATEAUS, RETURN, VENT, CLOSED)

#: Stages in which the cell is shut off from the room.
SHUT = frozenset({SEALED_BASELINE, CHARGE, PLATEAUS, RETURN, VENT})
#: Stages in which plateaus become points.
POINTS = frozenset({PLATEAUS, RETURN})
#: Stages in which a plateau becomes a baseline.
BASELINES = frozenset({ROOM_BASELINE, SEALED_BASELINE})

# (stage, event) -> next stage.  Events are acts of the person, or what the run concluded:
# "baseline" (one was taken), "plateaus done" (the last planned plateau was taken), "return done".
MOVES: dict[tuple[str, str], str] = {
    (SET_UP, "begin"): ROOM_BASELINE,
    (ROOM_BASELINE, "baseline"): SOAK,
    (SOAK, "valve_closed"): SEALED_BASELINE,
    (SEALED_BASELINE, "valve_opened"): SOAK,
    (SEALED_BASELINE, "baseline"): CHARGE,
    (CHARGE, "valve_opened"): SOAK,
    (CHARGE, "charged"): PLATEAUS,
    (PLATEAUS, "plateaus done"): RETURN,
    (PLATEAUS, "plateaus done, no return"): VENT,
    (PLATEAUS, "next"): RETURN,
    (PLATEAUS, "next, no return"): VENT,
    (RETURN, "return done"): VENT,
    (RETURN, "next"): VENT,
    (SEALED_BASELINE, "vented"): CLOSED,
    (CHARGE, "vented"): CLOSED,
    (PLATEAUS, "vented"): CLOSED,
    (RETURN, "vented"): CLOSED,
    (VENT, "vented"): CLOSED,
    **{(stage, "finish"): CLOSED for stage in ORDER if stage != CLOSED},
}


def move(stage: str, event: str) -> str:
    """The stage after this event.

    Raises
    ------
    KeyError
        The event is not legal in this stage.
    """
    return MOVES[stage, event]


def can_move(stage: str, event: str) -> bool:
    return (stage, event) in MOVES
