"""Readings of a bench by formula, for tests of what a run makes of them; knows nothing of sim or analysis.

n-Heptane by its own short form, ln(p/Pa) = 23.336 - 4346/T: a fit of one line through 4.7222 kPa at 293.15 K and
12.3264 kPa at 313.15 K (CoolProp 8.0.0, reference equation of state), good to 0.3 % between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from drivers.readings import PRESSURE, TEMPERATURE, Readings

RATE = 5.0  # readings per second
START = 294.65  # [K]
ROOM_PRESSURE = 100.9e3  # [Pa]
APPROACH = 15.0  # [s] of the bath after hot water


def vapour_pressure(temperature: float) -> float:
    b = math.log(12326.4 / 4722.2) / (1 / 293.15 - 1 / 313.15)
    return 4722.2 * math.exp(b * (1 / 293.15 - 1 / temperature))


class FormulaBench:
    """A bench whose bath goes to a target with one time constant, and whose cell follows at once."""

    def __init__(self, seed: int = 1) -> None:
        self.time = 0.0
        self._from = self._target = START
        self._since = 0.0
        self.shut = self.charged = False
        self._rng = np.random.default_rng(seed)

    def warm_to(self, target: float) -> None:
        self._from, self._target, self._since = self.temperature(self.time), target, self.time

    def temperature(self, time: float) -> float:
        return self._target + (self._from - self._target) * math.exp(-(time - self._since) / APPROACH)

    def pressure(self, time: float) -> float:
        t = self.temperature(time)
        if not self.shut:
            return ROOM_PRESSURE
        return ROOM_PRESSURE * t / START + (vapour_pressure(t) if self.charged else 0.0)

    def readings(self, seconds: float) -> list[Readings]:
        """Both channels for the next seconds, with white noise of 5 mK and 8 Pa."""
        times = self.time + np.arange(round(seconds * RATE)) / RATE
        self.time += seconds
        blocks = []
        for channel, value, noise in ((TEMPERATURE, self.temperature, 0.005), (PRESSURE, self.pressure, 8.0)):
            values = np.array([value(t) for t in times]) + self._rng.normal(0.0, noise, len(times))
            blocks.append(Readings(channel, times, values, values, np.zeros(len(times), np.uint8)))
        return blocks


def feed_until(run, bench: FormulaBench, done: Callable[[], bool], limit: float = 1200.0) -> None:
    """Feed a run second by second until something holds; fail after `limit` seconds."""
    end = bench.time + limit
    while not done():
        assert bench.time < end, f"not reached within {limit:g} s; stage {run.stage!r}"
        feed(run, bench)


def feed(run, bench: FormulaBench, seconds: float = 1.0) -> None:
    """Feed a run with both channels of the next seconds."""
    for block in bench.readings(seconds):
        run.feed(block)
    run.proceed()
