"""The table of stages, read by eye once more: every pair of stage and event."""

from __future__ import annotations

import pytest

from acquire import stages

EVENTS = (
    "begin", "baseline", "valve_closed", "valve_opened", "charged", "plateaus done", "plateaus done, no return",
    "next", "next, no return", "return done", "vented", "finish",
)  # fmt: skip

LEGAL = {
    "set-up": {"begin": "room baseline"},
    "room baseline": {"baseline": "soak"},
    "soak": {"valve_closed": "sealed baseline"},
    "sealed baseline": {"baseline": "charge", "valve_opened": "soak", "vented": "closed"},
    "charge": {"charged": "plateaus", "valve_opened": "soak", "vented": "closed"},
    "plateaus": {
        "plateaus done": "return", "plateaus done, no return": "vent", "next": "return", "next, no return": "vent",
        "vented": "closed",
    },
    "return": {"return done": "vent", "next": "vent", "vented": "closed"},
    "vent": {"vented": "closed"},
    "closed": {},
}  # fmt: skip


@pytest.mark.parametrize("stage", stages.ORDER)
@pytest.mark.parametrize("event", EVENTS)
def test_every_pair_of_stage_and_event(stage: str, event: str) -> None:
    expected = LEGAL[stage].get(event)
    if event == "finish" and stage != "closed":
        expected = "closed"
    assert stages.can_move(stage, event) == (expected is not None)
    assert stages.MOVES.get((stage, event)) == expected


def test_an_illegal_move_raises() -> None:
    with pytest.raises(KeyError):
        stages.move("closed", "begin")
