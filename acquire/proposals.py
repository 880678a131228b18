"""When a plateau is offered: pure rules on a judgement, the stage and what was taken before."""

from __future__ import annotations

import math
from dataclasses import dataclass

from acquire.plan import RunPlan

ANSWER_AGAIN = 60.0  # [s] after a plateau was set aside, the same one is not offered sooner (guessed)
UNREADY_BEFORE_WITHDRAWN = 5  # blocks; a single spiky second must not snatch the offer from under a finger


@dataclass(frozen=True)
class Proposal:
    """A plateau offered to the person."""

    kind: str  # "point" | "room baseline" | "sealed baseline"
    offered: float  # [s]
    window: tuple[float, float]  # [s]


@dataclass
class LastAnswer:
    """What the next offer must differ from."""

    time: float = -math.inf  # [s] of the answer
    temperature: float = math.nan  # [K] of the plateau answered to, NaN when none
    set_aside: bool = False


def too_soon(plan: RunPlan, time: float, changed_at: float, last: LastAnswer) -> bool:
    """Whether the bath was changed, or a plateau set aside, too short a time ago."""
    if time - changed_at < plan.settle.shortest:
        return True
    return last.set_aside and time - last.time < ANSWER_AGAIN


def same_as_last(plan: RunPlan, temperature: float, last: LastAnswer) -> bool:
    """Whether the bath still stands where the last point was taken."""
    return not last.set_aside and abs(temperature - last.temperature) < plan.settle.separation
