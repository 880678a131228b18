"""Random benches and sensors for studies: the ranges of lags, drifts and noise, by kind of physics."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.errors import UnknownNameError
from sim.study_plant import StudyBench

Array = NDArray[np.float64]

#: What a kind adds to the plain physics.
KINDS = {
    "plain": "bath, glass, liquid, gas and evaporation with lags drawn from the usual ranges",
    "slow vapour": "10 to 25 % of the vapour relaxes with 120 to 240 s",
    "wall lag": "the glass follows the bath 15 to 30 s later",
    "wandering": "the probe wanders by 0.03 K in 20 s, the pressure by 50 Pa in 60 s",
    "cold neck": "3 to 10 % of the gas stands above the water line, 2 mL of tube at room temperature",
    "leak": "the over-pressure leaks with an e-fold of 1 to 10 h",
    "slow lags": "all lags 1.6 times as long",
    "everything": "slow vapour, wall lag, wandering sensors and a cold neck together",
}
BLOCK = 32  # runs whose readings are made at once: they stay within a processor's cache
SOLUBILITY_SPREAD = 0.3  # relative; tables of solubility from memory are as rough as that
DISSOLVED_SPREAD = 0.1  # of saturation; a bottle as bought, opened now and then
_EVERYTHING = ("slow vapour", "wall lag", "wandering", "cold neck")


@dataclass
class StudyNoise:
    """Sensors of N runs: constant errors and noise, arrays of shape (N,); units of the reading (K, Pa)."""

    temperature_offset: Array
    temperature_gain: Array
    pressure_offset: Array
    pressure_gain: Array
    temperature_white: Array
    pressure_white: Array
    temperature_wander: Array
    pressure_wander: Array
    temperature_wander_time: float
    pressure_wander_time: float
    temperature_step: float
    pressure_step: float


def parts_of(kind: str) -> tuple[str, ...]:
    """The single additions that a kind stands for.

    Raises
    ------
    UnknownNameError
        For a kind that is not in `KINDS`.
    """
    if kind not in KINDS:
        raise UnknownNameError("kind of physics", kind, KINDS)
    return _EVERYTHING if kind == "everything" else (kind,)


def draw_benches(count: int, generator: np.random.Generator, kind: str) -> StudyBench:
    """Benches of `count` runs.

    Lags: probe 3 to 10 s, liquid and gas 20 to 60 s, evaporation 10 to 60 s, stirring 5 to 20 s, heat loss such
    that a bath 12 K above the room drifts by 0.05 to 0.5 K/min, in a fifth of the runs not at all. The ranges are
    those of settled practice with stoppered flasks in hand-stirred baths (common practice, no source). How much air
    the liquid holds and brings with it is drawn as uncertain as a fit is usually told.
    """
    parts = parts_of(kind)

    def uniform(low: float, high: float) -> Array:
        return generator.uniform(low, high, count)

    def const(value: float) -> Array:
        return np.full(count, value)

    lag = 1.6 if "slow lags" in parts else 1.0
    evaporation = uniform(10, 60) * lag
    mass = uniform(0.4, 0.8) * 0.997
    capacity = mass * 4184.0 + 115.0
    drift = uniform(0.05, 0.5) / 60.0 * (generator.random(count) >= 0.2)
    neck = uniform(0.03, 0.10) if "cold neck" in parts else const(0.0)
    slow = "slow vapour" in parts
    return StudyBench(
        room=uniform(292.0, 297.0),
        room_pressure=uniform(95e3, 103e3),
        volume=uniform(110e-6, 160e-6),
        neck_fraction=neck,
        neck_cooling=const(0.5),
        neck_time=const(60.0),
        tube=const(2e-6 if "cold neck" in parts else 0.3e-6),
        tube_time=const(900.0),
        stagnant_fraction=uniform(0.10, 0.25) if slow else const(0.0),
        stagnant_time=uniform(120, 240) if slow else const(180.0),
        glass=const(60.0),
        outer_time=uniform(3, 6) * lag + (uniform(15, 30) if "wall lag" in parts else 0.0),
        inner_time=uniform(2, 5) * lag,
        liquid_time=uniform(20, 60) * lag,
        gas_time=uniform(20, 60) * lag,
        evaporation_time=evaporation,
        condensation_time=evaporation * uniform(0.4, 0.8),
        film=const(0.4),
        gas_heat=const(0.17),
        bath_mass=mass,
        vessel=const(115.0),
        loss=drift * capacity / 12.0,
        mixing=uniform(5, 20),
        probe_time=uniform(3, 10) * lag,
        gauge_time=uniform(0.2, 1.0),
        leak_rate=1.0 / (3600.0 * np.exp(uniform(0.0, np.log(10.0)))) if "leak" in parts else const(0.0),
        air_solubility=np.maximum(1.0 + SOLUBILITY_SPREAD * generator.normal(size=count), 0.1),
        dissolved_air=np.maximum(1.0 + DISSOLVED_SPREAD * generator.normal(size=count), 0.0),
        air_solution_time=const(400.0) * lag,
    )


def draw_noise(count: int, generator: np.random.Generator, kind: str) -> StudyNoise:
    """Sensors of `count` runs, noise as it is in means of one second."""
    wandering = "wandering" in parts_of(kind)
    normal = generator.normal
    return StudyNoise(
        temperature_offset=normal(0.0, 0.1, count),
        temperature_gain=normal(0.0, 0.001, count),
        pressure_offset=normal(0.0, 1000.0, count),
        pressure_gain=normal(0.0, 0.005, count),
        temperature_white=generator.uniform(0.003, 0.015, count),
        pressure_white=generator.uniform(5.0, 40.0, count),
        temperature_wander=np.full(count, 0.03 if wandering else 0.004),
        pressure_wander=np.full(count, 50.0 if wandering else 6.0),
        temperature_wander_time=20.0,
        pressure_wander_time=60.0 if wandering else 20.0,
        temperature_step=0.01,
        pressure_step=10.0,
    )


def readings(
    value: Array, is_pressure: bool, noise: StudyNoise, centre: Array, generator: np.random.Generator
) -> Array:
    """Readings of noise-free values on a grid of one second, shape (N, n): errors, noise, steps."""
    if is_pressure:
        offset, gain, white = noise.pressure_offset, noise.pressure_gain, noise.pressure_white
        wander, memory, step = noise.pressure_wander, np.exp(-1.0 / noise.pressure_wander_time), noise.pressure_step
    else:
        offset, gain, white = noise.temperature_offset, noise.temperature_gain, noise.temperature_white
        wander, step = noise.temperature_wander, noise.temperature_step
        memory = np.exp(-1.0 / noise.temperature_wander_time)
    # One row per second while it is made, because a row is contiguous and a column is not.
    slow = generator.standard_normal(value.shape[::-1])
    kick = np.sqrt(1.0 - memory * memory)
    for second in range(1, len(slow)):
        slow[second] *= kick
        slow[second] += memory * slow[second - 1]
    slow *= wander
    shown = np.empty_like(value)
    for first in range(0, len(value), BLOCK):
        runs = slice(first, first + BLOCK)
        part = value[runs]
        flicker = generator.standard_normal(part.shape)
        flicker *= white[runs, None]
        flicker += slow.T[runs]
        error = part - centre[runs, None]
        error *= gain[runs, None]
        flicker += part + offset[runs, None] + error
        flicker /= step
        shown[runs] = np.round(flicker, out=flicker)
    shown *= step
    return shown
