"""What the controls of a rehearsal say: how fast time runs and what each key would make of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from acquire.rehearsal_pace import FASTER, LADDER, PAUSE, SLOWER
from acquire.window.language import said, tr
from acquire.window.quantities import number

if TYPE_CHECKING:
    from acquire.snapshot import Snapshot

#: change -> (label in the menu, keys); > and < are typed, not held with Ctrl: fields for numbers do not take them.
PACE_KEYS: dict[str, tuple[str, tuple[str, ...]]] = {
    PAUSE: (said("Pause, or go on"), ("P",)),
    FASTER: (said("Time runs faster"), (">",)),
    SLOWER: (said("Time runs slower"), ("<",)),
}


@dataclass(frozen=True)
class RehearsalState:
    speed: str
    pause: str  # label of the pause button
    paused: bool
    can_faster: bool
    can_slower: bool
    shown: bool


def rehearsal_state(snapshot: Snapshot) -> RehearsalState:
    """The controls for this moment; gone once the run is closed."""
    speed = snapshot.speed
    paused = speed == 0
    return RehearsalState(
        speed=tr("paused") if paused else tr("{0} × time").format(number(speed, 0)),
        pause=tr("Go on  P") if paused else tr("Pause  P"),
        paused=paused,
        can_faster=paused or speed < LADDER[-1],
        can_slower=paused or speed > LADDER[0],
        shown=snapshot.stage != "closed",
    )
