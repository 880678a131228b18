"""How much hot or cold water brings the bath to the next target, and how much must come out first."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from acquire import acts
from acquire.journal import Entry
from acquire.plan import Bath
from analysis.planning import USUAL_LOSS, bath_loss, hot_water
from analysis.refusal import FitRefused

POURING = 20.0  # [s] that pouring and mixing take (guessed)


@dataclass(frozen=True, slots=True)
class Water:
    """What to pour, and what to take out of the bath before.  [m3, K]"""

    volume: float
    temperature: float
    draw_off: float


def bath_content(bath: Bath, entries: Iterable[Entry]) -> float:
    """Water in the bath now, as far as it was told; never more than the bath holds.  [m3]"""
    volume = bath.volume
    for entry in entries:
        if entry.kind == "act" and entry.data.get("act") in (acts.WARMED, acts.COOLED):
            volume = min(volume + float(entry.data.get("volume") or 0.0), bath.volume + bath.room_to_pour)
    return volume


def water_for(
    bath: Bath, content: float, temperature: float, target: float, *, drift: float, room: float
) -> Water | None:
    """Water for the next step, or None where none of the bath's two waters can bring it there.

    Parameters
    ----------
    content
        Water in the bath now.  [m3]
    temperature, target, room
        Of the bath, the goal, and the room.  [K]
    drift
        Of the bath on the last plateau, from which its heat loss is learnt; NaN: a usual loss.  [K/s]
    """
    water = bath.hot_water if target > temperature else bath.cold_water
    learnt = bath_loss(content, temperature, drift, room) if math.isfinite(drift) else None
    loss = learnt if learnt is not None else USUAL_LOSS
    most = bath.volume + bath.room_to_pour
    draw = 0.0
    try:
        for _ in range(3):  # taking water out leaves less to heat: the balance is linear and settles at once
            pour = hot_water(content - draw, temperature, target, water, room=room, duration=POURING, loss=loss)
            over = content - draw + pour - most
            if over <= 1e-6:
                return Water(pour, water, draw)
            # A litre taken out also saves the hot water that would have warmed it.
            draw = min(draw + over / (1.0 + pour / (content - draw)), 0.9 * content)
    except FitRefused:
        return None
    return Water(pour, water, draw)
