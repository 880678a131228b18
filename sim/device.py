"""The simulated bench as a device: acts go in, time goes on, bytes come out; it has no clock and no port."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from sim.build import STREAM_LINE, STREAM_MISHAPS, STREAM_PRESSURE, STREAM_ROOM, STREAM_TEMPERATURE, draw
from sim.encode import Talker
from sim.errors import BenchActError
from sim.liquids import load_liquid
from sim.mishap_effects import Works
from sim.mishaps import MishapSchedule
from sim.noise import Normals
from sim.plant import REFRESH, STEP, Plant
from sim.room import Room
from sim.scenario import Scenario
from sim.sensors import ProbePlace, Sensor
from sim.stepping import Row, advance
from sim.transmitter import Transmitter
from sim.truth import State, Truth

STEPS_PER_SECOND = round(1.0 / STEP)
OWN_PROFILE = "simulated-bench"
SWIRL_SECONDS = 15.0  # s of swirling when nobody says how long

ACT_KINDS = ("close_valve", "open_valve", "charge", "pour", "draw", "swirl", "lift", "lower", "stir", "still")


@dataclass(frozen=True, slots=True)
class BenchAct:
    """Something done to the bench.

    Parameters
    ----------
    kind
        One of `ACT_KINDS`: the valve; the charge; pour or draw bath water; swirl the cell; lift it out of or
        lower it into the bath; switch the stirrer.
    amount
        Water poured or drawn, or liquid charged (0: the scenario's charge).  [m3]; seconds of swirling (0: 15).
    temperature
        Of the water poured or the liquid charged; 0 means room temperature.  [K]
    """

    kind: str
    amount: float = 0.0
    temperature: float = 0.0

    def __post_init__(self) -> None:
        if self.kind not in ACT_KINDS:
            raise BenchActError(f"found act {self.kind!r}; expected one of {', '.join(ACT_KINDS)}")
        if not 0.0 <= self.amount < math.inf:
            raise BenchActError(f"found amount {self.amount:g}; expected a number from 0")
        if self.temperature != 0.0 and not 250.0 <= self.temperature <= 380.0:
            raise BenchActError(f"found {self.temperature:g} K; expected 250 K to 380 K, or 0 for the room's")


def _speech(profile: str) -> dict[str, Any]:
    """The wire form of a profile, as arguments of a transmitter; the bench's own form needs nothing."""
    if profile == OWN_PROFILE:
        return {}
    # Only other forms need the driver layer's profiles, which take their time to load.
    from drivers.profile import load_profile
    from sim.answers import make_answerer

    loaded = load_profile(profile)
    return {"answerer": make_answerer(loaded)} if loaded.asks else {"talker": Talker(loaded)}


class SimulatedBench:
    """One bench, from power-on until nobody asks any more.

    Guarantees
    ----------
    - The bytes depend on scenario, seed and the acts with their times only; not on how time is cut into calls.
    - An act takes effect at the first physical step that begins at or after the time of the act.

    Parameters
    ----------
    scenario
        What bench, and what goes wrong.
    seed
        The same seed gives the same bench, noise and bytes.
    profile
        Name or path of the device profile whose wire form it speaks; the scenario's where not given. A device of
        a profile that asks says nothing by itself: see `hear`.

    Threads: none of its own; one thread at a time may use it.
    """

    def __init__(self, scenario: Scenario, seed: int = 0, *, profile: str = "") -> None:
        self.scenario, self.seed = scenario, seed
        self.profile = profile or scenario.device.profile
        self.time = 0.0
        drawn = draw(scenario, seed)
        start = scenario.bath.start_degC
        plant = self._plant = Plant(
            drawn.cell,
            drawn.bath,
            load_liquid(scenario.liquid),
            room_temperature=scenario.room_temperature,
            room_pressure=scenario.room_pressure,
            humidity=drawn.room.humidity,
            bath_temperature=None if start is None else start + 273.15,
            cell_temperature=scenario.room_temperature + scenario.cell.starts_warmer_K,
        )
        self._room = Room(drawn.room, Normals(seed, STREAM_ROOM), STEP * REFRESH)
        period = 1.0 / scenario.device.rate_Hz
        timing = {"step": STEP, "period": period}
        probe = Sensor(drawn.temperature, Normals(seed, STREAM_TEMPERATURE), plant.t_bath, **timing)
        gauge = Sensor(drawn.pressure, Normals(seed, STREAM_PRESSURE), plant.pressure, **timing)
        self._transmitter = Transmitter(
            Normals(seed, STREAM_LINE), period=period, clock_rate=drawn.clock_rate, **_speech(self.profile)
        )
        self._works = Works(
            plant,
            drawn.charge,
            probe,
            gauge,
            ProbePlace(drawn.bath.layering),
            self._transmitter,
            Normals(seed, STREAM_MISHAPS),
            power_on=self.power_on,
        )
        self._schedule = MishapSchedule(scenario.mishaps, self._works)
        self._charged = False
        self.truth = Truth(scenario.name, seed, plant.liquid, drawn, mishaps=self._schedule.records)
        start_row = (plant.t_bath, 0.0, plant.t_liquid, plant.t_gas, plant.pressure)
        self._store(0.0, (*start_row, plant.n_air + plant.n_water_gas, 0.0, 0.0, 0.0))

    @property
    def plugged_in(self) -> bool:
        """Whether the cable is in: a virtual port hangs up while it is not."""
        return not self._transmitter.unplugged

    def power_on(self) -> None:
        """Switch the device off and on: banner, clock at zero, warm-up from the beginning."""
        self._transmitter.power_on(max(self._plant.time, self.time))

    def advance(self, to: float) -> bytes:
        """Let time pass up to `to`; returns the bytes sent meanwhile.  [s]"""
        if to < self.time:
            raise ValueError(f"time cannot go back from {self.time:g} s to {to:g} s")
        plant = self._plant
        last = math.ceil(to / STEP - 1e-9)
        while plant.steps < last:
            before = plant.steps
            if before % REFRESH == 0:
                self._room.move(plant)
            # The step that begins at the time of a mishap, or at the first boundary after it, is the first it changes.
            self._schedule.run(before * STEP)
            stop = min(last, before - before % REFRESH + REFRESH)
            if before < plant.swirl_until:
                stop = min(stop, plant.swirl_until)
            due = self._schedule.next_at
            if due < stop * STEP:
                stop = max(math.ceil(due / STEP - 1e-9), before + 1)
            for number, row in enumerate(advance(plant, stop - before), start=before + 1):
                self._observe(number, row)
            if plant.lifted_at is not None:
                self._schedule.lifted(plant.lifted_at)
            if plant.steps == plant.swirl_until:
                plant.refresh()
        self.time = to
        return b"".join(self._transmitter.taken_until(to))

    def hear(self, data: bytes) -> bytes:
        """Let the device hear bytes from the line; returns its answer, empty for a device that only talks."""
        return self._transmitter.answer(data, self.time)

    def act(self, act: BenchAct) -> None:
        """Do something to the bench now."""
        plant, kind, works = self._plant, act.kind, self._works
        temperature = act.temperature or plant.room_temperature
        amount = act.amount
        self._schedule.note(kind, plant.time)
        if kind == "close_valve":
            if works.valve_looked_after:  # opened and shut again: this time it is looked at
                self._schedule.put_right("valve_left_open", plant.time)
            works.valve_meant_closed = True
            plant.valve_open = works.valve_stays_open
        elif kind == "open_valve":
            works.valve_meant_closed = False
            works.valve_looked_after = works.valve_stays_open
            plant.valve_open = True
        elif kind == "charge":
            amount = self._charge(amount, temperature)
        elif kind == "pour":
            amount *= works.pour_factor
            plant.pour(amount, temperature)
        elif kind == "draw":
            amount = plant.draw(amount)
        elif kind == "swirl":
            amount = amount or SWIRL_SECONDS
            plant.swirl_until = plant.steps + math.ceil(amount / STEP)
        elif kind in ("lift", "lower"):
            plant.cell_lifted = kind == "lift"
        else:
            plant.stirred = kind == "stir"
        plant.refresh()
        self.truth.acts.append((self.time, kind, act.amount, temperature))

    def _charge(self, amount: float, temperature: float) -> float:
        if self._charged:
            raise BenchActError("found a cell that is charged already; expected an empty one; start a new run")
        charge = self._works.charge
        if amount:
            # What is read off the syringe is as wrong as the scenario's own charge is.
            charge.volume *= amount / self.scenario.charge_volume
        if charge.volume > 0.8 * self._plant.cell.volume:
            raise BenchActError(
                f"found a charge of {charge.volume * 1e6:.3g} mL; expected less than 80 % of the cell, "
                f"{self._plant.cell.volume * 1e6:.3g} mL"
            )
        self._plant.charge(charge, temperature)
        self._charged = True
        return charge.volume

    def _observe(self, number: int, row: Row) -> None:
        """Let the sensors see one step and send the lines that fall into it."""
        works, transmitter = self._works, self._transmitter
        probe, gauge = works.probe, works.gauge
        end = number * STEP
        start = end - STEP
        t_before, p_before = probe.value, gauge.value
        t_change = probe.follow(works.place.temperature(row[0], row[1], self._plant.room_temperature)) - t_before
        felt = row[4]
        if gauge.parameters.against_room:
            felt -= self._plant.room_pressure - self.scenario.room_pressure
        p_change = gauge.follow(felt) - p_before
        gauge.room_warmer = self._plant.room_temperature - self.scenario.room_temperature
        since = transmitter.power_on_at
        while (at := transmitter.next_at) <= end + 1e-9:
            share = (at - start) / STEP
            transmitter.send(
                probe.read(t_before + share * t_change, at - since),
                gauge.read(p_before + share * p_change, at - since),
                self._plant.room_temperature,
                self._plant.room_pressure,
            )
        if number % STEPS_PER_SECOND == 0:
            self._store(end, row)

    def _store(self, time: float, row: Row) -> None:
        bath, _, liquid, gas, pressure, dry, vapour, wet, solved = row
        works = self._works
        since = time - self._transmitter.power_on_at
        self.truth.states.append(
            State(
                time,
                bath,
                liquid,
                gas,
                pressure,
                dry,
                vapour,
                wet,
                solved,
                self._plant.room_temperature,
                works.probe.indicated(works.probe.value, since),
                works.gauge.indicated(works.gauge.value, since),
            )
        )
