"""Which sound a new snapshot calls for; every sound has a twin that is seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from acquire.window.cautions_state import caution_cards

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import Snapshot

OFFER, CAUTION, LOST = "offer", "caution", "lost"
REPEAT_AFTER = 60.0  # [s] the same caution sounds at most once a minute


@dataclass
class CueMemory:
    """What has already been sounded; one per window."""

    offered: tuple[int, float] | None = None
    sounded: dict[str, float] | None = None

    def cue(self, snapshot: Snapshot, now: float, told: str = "") -> str | None:
        """The one sound to play for this snapshot, the gravest first; None for none.

        Parameters
        ----------
        now
            Real seconds: a run at sixty times real time must not ring sixty times as often.
        told
            What the window says of its own accord about this snapshot; it is heard like an offer.
        """
        sounded = self.sounded if self.sounded is not None else {}
        cards = {card.code: card for card in caution_cards(snapshot)}
        fresh = [code for code in cards if now - sounded.get(code, -REPEAT_AFTER) >= REPEAT_AFTER]
        # A caution that went away may sound again as soon as it comes back after the minute, not before.
        self.sounded = {
            **{code: at for code, at in sounded.items() if now - at < REPEAT_AFTER},
            **dict.fromkeys(fresh, now),
        }
        proposal = snapshot.proposal
        key = (proposal.number, proposal.start) if proposal is not None and proposal.offered else None
        new_offer = key is not None and (self.offered is None or key[0] != self.offered[0])
        self.offered = key
        if any(code.startswith(("device lost", "stale")) for code in fresh):
            return LOST
        if fresh:
            return CAUTION
        return OFFER if new_offer or told else None
