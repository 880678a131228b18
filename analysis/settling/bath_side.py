"""The bath's half of what a judge knows: temperature, steps, lifted probes, drift, noise."""

from __future__ import annotations

import math
from collections import deque

import numpy as np

from analysis.settling.drift import Drift, fit_drift
from analysis.settling.noise import NoiseTracker
from analysis.settling.records import Block
from analysis.settling.trail import T_GOOD, TIME, Trail
from analysis.settling.watch import EVENT, EVENT_MARGIN, Bath, TemperatureWatch

#: Fewer seconds than this since the last change, and nothing is said about drift.
LEAST = 20
#: Short lines are straight enough for the noise so long after a change.  [s]
BATH_CALM = 110.0
#: Changes of the bath within this are parts of one step: a hint and the step found, two doses of one jug.  [s]
SAME_STEP = 60.0
#: Departures are looked for from a drift that is a little older than this, lest they bend it.  [s]
BASIS_AGE = 3.5
#: A short line for the noise is taken this often.  [s]
NOISE_EVERY = 10


class BathSide:
    """Temperature: steps found, lifted probes bridged, drift and transient fitted, noise followed."""

    def __init__(self, trail: Trail) -> None:
        self._trail = trail
        self.noise = NoiseTracker()
        self.watch = TemperatureWatch()
        self.drift: Drift | None = None
        self.step = math.nan
        self.told = False  # whether somebody said that bath or cell were changed
        self._since = -math.inf
        self._earlier: deque[tuple[float, Drift]] = deque(maxlen=6)
        self._frozen: tuple[float, Drift] | None = None
        self._last_two: deque[float] = deque(maxlen=2)
        self.level = math.nan  # what the cell is taken to feel  [K]
        self.bridge: list[float] | None = None  # temperatures to put in place of a lifted probe's
        self.began = False

    @property
    def bridging(self) -> bool:
        return self.watch.state is Bath.BRIDGED

    @property
    def disturbed(self) -> bool:
        return self.watch.state is not Bath.QUIET

    def enter(self, time: float) -> None:
        """A new phase of the cell: the bath goes on, but nothing before counts for its drift."""
        self._since, self.told = time, True

    def begin_step(self, time: float, told: bool = False) -> None:
        self.told = told or (self.told and time - self.step < SAME_STEP)
        self.step = time
        self._since = time
        if self.noise.recorded:
            self.noise.forget_recent()
        self.drift = None
        self._earlier.clear()

    def _extrapolate(self, at: tuple[float, Drift], time: float) -> float:
        when, drift = at
        ahead = time - when
        fade = -math.expm1(-ahead / drift.time_constant)
        return drift.value + drift.slope * ahead + drift.remaining * fade

    def look(self, block: Block) -> bool:
        """Take the temperature of a block; True when a step of the bath has just been recognised."""
        self.noise.sensor(block.quantum_temperature, block.n_temperature)
        self.bridge, self.began = None, False
        while len(self._earlier) > 1 and block.time - self._earlier[1][0] > BASIS_AGE:
            self._earlier.popleft()
        basis = self._frozen if self.watch.state is not Bath.QUIET else (self._earlier[0] if self._earlier else None)
        expected = self._extrapolate(basis, block.time) if basis else math.nan
        self._last_two.append(block.temperature - expected)
        departure = math.nan
        if len(self._last_two) == 2 and all(math.isfinite(x) for x in self._last_two):
            departure = sum(self._last_two) / 2.0
        limit = math.inf
        if basis is not None:
            drift = basis[1]
            sd = self.noise.sd if math.isfinite(self.noise.sd) else drift.sd
            ahead = block.time - basis[0]
            limit = (
                EVENT_MARGIN
                + EVENT * sd
                + block.quantum_temperature
                + 3.0 * math.hypot(drift.u_value, drift.u_slope * ahead)
                + 0.3 * abs(drift.remaining)
            )
        event = self.watch.look(block.time, departure, limit)
        if event is Bath.BEGIN:
            self._frozen, self.began = basis, True
        elif event is Bath.LIFTED and self._frozen is not None:
            n = max(round(block.time - self.watch.started), 1)
            self.bridge = [self._extrapolate(self._frozen, block.time - k) for k in range(n - 1, -1, -1)]
            past = self._trail.last(n - 1)
            past[T_GOOD] = np.nan
        elif event is Bath.STEP:
            self.begin_step(self.watch.started)
        if self.bridging or not math.isfinite(block.temperature):
            if math.isfinite(expected):
                self.level = expected
        else:
            self.level = block.temperature
        return event is Bath.STEP

    def fit(self, block: Block) -> None:
        """Fit the drift again, to the trail up to this block."""
        since = block.time - self._since
        if math.isfinite(self.step) and self.step >= self._since:
            n = int(min(max(round(0.6 * since), 12), 180))
        else:
            n = int(min(since, 120))
        n = min(n, len(self._trail))
        self.drift = None
        if since >= LEAST and n >= 12:
            floor = 0.5 * self.noise.sd if math.isfinite(self.noise.sd) else 0.0
            self.drift = fit_drift(self._trail.last(n)[T_GOOD], sd_floor=floor, quantum=block.quantum_temperature)
        if self.drift is not None and not self.disturbed:
            self._earlier.append((block.time, self.drift))

    def after(self, block: Block) -> None:
        """Follow the noise, with the block now in the trail."""
        since = block.time - self._since
        if block.index % NOISE_EVERY == 0:
            if not self.noise.recorded or since > BATH_CALM:
                recent = self._trail.last(20)
                self.noise.look(recent[TIME], recent[T_GOOD])
            if self.drift is not None and since > 80 and abs(self.drift.slope) < 0.01:
                stretch = self._trail.last(int(min(since - 30, 120)))
                self.noise.record(stretch[TIME], stretch[T_GOOD])
