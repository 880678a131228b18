"""Joins a simulated bench to a session: the scripted operator does what the program asks for and marks it."""

from __future__ import annotations

import math
import queue
from collections.abc import Callable
from typing import Any

from acquire import acts, stages
from acquire.acts import Act
from acquire.guidance import instruction
from acquire.journal import OPERATOR
from acquire.plan import RunPlan, stored_plan
from acquire.run import ActRefused
from acquire.session import Session
from sim.operator import Done, ScriptedOperator
from sim.scenario import Scenario

#: What the operator has done -> the act that marks it.
MARKS = {
    "close_valve": acts.VALVE_CLOSED,
    "charge": acts.CHARGED,
    "warm": acts.WARMED,
    "cool": acts.COOLED,
    "vent": acts.VENTED,
}


class OperatorLink:
    """Passes each instruction of the program on once, and the operator's marks back.  Called after every step."""

    def __init__(self, operator: ScriptedOperator, clock: Callable[[], float]) -> None:
        self._operator, self._clock = operator, clock
        self._asked: tuple[Any, ...] | None = None

    def __call__(self, session: Session) -> None:
        run = session.run
        if run.closed:
            return
        now = self._clock()
        if run.stage == stages.SET_UP:
            if run.blocks:  # the first readings are there
                session.act(Act(acts.BEGIN, OPERATOR))
            return
        for done in self._operator.step(now):
            self._mark(session, done)
        told = instruction(run)
        # The stage and the points taken so far tell two equal instructions in different steps apart.
        key = (told.kind, run.stage, len(run.points), told.target)
        if told.kind in MARKS and key != self._asked:
            self._asked = key
            reading = run.blocks[-1].temperature
            self._operator.ask(
                told.kind,
                now,
                target=told.target,
                volume=told.water_volume,
                water=told.water_temperature,
                reading=None if math.isnan(reading) else reading,
            )

    def _mark(self, session: Session, done: Done) -> None:
        name = MARKS.get(done.instruction)
        if name is None:
            return
        data: dict[str, Any] = {"note": done.note} if done.note else {}
        if done.amount:
            data |= {"volume": done.amount, "temperature": done.temperature}
        if done.drawn:
            data["drawn"] = done.drawn
        try:
            session.act(Act(name, OPERATOR, data))
        except ActRefused as refused:
            session.act(Act(acts.NOTE, OPERATOR, {"text": f"{done.instruction}: {refused}"}))


class QueueSource:
    """A source without a port or a thread: whoever makes the events puts them in."""

    def __init__(self) -> None:
        self.events: queue.Queue[Any] = queue.Queue()

    def start(self) -> None:
        """Nothing to start: events come from the caller."""

    def stop(self) -> None:
        """Nothing to stop."""


def plan_of(scenario: Scenario, **settle: Any) -> RunPlan:
    """The run plan that somebody at the scenario's bench would write: what they know, not the truth."""
    return stored_plan(
        {
            "title": scenario.title,
            "liquid": scenario.liquid,
            "bench": scenario.name,
            "cell": {
                "volume": scenario.cell_volume,
                "u_volume": scenario.u_cell_volume,
                "tubing": scenario.tube_volume,
                "charge": scenario.charge_volume,
                "u_charge": scenario.u_charge_volume,
                "u_tubing": 1e-6 * scenario.cell.u_tube_mL,
                "gas_above_water": scenario.neck_fraction,
                "u_gas_above_water": 0.01 * scenario.cell.u_neck_percent,
            },
            "room": {"humidity": scenario.humidity, "u_humidity": 0.01 * scenario.room.u_humidity_percent},
            "bath": {
                "volume": scenario.bath_volume,
                "hot_water": scenario.hot_water,
                "cold_water": scenario.cold_water,
                "targets": scenario.targets,
                "return_to": scenario.return_target,
            },
            "limits": {"temperature": scenario.bath_limit},
            "sensors": {
                "temperature": {
                    "u_offset": scenario.temperature.u_offset_K,
                    "u_gain": 0.01 * scenario.temperature.u_gain_percent,
                },
                "pressure": {
                    "u_offset": 1e3 * scenario.pressure.u_offset_kPa,
                    "u_gain": 0.01 * scenario.pressure.u_gain_percent,
                },
            },
            "settle": settle,
        }
    )
