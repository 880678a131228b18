"""The next practical act in the person's words, and the key that answers it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

from acquire.acts import BEGIN, CHARGED, COOLED, FINISH, VALVE_CLOSED, VENTED, WARMED
from acquire.long_wait import long_wait
from acquire.window.borrowed import gate_text
from acquire.window.language import tr
from acquire.window.quantities import (
    celsius,
    duration,
    kilopascal,
    millilitres,
    number,
    pressure,
    temperature,
)

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import Instruction, Snapshot

SWIRL_FOR = 20.0  # [s] after the charge; common practice, no source

#: The act that answers an instruction; "take" has a key of its own.
ANSWER = {
    "begin": BEGIN,
    "close_valve": VALVE_CLOSED,
    "charge": CHARGED,
    "warm": WARMED,
    "cool": COOLED,
    "vent": VENTED,
    "finish": FINISH,
}


@dataclass(frozen=True)
class NextAct:
    """The next practical act in the largest letters of the panel."""

    heading: str
    text: str
    detail: str
    #: Amount of water to confirm: millilitres and °C, or None where there is nothing to enter.
    amount: tuple[float, float] | None = None


def next_act(snapshot: Snapshot) -> NextAct:
    """The practical instruction in the person's words."""
    made = {
        "begin": _begin,
        "take": _take,
        "close_valve": _close_valve,
        "charge": _charge,
        "warm": _warm,
        "cool": _cool,
        "vent": _vent,
        "finish": _finish,
        "wait": _wait,
    }.get(snapshot.instruction.kind)
    if made is None:
        return _nothing(snapshot)
    act = made(snapshot, snapshot.instruction)
    by_itself = snapshot.replayed and ANSWER.get(snapshot.instruction.kind, FINISH) != FINISH
    return _by_itself(act) if by_itself else act


def _by_itself(act: NextAct) -> NextAct:
    """Work at the bench where a stored run plays again: nobody is asked to do it, and no amount is entered."""
    return NextAct(
        tr("Stored run"),
        tr("Watch and decide"),
        tr("At the bench now: {0}. It happens as it was done then.").format(act.text),
    )


def _nothing(snapshot: Snapshot) -> NextAct:
    if snapshot.stage != "closed":
        return NextAct("", tr("Nothing to do"), "")
    name = PurePath(snapshot.file.path).name
    return NextAct(tr("Done"), tr("The run is closed"), tr("Everything is in {0}.").format(name) if name else "")


def _begin(snapshot: Snapshot, instruction: Instruction) -> NextAct:
    return NextAct(
        tr("To begin"),
        tr("Valve open, cell in the bath"),
        " ".join((_room_question(snapshot), tr("The bath well above the cell's shoulder. Then press Enter."))).strip(),
    )


def _room_question(snapshot: Snapshot) -> str:
    """The sensors against the room: only the person knows what a thermometer and a barometer there say."""
    views = [snapshot.channels.get(name) for name in ("temperature", "pressure")]
    if not all(view is not None and math.isfinite(view.value) for view in views):
        return tr("Waiting for the first readings.")
    warm, press = (view.value for view in views if view is not None)
    return tr("Reads {0} and {1}: is that this room?").format(temperature(warm, 1), pressure(press, 1))


def _take(snapshot: Snapshot, instruction: Instruction) -> NextAct:
    proposal = snapshot.proposal
    if proposal is None:
        return NextAct(tr("Ready"), tr("Take the plateau"), "")
    baseline = snapshot.stage in ("room baseline", "sealed baseline")
    return NextAct(
        tr("Ready"),
        tr("Take the baseline") if baseline else tr("Take point {0}").format(proposal.number),
        tr("{0}, {1}, steady for {2}").format(
            temperature(proposal.temperature), pressure(proposal.pressure), duration(proposal.end - proposal.start)
        ),
    )


def _close_valve(snapshot: Snapshot, instruction: Instruction) -> NextAct:
    return NextAct(tr("Now"), tr("Shut the valve"), tr("Keep the cell still, then press Enter."))


def _charge(snapshot: Snapshot, instruction: Instruction) -> NextAct:
    volume = snapshot.facts.get("charge_volume")
    text = tr("Inject {0}").format(millilitres(volume)) if volume else tr("Inject the liquid")
    detail = tr("Draw the plunger back where the plan says so; the cell stays shut. Press Enter, then swirl.")
    if instruction.saturates_in is not None:
        left_still = tr("Left still, the vapour would need about {0} to fill the cell.")
        detail += " " + left_still.format(duration(60.0 * round(instruction.saturates_in / 60.0)))
    return NextAct(tr("Now"), text, detail)


