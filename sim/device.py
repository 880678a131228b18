"""The simulated bench as a device: acts go in, time goes on, bytes come out; it has no clock and no port."""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass

from sim.build import STREAM_PRESSURE, STREAM_ROOM, STREAM_TEMPERATURE, draw
from sim.errors import BenchActError
from sim.liquids import load_liquid
from sim.noise import Normals
from sim.plant import REFRESH, STEP, Plant
from sim.room import Room
from sim.scenario import Scenario
from sim.sensors import Sensor
from sim.stepping import Row, advance
from sim.truth import State, Truth
from sim.wire import BANNER, sample_line

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


class SimulatedBench:
    """One bench, from power-on until nobody asks any more.

    Guarantees
    ----------
    - The bytes depend on scenario, seed and the acts with their times only; not on how time is cut into calls.
    - An act takes effect at the first physical step that begins at or after the time of the act.

    Threads: none of its own; one thread at a time may use it.
    """

    def __init__(self, scenario: Scenario, seed: int = 0) -> None:
        self.scenario, self.seed = scenario, seed
        self.profile = scenario.device.profile
        self.time = 0.0
        drawn = draw(scenario, seed)
        self._drawn = drawn
        self._plant = Plant(
            drawn.cell,
            drawn.bath,
            load_liquid(scenario.liquid),
            room_temperature=scenario.room_temperature,
            room_pressure=scenario.room_pressure,
            humidity=scenario.humidity,
            bath_temperature=None if scenario.bath.start_degC is None else scenario.bath.start_degC + 273.15,
            cell_temperature=scenario.room_temperature + scenario.cell.starts_warmer_K,
        )
        self._room = Room(drawn.room, Normals(seed, STREAM_ROOM), STEP * REFRESH)
        self._period = 1.0 / scenario.device.rate_Hz
        timing = {"step": STEP, "period": self._period}
        self._probe = Sensor(drawn.temperature, Normals(seed, STREAM_TEMPERATURE), self._plant.t_bath, **timing)
        self._gauge = Sensor(drawn.pressure, Normals(seed, STREAM_PRESSURE), self._plant.pressure, **timing)
        self._sent: deque[tuple[float, bytes]] = deque()
        self._power_on_at = 0.0
        self._lines = 0
        self._charged = False
        self.truth = Truth(scenario.name, seed, self._plant.liquid, drawn)
        self._store(self._plant.t_bath, self._plant.pressure)
        self._banner = True

    def power_on(self) -> None:
        """Switch the device off and on: banner, clock at zero, warm-up from the beginning."""
        self._power_on_at = self.time
        self._lines = 0
        self._banner = True
        self._sent = deque(item for item in self._sent if item[0] <= self.time)

    def advance(self, to: float) -> bytes:
        """Let time pass up to `to`; returns the bytes sent meanwhile.  [s]"""
        if to < self.time:
            raise ValueError(f"time cannot go back from {self.time:g} s to {to:g} s")
        pieces = []
        if self._banner and to >= self._power_on_at:
            pieces.append(BANNER)
            self._banner = False
        missing = math.ceil(to / STEP - 1e-9) - self._plant.steps
        while missing > 0:
            plant = self._plant
            before = plant.steps
            if before % REFRESH == 0:
                self._room.move(plant)
            count = min(missing, REFRESH - before % REFRESH)
            if before < plant.swirl_until:
                count = min(count, plant.swirl_until - before)
            rows = advance(plant, count)
            if plant.steps == plant.swirl_until:
                plant.refresh()
            for number, row in enumerate(rows, start=before + 1):
                self._observe(number, row)
            missing -= count
        sent = self._sent
        while sent and sent[0][0] <= to:
            pieces.append(sent.popleft()[1])
        self.time = to
        return b"".join(pieces)

    def act(self, act: BenchAct) -> None:
        """Do something to the bench now."""
        plant, kind = self._plant, act.kind
        temperature = act.temperature or plant.room_temperature
        amount = act.amount
        if kind == "close_valve":
            plant.valve_open = False
        elif kind == "open_valve":
            plant.valve_open = True
        elif kind == "charge":
            amount = self._charge(amount, temperature)
        elif kind == "pour":
            plant.pour(amount, temperature)
        elif kind == "draw":
            amount = plant.draw(amount)
        elif kind == "swirl":
            amount = amount or 15.0
            plant.swirl_until = plant.steps + math.ceil(amount / STEP)
        elif kind in ("lift", "lower"):
            plant.cell_lifted = kind == "lift"
        else:
            plant.stirred = kind == "stir"
        plant.refresh()
        self.truth.acts.append((self.time, kind, amount, temperature))

    def _charge(self, amount: float, temperature: float) -> float:
        if self._charged:
            raise BenchActError("found a cell that is charged already; expected an empty one; start a new run")
        charge = self._drawn.charge
        if amount:
            # What is read off the syringe is as wrong as the scenario's own charge is.
            charge.volume *= amount / self.scenario.charge_volume
        if charge.volume > 0.8 * self._drawn.cell.volume:
            raise BenchActError(
                f"found a charge of {charge.volume * 1e6:.3g} mL; expected less than 80 % of the cell, "
                f"{self._drawn.cell.volume * 1e6:.3g} mL"
            )
        self._plant.charge(charge, temperature)
        self._charged = True
        return charge.volume

    def _observe(self, number: int, row: Row) -> None:
        """Let the sensors see one step and send the lines that fall into it."""
        plant = self._plant
        end = number * STEP
        probe, gauge = self._probe, self._gauge
        t_before, p_before = probe.value, gauge.value
        layer = plant.bath.layering * 0.1 * (row[0] - plant.room_temperature)
        t_now = probe.follow(row[0] + layer)
        p_now = gauge.follow(row[4])
        start = end - STEP
        since = self._power_on_at
        while True:
            at = since + (self._lines + 1) * self._period
            if at > end + 1e-9:
                break
            share = (at - start) / STEP
            running = at - since
            celsius = probe.read(t_before + share * (t_now - t_before), running) - 273.15
            pascal = gauge.read(p_before + share * (p_now - p_before), running)
            milliseconds = int(running * self._drawn.clock_rate * 1000.0 + 1e-6)
            self._sent.append((at, sample_line(milliseconds, celsius, pascal * 1e-3)))
            self._lines += 1
        if number % round(1.0 / STEP) == 0:
            _, _, liquid, gas, pressure, dry, vapour, wet = row
            self.truth.states.append(
                State(end, row[0], liquid, gas, pressure, dry, vapour, wet, plant.room_temperature)
            )

    def _store(self, bath: float, pressure: float) -> None:
        plant = self._plant
        dry = plant.n_air + plant.n_water_gas
        self.truth.states.append(
            State(0.0, bath, plant.t_liquid, plant.t_gas, pressure, dry, 0.0, 0.0, plant.room_temperature)
        )
