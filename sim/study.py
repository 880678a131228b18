"""Many random runs or steps at once, with their truth, for whoever writes a detector or a fit.

Two generators for benchmarks and studies, both fast (a thousand half-hour runs in about a second):

`random_steps(count, generator, kind=...)`
    one warming or cooling step each, from a plateau, with the noise-free traces, the slow course that both
    channels will join, and the first moment after which both stay within tolerance of it;
`random_runs(count, generator, kind=...)`
    whole runs each: dry closed cell, charge, five or more plateaus and a return point, with the pressure the
    cell would have in equilibrium with its bath, the air's share, and what was drawn.

`kind` adds physics that a settling model need not contain: see `sim.study_draws.KINDS` ("slow vapour", "wall lag",
"wandering", "cold neck", "leak", "everything", ...). All arrays are SI on a grid of one second, shape (N, n).
Lost and wild readings, bumps, and courses that never get level are added by `sim.study_disturbed`.

    >>> steps = random_steps(100, np.random.default_rng(1), kind="slow vapour")
    >>> steps.temperature.shape == steps.pressure.shape == (100, len(steps.time))
    True
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sim.liquids import Liquid, load_liquid
from sim.study_draws import KINDS, StudyNoise, draw_benches, draw_noise, parts_of, readings
from sim.study_mishaps import StudyMishaps
from sim.study_plant import StudyBench, StudyPlant

__all__ = ["KINDS", "StudyRuns", "StudySteps", "random_runs", "random_steps"]

Array = NDArray[np.float64]
STEP = 1.0  # s; within 4 Pa of shorter steps while the pressure moves, far less on a plateau
REFRESH = 5  # steps between updates of what changes slowly; nobody looks at single runs for an early one
BEFORE = 60  # s of plateau that a step record begins with
FINISHED = 900  # s after a step by which nothing of it is left but the slow course


@dataclass(frozen=True)
class StudySteps:
    """N steps on one grid of seconds; the step begins at time 0.

    Attributes
    ----------
    time
        Shape (n,), from -60.  [s]
    temperature, pressure
        Readings, means of one second with errors and noise.  [K], [Pa]
    probe, gauge
        The same without errors, noise and digits.
    slow_probe, slow_gauge
        What both would read on the slow course (bath drifting, nothing else left); valid from about time 0.
    bath, equilibrium_pressure
        True bath temperature and the pressure the cell would have in equilibrium with it.
    slope
        dp/dT of the equilibrium at the end, shape (N,).  [Pa/K]
    settled
        First time after which both noise-free channels stay within `tolerance`, shape (N,).  [s]
    air_slope
        dp/dT of the trapped air alone, shape (N,).  [Pa/K]
    """

    time: Array
    temperature: Array
    pressure: Array
    probe: Array
    gauge: Array
    slow_probe: Array
    slow_gauge: Array
    bath: Array
    equilibrium_pressure: Array
    slope: Array
    settled: Array
    air_slope: Array
    tolerance: float
    kind: str
    bench: StudyBench
    noise: StudyNoise


@dataclass(frozen=True)
class StudyRuns:
    """N whole runs on one grid of seconds.

    Attributes
    ----------
    time
        Shape (n,).  [s]
    temperature, pressure
        Readings, means of one second.  [K], [Pa]
    probe, gauge, bath, equilibrium_pressure
        Noise-free, as in `StudySteps`.
    air_pressure
        Pressure of the trapped air alone in equilibrium with the bath.  [Pa]
    charge_at, pour_at, down_at, return_at
        When the liquid and the water went in; `pour_at` and `down_at`, of the steps back, are tuples.  [s]
    liquid_volume
        Charged, shape (N,).  [m3]
    enthalpy_vap
        True value at 298.15 K.  [J/mol]
    """

    time: Array
    temperature: Array
    pressure: Array
    probe: Array
    gauge: Array
    bath: Array
    equilibrium_pressure: Array
    air_pressure: Array
    charge_at: float
    pour_at: tuple[float, ...]
    return_at: float | None
    liquid_volume: Array
    liquid: str
    enthalpy_vap: float
    kind: str
    bench: StudyBench
    noise: StudyNoise
    down_at: tuple[float, ...] = ()


@dataclass
class _Traces:
    """What is kept of a plant, one column per second."""

    probe: list[Array] = field(default_factory=list)
    gauge: list[Array] = field(default_factory=list)
    bath: list[Array] = field(default_factory=list)
    equilibrium: list[Array] = field(default_factory=list)
    air: list[Array] = field(default_factory=list)


def _let_pass(plant: StudyPlant, duration: int, traces: _Traces | None = None, *, truth: bool = True) -> None:
    """Advance by whole seconds and keep one column of each step."""
    every = max(round(REFRESH * STEP / plant.step), 1)
    for number in range(round(duration / plant.step)):
        if number % every == 0:
            plant.refresh()
        plant.advance()
        if traces is not None:
            traces.probe.append(plant.t_probe)
            traces.gauge.append(plant.p_gauge)
            traces.bath.append(plant.t_bath)
            traces.air.append(plant.n_air)
            if truth:
                wet = bool(np.any(plant.n_liquid > 0.0))
                traces.equilibrium.append(plant.equilibrium_pressure() if wet else plant.pressure)


def _columns(kept: list[Array]) -> Array:
    return np.array(kept).T


def _water_for(plant: StudyPlant, rise: Array, hot: float, cold: float) -> tuple[Array, Array]:
    """Volume and temperature of the water that changes the bath by `rise`.  [m3], [K]"""
    water = np.where(rise > 0.0, hot, cold)
    capacity = plant.mass * 4184.0 + plant.bench.vessel + plant.bench.glass
    return capacity * rise / (997.0 * 4184.0 * (water - plant.t_bath - rise)), water


def random_steps(
    count: int,
    generator: np.random.Generator,
    *,
    kind: str = "plain",
    liquid: str = "n-heptane",
    duration: int = 600,
    tolerance: float = 0.1,
) -> StudySteps:
    """One step each of 3 to 5 K, three in four upwards, in a bath 0 to 16 K above the room.

    Parameters
    ----------
    count, generator
        Number of steps and the source of chance; the same state gives the same steps.
    kind
        One of `KINDS`.
    liquid
        Name of a shipped liquid.
    duration
        Record after the step, at most 900.  [s]
    tolerance
        For `settled`; pressure is judged as temperature through `slope`.  [K]
    """
    parts_of(kind)
    substance = load_liquid(liquid)
    bench, noise = draw_benches(count, generator, kind), draw_noise(count, generator, kind)
    rise = generator.uniform(3.0, 5.0, count) * np.where(generator.random(count) < 0.75, 1.0, -1.0)
    above = generator.uniform(0.0, 12.0, count) + np.where(rise < 0.0, -rise, 0.0)
    leak, bench.leak_rate = bench.leak_rate, np.zeros(count)
    plant = StudyPlant(bench, substance, bench.room + above, generator.uniform(2e-6, 4e-6, count), step=STEP)
    plant.t_bath = plant.t_bath.copy()
    _let_pass(plant, 600)
    bench.leak_rate = leak
    plant.set_constants()
    traces = _Traces()
    _let_pass(plant, BEFORE, traces)
    volume, water = _water_for(plant, rise, 343.15, 280.15)
    before = _copy(plant)
    plant.pour(volume, water)
    _let_pass(plant, FINISHED, traces)

    slow = _slow_course(before, volume, plant.t_bath)
    n = BEFORE + duration
    probe, gauge = _columns(traces.probe)[:, :n], _columns(traces.gauge)[:, :n]
    slow_probe, slow_gauge = (
        np.hstack([np.full((count, BEFORE), np.nan), _columns(kept)[:, :duration]]) for kept in (slow.probe, slow.gauge)
    )
    slope = plant.slope()
    off = np.maximum(np.abs(probe - slow_probe), np.abs(gauge - slow_gauge) / slope[:, None])[:, BEFORE:]
    outside = off > tolerance
    settled = np.where(outside.any(axis=1), duration - np.argmax(outside[:, ::-1], axis=1), 0).astype(float)
    volume_gas = bench.volume + bench.tube
    return StudySteps(
        time=np.arange(1, n + 1, dtype=float) - BEFORE,
        temperature=readings(probe, False, noise, bench.room, generator),
        pressure=readings(gauge, True, noise, np.zeros(count), generator),
        probe=probe,
        gauge=gauge,
        slow_probe=slow_probe,
        slow_gauge=slow_gauge,
        bath=_columns(traces.bath)[:, :n],
        equilibrium_pressure=_columns(traces.equilibrium)[:, :n],
        slope=slope,
        settled=settled,
        air_slope=plant.n_air * 8.31446261815324 / volume_gas,
        tolerance=tolerance,
        kind=kind,
        bench=bench,
        noise=noise,
    )


def _copy(plant: StudyPlant) -> StudyPlant:
    """A plant in the same state whose arrays are its own (arrays are replaced, never changed in place)."""
    twin = object.__new__(StudyPlant)
    twin.__dict__.update(plant.__dict__)
    return twin


def _slow_course(before: StudyPlant, volume: Array, end: Array) -> _Traces:
    """The course without the step's transient: the same bath, as if it had been drifting there for a quarter hour.

    The bath is started where its own cooling brings it to `end` at the end; cooling is linear in its distance from
    the room, so one coarse trial gives the start.
    """
    bench, lead = before.bench, 900
    total = lead + FINISHED
    mass = before.mass + volume * 997.0
    capacity = mass * 4184.0 + bench.vessel + bench.glass
    start = bench.room + (end - bench.room) * np.exp(bench.loss * total / capacity)
    for step in (5.0, STEP):
        plant = _copy(before)
        plant.step = step
        plant.bench = bench.copy()
        plant.bench.leak_rate = np.zeros_like(bench.leak_rate)
        plant.mass, plant.unmixed = mass, np.zeros_like(mass)
        for name in ("t_bath", "t_outer", "t_inner", "t_liquid", "t_gas", "t_before", "t_probe"):
            setattr(plant, name, start.copy())
        plant.set_constants()
        _let_pass(plant, lead)
        plant.bench.leak_rate = bench.leak_rate
        plant.set_constants()
        traces = _Traces()
        _let_pass(plant, FINISHED, traces, truth=False)
        far = np.abs(plant.t_bath - bench.room) > 1e-3
        ratio = np.where(far, (end - bench.room) / np.where(far, plant.t_bath - bench.room, 1.0), 1.0)
        start = bench.room + (start - bench.room) * ratio
    return traces


def random_runs(
    count: int,
    generator: np.random.Generator,
    *,
    kind: str = "plain",
    liquid: str = "n-heptane",
    plateaus: int = 5,
    span: float = 16.0,
    hold: int = 300,
    returns: bool = True,
    downs: int = 0,
    mishaps: Sequence[str] = (),
) -> StudyRuns:
    """Whole runs: 60 s dry and closed, charge, `plateaus` holds over `span` kelvin, steps back, a return to the middle.

    Parameters
    ----------
    count, generator, kind, liquid
        As in `random_steps`.
    plateaus
        Number of holds after the charge, the first at room temperature.
    span
        From the first to the last plateau.  [K]
    hold
        Length of each hold.  [s]
    returns
        Whether a return point is added.
    downs
        Number of holds on the way back, in the steps of the way up.
    mishaps
        One for each run, of `sim.study_mishaps.MISHAPS`, "" for none; empty: none at all.  The arrays of the result
        are what the sensors would show if they were not swapped.
    """
    parts_of(kind)
    substance: Liquid = load_liquid(liquid)
    bench, noise = draw_benches(count, generator, kind), draw_noise(count, generator, kind)
    plant = StudyPlant(bench, substance, bench.room.copy(), np.zeros(count), step=STEP)
    wrong = StudyMishaps(mishaps, generator) if len(mishaps) else None
    if wrong is not None:
        wrong.before_closing(plant)
    traces = _Traces()
    _let_pass(plant, 60, traces)
    volume = generator.uniform(2e-6, 3e-6, count)
    if wrong is None:
        plant.charge(volume)
    else:
        wrong.charge(plant, wrong.charged(volume))
    _let_pass(plant, hold, traces)
    pours = []
    rise = span / max(plateaus - 1, 1) * np.ones(count)
    for number in range(1, plateaus):
        pours.append(60.0 + number * hold)
        goal = bench.room + number * rise + generator.normal(0.0, 0.2, count)
        water, hot = _water_for(plant, np.maximum(goal - plant.t_bath, 0.5), 343.15, 280.15)
        plant.draw(np.maximum(plant.mass / 997.0 + water - 0.9e-3, 0.0))
        plant.pour(water, hot)
        half = hold // 2 if number == max(plateaus // 2, 1) and wrong is not None else 0
        _let_pass(plant, half, traces)
        if half and wrong is not None:
            wrong.lift(plant)
        _let_pass(plant, hold - half, traces)

    def cool(goal: Array) -> None:
        plant.draw(np.full(count, 0.45) * plant.mass / 997.0)
        plant.pour(*_water_for(plant, np.minimum(goal - plant.t_bath, -0.5), 343.15, 283.15))
        _let_pass(plant, hold, traces)

    for number in range(1, downs + 1):
        cool(bench.room + (plateaus - 1 - number) * rise + generator.normal(0.0, 0.2, count))
    if returns:
        cool(bench.room + 0.5 * span)
    probe, gauge = _columns(traces.probe), _columns(traces.gauge)
    bath, n_air = _columns(traces.bath), _columns(traces.air)
    gas = (bench.volume - volume + bench.tube)[:, None]
    return StudyRuns(
        time=np.arange(1, probe.shape[1] + 1, dtype=float),
        temperature=readings(probe, False, noise, bench.room, generator),
        pressure=readings(gauge, True, noise, np.zeros(count), generator),
        probe=probe,
        gauge=gauge,
        bath=bath,
        equilibrium_pressure=_columns(traces.equilibrium),
        air_pressure=n_air * 8.31446261815324 * bath / gas,
        charge_at=60.0,
        pour_at=tuple(pours),
        down_at=tuple(60.0 + (plateaus + k) * hold for k in range(downs)),
        return_at=60.0 + (plateaus + downs) * hold if returns else None,
        liquid_volume=volume,
        liquid=liquid,
        enthalpy_vap=substance.enthalpy_vap(298.15),
        kind=kind,
        bench=bench,
        noise=noise,
    )
