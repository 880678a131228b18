"""What the two readouts say: number, settling state by word and shape, what is still to come, how old it is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from acquire.window.language import said, tr
from acquire.window.quantities import NOTHING, SPACE, celsius, clock, decimals_for, duration, kilopascal, number

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import ChannelView, Snapshot

STALE_AFTER = 3.0  # [s] three missed readings at 1 Hz
BLANK_AFTER = 10.0  # [s] a number this old helps nobody
BAR_SPAN = 180.0  # [s] time to go that an empty bar stands for; a well stirred cell settles within it
COVERAGE = 1.96  # standard uncertainty to 95 % interval of a normal distribution

#: Settling state as shape and word; the shape alone tells them apart.
STATES = {
    "level": ("▬", said("level")),
    "easing": ("◢", said("easing")),
    "moving": ("▲", said("moving")),
    "unknown": ("·", said("unknown")),
}


@dataclass(frozen=True)
class ReadoutState:
    """One readout.  `role` names its colour; `filled` is how far the bar is, 0 to 1."""

    role: str
    name: str
    value: str
    widest: str  # the longest number to make room for, so that digits never jump
    unit: str
    shape: str
    word: str
    coming: str
    filled: float
    stale: bool
    description: str


def readout_states(snapshot: Snapshot) -> tuple[ReadoutState, ReadoutState]:
    """Temperature and pressure, in this order."""
    closed = snapshot.stage == "closed"
    return (
        readout_state(snapshot.channels.get("temperature"), "temperature", closed=closed),
        readout_state(snapshot.channels.get("pressure"), "pressure", closed=closed),
    )


def readout_state(view: ChannelView | None, role: str, *, closed: bool = False) -> ReadoutState:
    """State of one readout; `view` None means that no device carries the channel, `closed` that the run is over."""
    warm = role == "temperature"
    name = tr("Bath temperature") if warm else tr("Cell pressure")
    unit = "°C" if warm else "kPa"
    widest = "-88.88" if warm else "888.88"
    if view is None or (not math.isfinite(view.value) and not math.isfinite(view.silent)):
        word = tr("no reading yet")
        return ReadoutState(role, name, NOTHING, widest, unit, "·", word, "", 0.0, True, f"{name}: {word}")
    shown = celsius(view.value) if warm else kilopascal(view.value)
    if closed:
        value, word = number(shown, 2), tr("last reading")
        return ReadoutState(role, name, value, widest, unit, "■", word, "", 0.0, True, f"{name} {value}, {word}")
    if view.silent > STALE_AFTER:
        word = tr("no reading for {0}").format(duration(math.floor(view.silent)))
        value = number(shown, 2) if view.silent <= BLANK_AFTER else NOTHING
        return ReadoutState(role, name, value, widest, unit, "!", word, "", 0.0, True, f"{name}: {word}")
    shape, marked = STATES.get(view.state, STATES["unknown"])
    word = tr(marked)
    value = number(shown, 2)
    coming = _coming(view, 1.0 if warm else 1e-3, unit)
    return ReadoutState(
        role, name, value, widest, unit, shape, word, coming, filled(view), False,
        ", ".join(part for part in (f"{name} {value}{SPACE}{unit}", word, coming) if part),
    )  # fmt: skip


def _coming(view: ChannelView, scale: float, unit: str) -> str:
    """ "still to come −0.02 ± 0.01 °C · level in 24 s (18–33 s)", as far as it is forecast."""
    parts = []
    most = scale * (abs(view.still_to_come) + COVERAGE * abs(view.u_still_to_come))
    if most < 0.005:  # what two decimals would not show
        parts.append(tr("nothing more to come"))
    elif math.isfinite(view.still_to_come):
        half = COVERAGE * view.u_still_to_come * scale
        decimals = min(2, decimals_for(half)) if math.isfinite(half) and half > 0 else 2
        text = tr("still to come {0}").format(number(view.still_to_come * scale, decimals, signed=True))
        if math.isfinite(half):
            shown = number(half, decimals)
            text += f" ± {shown}" if float(shown.replace(",", ".")) > 0 else ""
        parts.append(f"{text}{SPACE}{unit}")
    if view.level_in is not None and view.state != "level":
        low, middle, high = view.level_in
        soon = math.isfinite(high) and high < 2.0
        parts.append(tr("level any moment") if soon else tr("level in {0}").format(_time_to_go(low, middle, high)))
    return " · ".join(parts)


def _time_to_go(low: float, middle: float, high: float) -> str:
    """ "24 s (18–33 s)", and from a minute on "2:35 (1:58–2:40) min"."""
    if not math.isfinite(middle) or middle < 60:
        text = duration(middle)
        known = math.isfinite(low) and math.isfinite(high)
        return text + (f" ({max(0, round(low))}–{round(high)}{SPACE}s)" if known else "")
    text = clock(middle)
    if math.isfinite(low) and math.isfinite(high):
        text += f" ({clock(low)}–{clock(high)})"
    return f"{text}{SPACE}min"


def filled(view: ChannelView) -> float:
    """How full the bar is: full when level; the empty part is the time still to go, up to `BAR_SPAN`."""
    if view.state == "level":
        return 1.0
    if view.level_in is None or not math.isfinite(view.level_in[1]):
        return 0.0
    return max(0.0, 1.0 - max(0.0, view.level_in[1]) / BAR_SPAN)
