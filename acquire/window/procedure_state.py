"""What the procedure panel says: the steps, the one that is current, and the next practical act."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

from acquire.acts import BEGIN, CHARGED, COOLED, FINISH, VALVE_CLOSED, VENTED, WARMED
from acquire.long_wait import long_wait
from acquire.window.borrowed import gate_text
from acquire.window.language import counted, said, tr
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
    from acquire.snapshot import Instruction, Snapshot, StepView

MAX_ROWS = 10  # what fits in a panel of `PLANNED_HEIGHT`; more plateaus are folded together
LEAST_ROWS = 1  # the current step; large letters and cautions may leave room for no more
PLANNED_HEIGHT = 740.0  # [px] of the panel in a window of 1280 × 800
ROW_HEIGHT = 32.0  # [px] on the average; some steps take two lines
CAUTION_ROWS = 3  # a caution needs the room of so many
CAUTIONS_SHOWN = 2  # the others are counted

#: Sign before a step: told by shape, the colour only repeats it.
SIGNS = {"done": "✓", "current": "▶", "to do": "", "skipped": "–"}

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

_NAMES = {
    "set-up": said("Set up"),
    "room baseline": said("Room baseline"),
    "soak": said("Soak in the bath"),
    "leak check": said("Leak check"),
    "sealed baseline": said("Sealed baseline"),
    "charge": said("Charge"),
    "plateaus": said("Plateaus"),
    "return": said("Return point"),
    "vent": said("Vent, then lift out the cell"),
    "closed": said("Run closed"),
}


@dataclass(frozen=True)
class StepRow:
    """One line of the procedure."""

    key: str
    sign: str
    text: str
    state: str


@dataclass(frozen=True)
class NextAct:
    """The next practical act in the largest letters of the panel."""

    heading: str
    text: str
    detail: str
    #: Amount of water to confirm: millilitres and °C, or None where there is nothing to enter.
    amount: tuple[float, float] | None = None


@dataclass(frozen=True)
class ProcedureState:
    title: str
    facts: str
    rows: tuple[StepRow, ...]
    next_act: NextAct
    description: str  # the same for a screen reader


def rows_for(height: float, scale: float) -> int:
    """How many steps a panel of this height [px] has room for, with letters of this scale."""
    if scale <= 0:
        return MAX_ROWS
    return max(LEAST_ROWS, MAX_ROWS + math.floor((height / scale - PLANNED_HEIGHT) / ROW_HEIGHT))


def cautions_for(rows: int) -> int:
    """How many cautions are shown in a panel with room for so many steps; the first in full, the others counted."""
    return CAUTIONS_SHOWN if rows > CAUTION_ROWS * CAUTIONS_SHOWN else 1


def procedure_state(snapshot: Snapshot, most: int = MAX_ROWS) -> ProcedureState:
    """The panel with at most so many steps."""
    rows = _folded(snapshot.steps, max(LEAST_ROWS, most - CAUTION_ROWS * min(CAUTIONS_SHOWN, len(snapshot.cautions))))
    act = next_act(snapshot)
    current = next((row.text for row in rows if row.state == "current"), "")
    return ProcedureState(
        title=tr(snapshot.title),
        facts=facts(snapshot),
        rows=rows,
        next_act=act,
        description=" ".join(part for part in (current, act.text, act.detail) if part),
    )


def facts(snapshot: Snapshot) -> str:
    """One line about the run: liquid, cell, charge and limit, as far as they are known."""
    parts = []
    if snapshot.liquid and snapshot.liquid.casefold() not in snapshot.title.casefold():
        parts.append(tr(snapshot.liquid))
    known = snapshot.facts
    if "cell_volume" in known:
        parts.append(tr("{0} cell").format(millilitres(known["cell_volume"])))
    if "charge_volume" in known:
        parts.append(tr("{0} charge").format(millilitres(known["charge_volume"])))
    if math.isfinite(snapshot.limit_temperature):
        parts.append(tr("limit {0}").format(temperature(snapshot.limit_temperature, 0)))
    return " · ".join(parts)


def step_text(step: StepView) -> str:
    """What one step says, with what came of it once it is done."""
    detail = step.detail
    if step.stage in ("plateaus", "return"):
        return _point_step(step)
    name = tr(_NAMES.get(step.key) or _NAMES.get(step.stage, step.stage))
    if "leak_rate" in detail and step.state == "done":  # [Pa/s]
        return f"{name}  {number(kilopascal(detail['leak_rate']) * 60, 2)} kPa/min"
    if step.state == "done" and "temperature" in detail and "pressure" in detail:
        return f"{name}  {temperature(detail['temperature'])}, {pressure(detail['pressure'], 1)}"
    if step.state == "current" and detail.get("seconds_left", 0.0) > 0:
        return f"{name}  {duration(detail['seconds_left'])}"
    return name


def _point_step(step: StepView) -> str:
    if step.stage == "return":
        if step.state == "done" or step.target is None:
            name = tr("Return point")
        else:
            name = tr("Return point: cool to {0}").format(temperature(step.target, 1))
    else:
        number_text = step.key.rpartition("-")[2] if "-" in step.key else ""
        name = tr("Plateau {0}").format(number_text).rstrip()
        if step.state in ("current", "to do") and step.target is not None:
            name = tr("{0}: to {1}").format(name, temperature(step.target, 1))
    if step.state == "done" and "temperature" in step.detail and "pressure" in step.detail:
        return f"{name}  {temperature(step.detail['temperature'])}, {pressure(step.detail['pressure'])}"
    return name


def _row(step: StepView) -> StepRow:
    return StepRow(step.key, SIGNS.get(step.state, ""), step_text(step), step.state)


def _folded(steps: tuple[StepView, ...], most: int) -> tuple[StepRow, ...]:
    """All steps where they fit; else with the plateaus far from the current one in one line each side; else with the
    earliest steps in one line too; else only the current step and the next, with one line before and one after."""
    if len(steps) <= most:
        return tuple(_row(step) for step in steps)
    rows = _plateaus_folded(steps)
    if len(rows) > most:
        rows = _earliest_folded(rows, steps, len(rows) - most + 1)
    return rows if len(rows) <= most else _all_folded(steps, most)


def _earliest_folded(rows: tuple[StepRow, ...], steps: tuple[StepView, ...], excess: int) -> tuple[StepRow, ...]:
    """The first `excess` rows in one, where all of them are done."""
    if any(row.state not in ("done", "skipped") for row in rows[:excess]):
        return rows
    kept = {row.key for row in rows[excess:]}
    done = [step for step in steps if step.state in ("done", "skipped")]
    folded = [step for step in done if step.key not in kept]
    if "plateaus done" in kept:
        folded = [step for step in folded if step.stage != "plateaus"]
    text = counted("{0} step done", "{0} steps done", len(folded))
    return (StepRow("steps done", SIGNS["done"], text, "done"), *rows[excess:])


def _all_folded(steps: tuple[StepView, ...], most: int) -> tuple[StepRow, ...]:
    done = [step for step in steps if step.state in ("done", "skipped")]
    ahead = [step for step in steps if step.state == "to do"]
    rows = [_row(step) for step in steps if step.state == "current"]
    rows += [_row(step) for step in ahead[:1]]
    if done and most > len(rows):
        text = counted("{0} step done", "{0} steps done", len(done))
        rows.insert(0, StepRow("steps done", SIGNS["done"], text, "done"))
    if ahead[1:] and most > len(rows):
        text = counted("{0} more step", "{0} more steps", len(ahead) - 1)
        rows.append(StepRow("steps ahead", "", text, "to do"))
    return tuple(rows[:most])


def _plateaus_folded(steps: tuple[StepView, ...]) -> tuple[StepRow, ...]:
    rows: list[StepRow] = []
    done = [step for step in steps if step.stage == "plateaus" and step.state in ("done", "skipped")]
    ahead = [step for step in steps if step.stage == "plateaus" and step.state == "to do"]
    for step in steps:
        if step in done and len(done) > 1:
            if step is done[-1]:
                rows.append(
                    StepRow("plateaus done", SIGNS["done"], counted("{0} plateau", "{0} plateaus", len(done)), "done")
                )
        elif step in ahead and len(ahead) > 1:
            if step is ahead[0]:
                rows.append(
                    StepRow("plateaus ahead", "", counted("{0} more plateau", "{0} more plateaus", len(ahead)), "to do")
                )
        else:
            rows.append(_row(step))
    return tuple(rows)


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


def _wait(snapshot: Snapshot, instruction: Instruction) -> NextAct:
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
