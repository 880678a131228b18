"""What the procedure panel says: the steps and the one that is current, with the next practical act below them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from acquire.window.language import counted, said, tr
from acquire.window.next_act import NextAct, next_act
from acquire.window.quantities import (
    duration,
    kilopascal,
    millilitres,
    number,
    pressure,
    temperature,
)

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import Snapshot, StepView

MAX_ROWS = 10  # what fits in a panel of `PLANNED_HEIGHT`; more plateaus are folded together
LEAST_ROWS = 1  # the current step; large letters and cautions may leave room for no more
PLANNED_HEIGHT = 740.0  # [px] of the panel in a window of 1280 × 800
ROW_HEIGHT = 32.0  # [px] on the average; some steps take two lines
CAUTION_ROWS = 3  # a caution needs the room of so many
CAUTIONS_SHOWN = 2  # the others are counted

#: Sign before a step: told by shape, the colour only repeats it.
SIGNS = {"done": "✓", "current": "▶", "to do": "", "skipped": "–"}

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