def _warm(snapshot: Snapshot, instruction: Instruction) -> NextAct:
    return NextAct(
        tr("Next warm-up"),
        _water_text(instruction, tr("Add {0} at {1}"), tr("Warm the bath to {0}")),
        _water_detail(snapshot, instruction),
        _amount(instruction),
    )


def _cool(snapshot: Snapshot, instruction: Instruction) -> NextAct:
    return NextAct(
        tr("Next cool-down"),
        _water_text(instruction, tr("Add {0} at {1}"), tr("Cool the bath to {0}")),
        _water_detail(snapshot, instruction),
        _amount(instruction),
    )


def _water_text(instruction: Instruction, with_amount: str, without: str) -> str:
    if instruction.water_volume is not None and instruction.water_temperature is not None:
        return with_amount.format(millilitres(instruction.water_volume), temperature(instruction.water_temperature, 0))
    if instruction.target is not None:
        return without.format(temperature(instruction.target, 1))
    return tr("Change the bath temperature")


def _water_detail(snapshot: Snapshot, instruction: Instruction) -> str:
    parts = []
    if instruction.draw_off:
        parts.append(tr("First take {0} out of the bath.").format(millilitres(instruction.draw_off)))
    now = snapshot.channels.get("temperature")
    if instruction.target is not None and now is not None and math.isfinite(now.value):
        parts.append(
            tr("Brings the bath from {0} to {1}; stir slowly.").format(
                number(celsius(now.value), 1), temperature(instruction.target, 1)
            )
        )
    room = next((baseline.pressure for baseline in snapshot.baselines if baseline.kind == "room"), None)
    if instruction.expected_pressure is not None:
        text = tr("The cell will then be near {0}").format(pressure(instruction.expected_pressure, 0))
        if room is not None:
            above = kilopascal(instruction.expected_pressure - room)
            text += ", " + (
                tr("{0} kPa above the room").format(number(above, 0))
                if above >= 0
                else tr("{0} kPa below the room").format(number(-above, 0))
            )
        parts.append(text + ".")
    return " ".join(parts)


def _amount(instruction: Instruction) -> tuple[float, float] | None:
    if instruction.water_volume is None or instruction.water_temperature is None:
        return None
    volume = instruction.water_volume * 1e6
    # As the text says it: nobody measures tenths of a millilitre into a bath.
    return round(volume, 0 if volume >= 10 else 1), round(celsius(instruction.water_temperature), 1)


def _vent(snapshot: Snapshot, instruction: Instruction) -> NextAct:
    return NextAct(
        tr("To end"),
        tr("Open the valve slowly"),
        tr("Let the pressure out, away from flames and faces. Then lift the cell out and press Enter."),
    )


def _finish(snapshot: Snapshot, instruction: Instruction) -> NextAct:
    return NextAct(tr("To end"), tr("Close the run"), tr("The file is sealed and the report written."))


def _just_charged(snapshot: Snapshot) -> bool:
    """Whether the liquid has only now come into a cell that somebody holds."""
    forming = snapshot.proposal
    fresh = forming is not None and not forming.offered and snapshot.time - forming.start < SWIRL_FOR
    return fresh and snapshot.stage == "plateaus" and not snapshot.points and not snapshot.replayed


def _wait(snapshot: Snapshot, instruction: Instruction) -> NextAct:
    if _just_charged(snapshot):
        return NextAct(tr("Now"), tr("Swirl the cell"), tr("In the bath, stopper and valve shut; then keep it still."))
    if instruction.seconds_left is not None and math.isfinite(instruction.seconds_left):
        text = tr("Keep still, {0}").format(duration(instruction.seconds_left))
    else:
        text = tr("Keep still")
    why = gate_text(*snapshot.gates[0]) if snapshot.gates else ""
    lasted = long_wait(snapshot)
    if lasted is not None:
        way_out = tr("Not level for {0}: look at valve, stopper and bath. Space takes it as it is, PgDn goes on.")
        why = f"{why}. {way_out.format(duration(60.0 * round(lasted / 60.0)))}"
    return NextAct(tr("Wait"), text, why)
