"""Simulates and fits the runs of one setting: what a worker does."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from acquire.pool.study_plan import WINDOW, SensorSet, Setting
from acquire.pool.study_points import Trace, settled_points, waited_points
from acquire.record import Baseline
from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import SensorPriors
from analysis.liquids import load_liquid
from analysis.refusal import AnalysisError
from analysis.trapped_air import CellSetup, SealedBaseline
from drivers.room_check import ROOM_PRESSURE, ROOM_TEMPERATURE
from sim.study import StudyRuns, random_runs
from sim.study_draws import readings

Floats = NDArray[np.float64]

U_VOLUME, U_CHARGE = 1e-6, 0.05e-6  # [m3] what a bench knows of its cell and of the liquid it puts in
#: Wander and white noise of means of 30 s with the usual sensors, as the simulator draws them on average.
U_POINT = (0.005, 8.0)  # [K], [Pa]


@dataclass
class MishapTally:
    """Sums over the runs with one mishap, or with none.  J/mol"""

    runs: int = 0
    answered: int = 0
    error: float = 0.0
    error2: float = 0.0
    covered: int = 0
    noticed: int = 0  # runs whose fit refuses, or finds something doubtful

    def add(self, other: MishapTally) -> None:
        for name in vars(self):
            setattr(self, name, getattr(self, name) + getattr(other, name))


@dataclass
class Tally:
    """Sums over runs; adds to others of the same setting.  J/mol"""

    runs: int = 0
    refused: int = 0
    error: float = 0.0
    error2: float = 0.0
    u: float = 0.0
    covered: int = 0
    textbook2: float = 0.0
    textbook: int = 0
    leaking: int = 0
    leaks_found: int = 0
    seconds: float = 0.0  # of all runs, at the bench
    by_mishap: dict[str, MishapTally] = field(default_factory=dict)  # "" for runs without

    def add(self, other: Tally) -> None:
        for name in vars(self):
            if name != "by_mishap":
                setattr(self, name, getattr(self, name) + getattr(other, name))
        for mishap, part in other.by_mishap.items():
            self.by_mishap.setdefault(mishap, MishapTally()).add(part)


@dataclass(frozen=True)
class Chunk:
    """A part of a study that one worker does at a time."""

    number: int  # of the setting
    setting: Setting
    sensors: SensorSet
    liquid: str
    mishaps: tuple[tuple[str, float], ...]  # name and share
    runs: int
    seed: tuple[int, ...]


def simulate(chunk: Chunk) -> tuple[int, Tally]:
    """Simulate and fit; the setting's number and the tally.

    The same seed gives the same benches whatever the setting, so that settings are compared on equal benches.
    """
    rng = np.random.default_rng(np.random.SeedSequence(chunk.seed))
    return chunk.number, _runs(chunk, _drawn(chunk), rng)


def _drawn(chunk: Chunk) -> list[str]:
    """A mishap or "" for each run; from a seed of its own, so that a rare mishap does not change the benches."""
    rng = np.random.default_rng(np.random.SeedSequence([*chunk.seed, 1]))
    edges = np.cumsum([share for _, share in chunk.mishaps])
    names = [*(name for name, _ in chunk.mishaps), ""]
    return [names[place] for place in np.searchsorted(edges, rng.random(chunk.runs), side="right")]


def _runs(chunk: Chunk, mishaps: list[str], rng: np.random.Generator) -> Tally:
    setting, count = chunk.setting, chunk.runs
    runs = random_runs(
        count,
        rng,
        kind=setting.physics,
        liquid=chunk.liquid,
        plateaus=setting.plateaus,
        span=setting.span,
        hold=int(setting.wait) + WINDOW,
        returns=setting.return_point,
        mishaps=mishaps,
    )
    temperature, pressure = _read(runs, chunk.sensors, rng)
    swapped = np.array([name == "sensors_swapped" for name in mishaps])[:, None]
    temperature, pressure = np.where(swapped, pressure, temperature), np.where(swapped, temperature, pressure)
    volume = runs.bench.volume + rng.normal(0, U_VOLUME, count)
    charge = runs.liquid_volume + rng.normal(0, U_CHARGE, count)
    starts = [runs.charge_at, *runs.pour_at, *([runs.return_at] if runs.return_at is not None else [])]
    liquid = load_liquid(chunk.liquid)
    sensors = SensorPriors(
        u_offset_pressure=chunk.sensors.offset_pressure,
        u_gain_pressure=chunk.sensors.gain_pressure,
        u_nonlinearity_pressure=0.0,
        u_drift_pressure=0.0,
        u_offset_temperature=chunk.sensors.offset_temperature,
        u_gain_temperature=chunk.sensors.gain_temperature,
    )
    u_t, u_p = U_POINT[0] * chunk.sensors.noise, U_POINT[1] * chunk.sensors.noise
    tally = Tally(runs=count, leaking=mishaps.count("leak"))
    for i, mishap in enumerate(mishaps):
        part = tally.by_mishap.setdefault(mishap, MishapTally())
        part.runs += 1
        t0, p0 = float(temperature[i, 20:60].mean()), float(pressure[i, 20:60].mean())
        trace = Trace(runs.time, temperature[i], pressure[i], starts, setting.wait + WINDOW, runs.return_at is not None)
        if not plausible(t0, p0):
            tally.refused += 1
            part.noticed += 1
            continue
        if setting.take == "settled":
            sealed = Baseline("sealed", t0, p0, u_t, u_p, 20.0, 60.0)
            points, seconds = settled_points(trace, sealed, liquid, float(volume[i]), float(charge[i]))
        else:
            points, seconds = waited_points(trace, setting.wait, (u_t, u_p))
        tally.seconds += seconds
        baseline = SealedBaseline(t0, p0, u_t, u_p, time=40.0)
        setup = CellSetup(
            cell_volume=float(volume[i]),
            u_cell_volume=U_VOLUME,
            charge_volume=float(charge[i]),
            u_charge_volume=U_CHARGE,
            tubing_volume=float(runs.bench.tube[i]),
            u_tubing_volume=0.1e-6,
            room_temperature=float(runs.bench.room[i]),
            room_humidity=0.0,  # the simulated cells are closed with dry air
            u_room_humidity=0.01,
            room_pressure=float(runs.bench.room_pressure[i]),
        )
        try:
            fit = fit_enthalpy(points, baseline=baseline, setup=setup, sensors=sensors, liquid=liquid, air="sealed")
        except AnalysisError:
            tally.refused += 1
            part.noticed += 1
            continue
        _count(tally, fit, runs.enthalpy_vap, mishap)
    return tally


def plausible(temperature: float, pressure: float) -> bool:
    """Whether a sealed baseline can be one: the limits of `satline check` for a room; swapped sensors fail them."""
    low, high = ROOM_TEMPERATURE
    least, most = ROOM_PRESSURE
    return low <= temperature <= high and least <= pressure <= most


def _count(tally: Tally, fit, truth: float, mishap: str) -> None:
    estimate = fit.at_298_15
    part = tally.by_mishap.setdefault(mishap, MishapTally())
    part.noticed += estimate.interval_95 is None or any(finding.severity != "note" for finding in fit.findings)
    if fit.textbook_line is not None:
        tally.textbook += 1
        tally.textbook2 += (fit.textbook_line.enthalpy_vap - truth) ** 2
    if mishap == "leak" and any("leak" in finding.code for finding in fit.findings):
        tally.leaks_found += 1
    if estimate.interval_95 is None or estimate.value is None:
        tally.refused += 1
        return
    error = estimate.value - truth
    low, high = estimate.interval_95
    tally.error += error
    tally.error2 += error * error
    tally.u += estimate.standard_uncertainty
    tally.covered += low <= truth <= high
    part.answered += 1
    part.error += error
    part.error2 += error * error
    part.covered += low <= truth <= high


def _read(runs: StudyRuns, sensors: SensorSet, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """The noise-free traces as this pair of sensors would read them."""
    count = len(runs.bench.room)
    n = runs.noise
    noise = replace(
        n,
        temperature_offset=rng.normal(0, sensors.offset_temperature, count),
        temperature_gain=rng.normal(0, sensors.gain_temperature, count),
        pressure_offset=rng.normal(0, sensors.offset_pressure, count),
        pressure_gain=rng.normal(0, sensors.gain_pressure, count),
        temperature_white=n.temperature_white * sensors.noise,
        pressure_white=n.pressure_white * sensors.noise,
        temperature_wander=n.temperature_wander * sensors.noise,
        pressure_wander=n.pressure_wander * sensors.noise,
    )
    room = runs.bench.room
    return (
        readings(runs.probe, False, noise, room, rng),
        readings(runs.gauge, True, noise, np.zeros(count), rng),
    )


def rms(tally: Tally) -> float:
    """Root mean square error of the runs that gave an interval, NaN without any.  [J/mol]"""
    answered = tally.runs - tally.refused
    return math.sqrt(tally.error2 / answered) if answered else math.nan
