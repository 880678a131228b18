"""Simulated campaigns for the tests and benchmarks of pooling: points of many benches, with faults on request.

The vapour pressure is that of the simulator's reference equations of state; the errors of each bench and run are
drawn from what the fit is told of them.  The gas balance is the fit's own, so these campaigns test statistics, not
physics.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import GAS_CONSTANT, load_liquid
from analysis.pooling.curve import CARRIERS, PASSING, PooledRun
from analysis.reading_model import ReadingModel, vapour_prior
from analysis.trapped_air import CellSetup, SealedBaseline
from sim.liquids import load_liquid as reference_liquid

ROOM = 96.3e3  # [Pa]
SENSORS = SensorPriors(u_offset_pressure=1000.0, u_gain_pressure=0.01, u_nonlinearity_pressure=50.0)
SETUP = CellSetup(room_humidity=0.45, room_pressure=ROOM)


@dataclass(frozen=True)
class Fault:
    """What is wrong with one bench: leak rate [1/s], barometer offset [Pa], another liquid, extra air [relative]."""

    leak_rate: float = 0.0
    barometer: float = 0.0
    liquid: str = ""
    air: float = 0.0
    thermometer: float = 0.0


def bench_run(
    rng: np.random.Generator,
    errors: dict[tuple[str, str, str], float],
    *,
    run: str,
    bench: str,
    liquid: str = "n-heptane",
    fault: Fault = Fault(),
    temperatures: tuple[float, ...] = (22.0, 26.0, 30.0, 34.0, 38.0),
    return_to: float | None = 24.0,
    sensors: SensorPriors = SENSORS,
    setup: CellSetup = SETUP,
    labels: dict[str, str] | None = None,
) -> PooledRun:
    """One run's points [K, Pa]; `errors` keeps what benches share, in standard uncertainties."""
    celsius = temperatures + ((return_to,) if return_to is not None else ())
    kelvin = np.array(celsius) + 273.15 + rng.normal(0, 0.3, len(celsius))
    times = 600.0 + 420.0 * np.arange(len(celsius))
    baseline = SealedBaseline(295.15, ROOM, 0.03, 30.0, time=0.0)
    truth = reference_liquid(fault.liquid or liquid)
    blank = [FitPoint(t, 1e5, 0.03, 30.0, time=s) for t, s in zip(kelvin, times, strict=True)]
    # the exposure to a leak needs readings: two rounds settle them
    readings = np.full(len(kelvin), ROOM)
    z = None
    for _ in range(2):
        points = [replace(p, pressure=float(r)) for p, r in zip(blank, readings, strict=True)]
        model = ReadingModel(points, baseline, setup, sensors, load_liquid(liquid), "sealed", leak=True)
        if z is None:
            z = _draw(rng, errors, model, run, bench, labels or {})
            z = _with_fault(z, model, fault)
        readings = _readings(model, truth, z)
    readings = readings + rng.normal(0, 30.0, len(readings))
    # the thermometer's own noise, as seen in the pressure
    readings += rng.normal(0, 0.03, len(readings)) * np.gradient(readings, kelvin)
    points = [
        replace(p, pressure=float(r), branch="return" if i >= len(temperatures) else "up")
        for i, (p, r) in enumerate(zip(blank, readings, strict=True))
    ]
    return PooledRun(run, bench, points, baseline, setup, sensors, labels=labels or {})


def _draw(rng, errors, model, run, bench, labels):
    values = []
    for error in model.errors:
        carrier = CARRIERS.get(error.key)
        if carrier is None or (carrier in PASSING and carrier not in labels):
            values.append(rng.normal())
        elif carrier == "liquid data":
            values.append(0.0)  # the reference equation is what it is
        else:
            thing = (carrier, labels.get(carrier, bench), error.key)
            values.append(errors.setdefault(thing, rng.normal()))
    return np.array([0.0 if e.key == "dcp" else v for e, v in zip(model.errors, values, strict=True)])


def _with_fault(z, model, fault):
    moved = z.copy()
    for k, error in enumerate(model.errors):
        if error.key == "offset":
            moved[k] += fault.barometer / error.u
        elif error.key == "offset_t":
            moved[k] += fault.thermometer / error.u
        elif error.key == "leak":
            moved[k] = fault.leak_rate / error.u
        elif error.key == "extra":
            moved[k] += fault.air / error.u
    return moved


def _readings(model, truth, z):
    tm = model.mean_temperature
    step = 0.5
    rise = math.log(truth.saturation_pressure(tm + step) / truth.saturation_pressure(tm - step))
    slope = rise / (1 / (tm - step) - 1 / (tm + step)) * GAS_CONSTANT
    pressure = truth.saturation_pressure(tm)
    theta = np.array([[math.log(pressure), slope / (GAS_CONSTANT * tm)]])
    vapour = vapour_prior(model.liquid, tm, pressure, slope)
    readings, _ = model.predict(theta, z[None, :], vapour, slope)
    shown = model.line(_true_temperature(model, z), theta, vapour)[0]
    exact = np.array([truth.saturation_pressure(t) for t in _true_temperature(model, z)])
    gain = next((z[k] * e.u for k, e in enumerate(model.errors) if e.key == "gain"), 0.0)
    return readings[0] + (1 + gain) * (exact - shown)


def _true_temperature(model, z):
    size = {e.key: z[k] * e.u for k, e in enumerate(model.errors)}
    t = model.temperature
    return t - size.get("offset_t", 0.0) - size.get("gain_t", 0.0) * (t - model.anchor)


def campaign(
    rng: np.random.Generator,
    *,
    benches: int = 40,
    runs: int = 3,
    faults: dict[int, Fault] | None = None,
    temperatures: tuple[float, ...] = (22.0, 26.0, 30.0, 34.0, 38.0),
    **more,
) -> tuple[list[PooledRun], dict[str, float]]:
    """Runs of a whole campaign and each bench's room reading less the true room pressure.  [Pa]"""
    errors: dict[tuple[str, str, str], float] = {}
    found, rooms = [], {}
    for number in range(benches):
        bench = f"bench {number + 1:02d}"
        fault = (faults or {}).get(number, Fault())
        for run in range(runs):
            found.append(
                bench_run(
                    rng,
                    errors,
                    run=f"{bench} run {run + 1}",
                    bench=bench,
                    fault=fault,
                    temperatures=temperatures,
                    **more,
                )
            )
        offset = errors[("pressure sensor", bench, "offset")] * SENSORS.u_offset_pressure + fault.barometer
        gain = errors[("pressure sensor", bench, "gain")] * SENSORS.u_gain_pressure
        rooms[bench] = offset + gain * ROOM + rng.normal(0, 30.0)
    middle = float(np.median(list(rooms.values())))
    return [replace(run, room_difference=rooms[run.bench] - middle) for run in found], rooms
