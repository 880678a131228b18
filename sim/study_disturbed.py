"""What spoils traces in a study: lost and wild readings, bumps of the hand, and courses that have no plateau at all.

>>> rng = np.random.default_rng(1)
>>> steps = with_disturbances(random_steps(50, rng), rng)
>>> bool(np.isnan(steps.temperature).any())
True
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.errors import UnknownNameError
from sim.liquids import load_liquid
from sim.study import REFRESH, STEP, StudySteps
from sim.study_draws import StudyNoise, draw_benches, draw_noise, readings
from sim.study_plant import StudyBench, StudyPlant

__all__ = ["UNSETTLED", "Unsettled", "random_unsettled", "with_disturbances"]

Array = NDArray[np.float64]

#: Courses in which nothing ever gets level.
UNSETTLED = {
    "leak": "the pressure falls by 0.3 to 3 K-equivalents a minute, whatever the bath does",
    "ramp": "the bath is heated or cooled by 0.7 to 3 K a minute",
    "cycle": "the bath goes up and down by 0.3 to 1.5 K with a period of 60 to 240 s",
}


@dataclass(frozen=True)
class Unsettled:
    """N courses without a plateau; arrays as in `StudySteps`, shape (N, n) on a grid of seconds.

    `size` is the drawn strength of each: K/min of pressure-equivalent or of the bath, or K from the middle.
    `period` is that of the cycles; nan elsewhere.  [s]
    """

    time: Array
    temperature: Array
    pressure: Array
    probe: Array
    gauge: Array
    bath: Array
    equilibrium_pressure: Array
    slope: Array
    size: Array
    period: Array
    kind: str
    bench: StudyBench
    noise: StudyNoise


def with_disturbances(
    steps: StudySteps,
    generator: np.random.Generator,
    *,
    lost: float = 0.3,
    wild: float = 0.3,
    bumped: float = 0.25,
) -> StudySteps:
    """The same steps with what happens at a bench; the truth stays as it was.

    Parameters
    ----------
    steps, generator
        What to spoil, and chance.
    lost
        Share of steps with one gap of 1 to 15 s (nan in both channels).
    wild
        Share of steps with one to four single wild readings in either channel.
    bumped
        Share of steps in which a hand bumps the cell (a pulse of 0.3 to 1.5 kPa that fades in 8 to 20 s) or lifts
        the probe for five seconds.
    """
    temperature, pressure = steps.temperature.copy(), steps.pressure.copy()
    count, n = temperature.shape
    seconds = np.arange(n)
    begin = int(np.searchsorted(steps.time, 20.0))
    room = steps.bench.room
    for i in range(count):
        if generator.random() < bumped:
            at = int(generator.integers(begin, n - 30))
            if generator.random() < 0.5:
                size = generator.uniform(300.0, 1500.0) * generator.choice([-1.0, 1.0])
                fade = np.exp(-(seconds[at:] - at) / generator.uniform(8.0, 20.0))
                pressure[i, at:] += size * fade
            else:
                lifted = np.clip(seconds - at, 0, 5) * (seconds >= at)
                lag = float(steps.bench.probe_time[i])
                out = 1.0 - np.exp(-lifted / lag)
                back = np.exp(-np.clip(seconds - at - 5, 0, None) / lag)
                temperature[i] += (room[i] - steps.bath[i]) * out * back
        if generator.random() < wild:
            for _ in range(int(generator.integers(1, 5))):
                at = int(generator.integers(0, n))
                if generator.random() < 0.5:
                    temperature[i, at] += generator.choice([-1.0, 1.0]) * generator.uniform(0.5, 20.0)
                else:
                    pressure[i, at] += generator.choice([-1.0, 1.0]) * generator.uniform(300.0, 2e4)
        if generator.random() < lost:
            at, length = int(generator.integers(0, n - 15)), int(generator.integers(1, 16))
            temperature[i, at : at + length] = np.nan
            pressure[i, at : at + length] = np.nan
    return replace(steps, temperature=temperature, pressure=pressure)


def random_unsettled(
    count: int,
    generator: np.random.Generator,
    *,
    kind: str,
    physics: str = "plain",
    liquid: str = "n-heptane",
    duration: int = 600,
) -> Unsettled:
    """Courses that a settling rule must not accept.

    Parameters
    ----------
    count, generator
        As in `sim.study.random_steps`.
    kind
        One of `UNSETTLED`.
    physics
        One of `sim.study.KINDS`.
    duration
        [s]

    Raises
    ------
    UnknownNameError
        For a kind that is not in `UNSETTLED`.
    """
    if kind not in UNSETTLED:
        raise UnknownNameError("course without a plateau", kind, UNSETTLED)
    bench, noise = draw_benches(count, generator, physics), draw_noise(count, generator, physics)
    plant = StudyPlant(
        bench, load_liquid(liquid), bench.room + generator.uniform(2.0, 12.0, count),
        generator.uniform(2e-6, 4e-6, count), step=STEP,
    )  # fmt: skip
    _pass(plant, 600)
    slope = plant.slope()
    period = np.full(count, np.nan)
    heat = np.zeros(count)
    if kind == "leak":
        size = generator.uniform(0.3, 3.0, count)
        over = np.maximum(plant.pressure - bench.room_pressure, 500.0)
        # The rate at which this over-pressure falls by so many kelvin-equivalents a minute at first; the room is
        # far enough below that it goes on falling for the whole record.
        bench.room_pressure = plant.pressure - np.maximum(over, 60e3)
        bench.leak_rate = size / 60.0 * slope / (plant.pressure - bench.room_pressure)
        plant.set_constants()
    elif kind == "ramp":
        size = generator.uniform(0.7, 3.0, count) * generator.choice([-1.0, 1.0], count)
        heat = size / 60.0 * (plant.mass * 4184.0 + bench.vessel + bench.glass)
    else:
        size, period = generator.uniform(0.3, 1.5, count), generator.uniform(60.0, 240.0, count)
        heat = size * 2.0 * np.pi / period * (plant.mass * 4184.0 + bench.vessel + bench.glass)
    columns: dict[str, list[Array]] = {"probe": [], "gauge": [], "bath": [], "equilibrium": []}
    for second in range(duration):
        if second % REFRESH == 0:
            plant.refresh()
        turn = np.cos(2.0 * np.pi * second / period) if kind == "cycle" else 1.0
        # Given to the water directly, as a heater does.
        plant.t_bath = plant.t_bath + heat * turn * STEP / (plant.mass * 4184.0 + bench.vessel + bench.glass)
        plant.advance()
        columns["probe"].append(plant.t_probe)
        columns["gauge"].append(plant.p_gauge)
        columns["bath"].append(plant.t_bath)
        columns["equilibrium"].append(plant.equilibrium_pressure())
    kept = {name: np.array(rows).T for name, rows in columns.items()}
    return Unsettled(
        time=np.arange(1, duration + 1, dtype=float),
        temperature=readings(kept["probe"], False, noise, bench.room, generator),
        pressure=readings(kept["gauge"], True, noise, np.zeros(count), generator),
        probe=kept["probe"],
        gauge=kept["gauge"],
        bath=kept["bath"],
        equilibrium_pressure=kept["equilibrium"],
        slope=slope,
        size=size,
        period=period,
        kind=kind,
        bench=bench,
        noise=noise,
    )


def _pass(plant: StudyPlant, seconds: int) -> None:
    for second in range(seconds):
        if second % REFRESH == 0:
            plant.refresh()
        plant.advance()
