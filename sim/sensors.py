"""Probe and pressure sensor: lag, calibration error, slow and fast noise, resolution; knows nothing of the bench."""

from __future__ import annotations

import math

from sim.noise import Normals
from sim.parameters import SensorParameters


class Sensor:
    """One sensor that follows its surroundings and is read at line times.

    Parameters
    ----------
    parameters
        In the unit of the reading (K or Pa).
    noise
        Its own stream of deviates.
    start
        What it shows at first.
    step
        Interval of `follow`.  [s]
    period
        Interval of `read`, for the slow noise.  [s]
    """

    def __init__(
        self, parameters: SensorParameters, noise: Normals, start: float, *, step: float, period: float
    ) -> None:
        self.parameters = parameters
        self.value = start  # lagged, without error
        self.input = start
        self.in_air = False
        self.room_warmer = 0.0  # K since the start
        self.stuck = False
        self._last = start
        self._noise = noise
        self._step, self._period = step, period
        self._set_lag()
        memory = math.exp(-period / parameters.wander_time)
        self._memory, self._kick = memory, parameters.wander * math.sqrt(1.0 - memory * memory)
        self._wander = parameters.wander * noise.normal()

    def _set_lag(self) -> None:
        # Exact answer of a first-order lag to an input that runs straight during the step.
        ratio = self._step / self.parameters.lag
        self._decay = math.exp(-ratio)
        self._ramp = (1.0 - self._decay) / ratio

    def follow(self, surroundings: float) -> float:
        """Let one step pass in which the surroundings move straight to this value; returns the lagged value."""
        decay, ramp = self._decay, self._ramp
        self.value = decay * self.value + (ramp - decay) * self.input + (1.0 - ramp) * surroundings
        self.input = surroundings
        return self.value

    def start_at(self, value: float) -> None:
        """Be in equilibrium with surroundings of this value."""
        self.value = self.input = value

    def indicated(self, lagged: float, since_power_on: float) -> float:
        """What the sensor would show of a lagged value without noise and with endless digits."""
        p = self.parameters
        value = lagged + p.offset + p.gain * (lagged - p.centre) + p.drift * since_power_on
        value += p.room_effect * self.room_warmer
        if p.bow:
            low, high = p.span
            place = (lagged - low) / (high - low)
            value += p.bow * 4.0 * place * (1.0 - place)
        if p.warm_up:
            value += p.warm_up * math.exp(-since_power_on / p.warm_up_time)
        if p.self_heating:
            # Still air carries heat away about five times worse than water (guessed; order of magnitude).
            value += 5.0 * p.self_heating if self.in_air else p.self_heating
        return value

    def read(self, lagged: float, since_power_on: float) -> float:
        """The reading that is sent for a lagged value: calibration error, noise, resolution."""
        p = self.parameters
        self._wander = self._memory * self._wander + self._kick * self._noise.normal()
        value = self.indicated(lagged, since_power_on) + self._wander + p.noise * self._noise.normal()
        if p.resolution:
            value = math.floor((value - p.zero) / p.resolution + 0.5) * p.resolution + p.zero
        if self.stuck:
            return self._last
        self._last = value
        return value


class ProbePlace:
    """Where the probe is: in the water, next to the inflow, or in air."""

    def __init__(self, layering: float) -> None:
        self._layering = layering  # K per 10 K above the room
        self.in_air = False
        self.inflow_factor = 0.0

    def temperature(self, bath: float, unmixed: float, room: float) -> float:
        """What surrounds the probe.  `unmixed` is poured heat not yet mixed, as K of the whole bath.  [K]"""
        if self.in_air:
            return room
        return bath + 0.1 * self._layering * (bath - room) + self.inflow_factor * unmixed
