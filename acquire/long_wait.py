"""When waiting for a plateau has lasted too long, and where to look then; window and terminal go by the same rule."""

from __future__ import annotations

from acquire.snapshot import Snapshot

LONG_WAIT = 900.0  # [s] after which waiting alone is no good advice
LOOK_AT = "Not level for {0}: look at valve, stopper and bath."


def long_wait(snapshot: Snapshot) -> float | None:
    """How long a plateau has been waited for, once that is too long; else None.  [s]

    Waiting is no answer for ever: a valve that stands open never lets the pressure come to rest.
    """
    forming = snapshot.proposal
    if snapshot.instruction.kind != "wait" or forming is None or forming.offered or not snapshot.gates:
        return None
    lasted = snapshot.time - forming.start
    return lasted if lasted > LONG_WAIT else None


class LongWaitHint:
    """The same in the words of a terminal, once for each plateau that does not come.

    Parameters
    ----------
    way_out
        What can be done there, as a sentence; empty where nobody can do anything.
    """

    def __init__(self, way_out: str = "") -> None:
        self._way_out = way_out
        self._told: float | None = None  # start of the wait that was told of [s]

    def new(self, snapshot: Snapshot) -> str:
        """The hint where it was not given yet for this plateau, else nothing."""
        lasted = long_wait(snapshot)
        if lasted is None or snapshot.proposal is None or snapshot.proposal.start == self._told:
            return ""
        self._told = snapshot.proposal.start
        return self.words(snapshot)

    def words(self, snapshot: Snapshot) -> str:
        """The hint as long as the wait lasts."""
        lasted = long_wait(snapshot)
        if lasted is None:
            return ""
        look = LOOK_AT.format(f"{lasted / 60:.0f} min")
        return " ".join(part for part in (f"{snapshot.gates[0][1]}.", look, self._way_out) if part)
