"""The cell's half of what a judge knows: pressure, phase, noise, knocks, and the lag model."""

from __future__ import annotations

import math
from collections import deque

import numpy as np

from analysis.settling.bath_side import LEAST, NOISE_EVERY, SAME_STEP, BathSide
from analysis.settling.cell import Cell, Known
from analysis.settling.follower import CellCurve, Follower
from analysis.settling.hypotheses import LEAK, SEEP, SLOW
from analysis.settling.lag_filters import MOST_SECONDS
from analysis.settling.noise import NoiseTracker
from analysis.settling.pair_test import pair_test
from analysis.settling.records import PRESSURE, TEMPERATURE, Block
from analysis.settling.settings import SettlingSettings
from analysis.settling.trail import P_GOOD, T_GOOD, TIME, Trail
from analysis.settling.views import PressureView, view_by_model, view_by_pair
from analysis.settling.watch import KNOCK, KNOCK_MARGIN, Bath, PressureWatch

#: Short lines are straight enough for the noise so long after a change.  [s]
PRESSURE_CALM = 180.0
#: By so much a charge may have been marked late or early.  [s]
MARKED_LATE, MARKED_EARLY = 40, 90.0
#: The lag model learns nothing for so long after the charge: liquid and person are still at work.  [s]
CHARGE_REST = 8.0
#: ... and no knock is looked for so long: a charge's own ways are not told from one.  [s]
CHARGE_UNSURE = 45.0
#: A knock that the pressure has not come back from has left at least so much to die away.  [K-equivalents]
KNOCKED = 0.5
#: A pressure that is off its rough course by this share of what a knock takes is looked at once.
SUSPICIOUS = 0.7


class CellSide:
    """Pressure: phase of the cell, noise, knocks, and the lag model while there is a charge."""

    def __init__(
        self,
        trail: Trail,
        bath: BathSide,
        settings: SettlingSettings,
        known: Known,
    ) -> None:
        self._trail, self._bath, self._settings = trail, bath, settings
        self.cell = Cell(known)
        self.noise = NoiseTracker()
        self.watch = PressureWatch()
        self.follower: Follower | None = None
        self._last_two: deque[float] = deque(maxlen=2)
        # seconds that the lag model has still to follow: bath level, time, pressure, its noise variance, bath at rest
        self._queue: list[tuple[float, float, float, float, bool]] = []
        self._learned = 1.0  # dp/dT as the lag model has learned it, as a share of what was handed in or estimated
        self._limit = math.inf  # how far off its course a pressure may be  [K-equivalents]
        self._waiting_for_charge = self._fresh = False
        self._stepped = self._began = -math.inf
        self._clean_from = -math.inf  # no value window may reach back further

    @property
    def masked(self) -> bool:
        return self.watch.masked

    def _means(self, n: int = 20, ago: int = 0) -> tuple[float, float]:
        """Mean temperature and pressure of the n blocks that ended `ago` blocks back.  [K, Pa]"""
        recent = self._trail.last(n + ago)[:, :n]

        def mean(row: int) -> float:
            good = recent[row][np.isfinite(recent[row])]
            return float(good.mean()) if len(good) else math.nan

        return mean(T_GOOD), mean(P_GOOD)

    def beta(self) -> float:
        """dp/dT of the total pressure, with what the lag model has learned of it so far.  [Pa/K]"""
        return self.cell.beta(*self._means()) * (self._learned if self.follower is not None else 1.0)

    def since(self, time: float) -> int:
        """Seconds since the last change of phase or bath."""
        step = self._bath.step
        start = max(self.cell.since, step if math.isfinite(step) else -math.inf)
        return min(len(self._trail), round(time - start)) if start > -math.inf else len(self._trail)

    def set_known(self, known: Known) -> None:
        self.catch_up()
        self.cell.set_known(known)
        if self.follower is not None:
            self._rebuild()

    def enter(self, phase: str, time: float) -> None:
        self.catch_up()
        if phase == "charged":
            # A charge is often marked late: the dry cell is looked up well before.
            long_dry = self.cell.phase != "charged" and self.since(time) > MARKED_LATE + 25
            self.cell.remember_air(*self._means(ago=MARKED_LATE if long_dry else 0))
        self.cell.enter(phase, time)
        self.follower, self._learned = None, 1.0
        self._waiting_for_charge = self._fresh = phase == "charged"
        self.watch.rest(time + (CHARGE_UNSURE if phase == "charged" else 20.0))

    def restart(self, time: float) -> None:
        """After a long silence: what is known of the cell as such is kept, its state is not."""
        self.catch_up()
        if self.follower is not None:
            self.follower = None
            self._waiting_for_charge, self._fresh = True, False
        self.cell.since = time

    def begin_step(self, time: float) -> None:
        self.catch_up()
        if not self.masked:  # a step does not end a knock
            self.watch.rest(time + 20.0)
        if self.noise.recorded:
            self.noise.forget_recent()
        if self.follower is not None and time - self._stepped > SAME_STEP:
            self.follower.model.new_step()
        self._stepped = time

    def knocked(self) -> None:
        self.catch_up()
        if self.follower is not None:
            self.follower.model.knock(0.3)

    def _curve(self) -> CellCurve | None:
        """What the lag model is built on: beta from the liquid, or from the pressure that the charge gained."""
        temperature, pressure = self._means()
        if not (math.isfinite(temperature) and math.isfinite(pressure)):
            return None
        air = self.cell.air_slope(temperature, pressure)
        if self.cell.beta_known:
            return CellCurve(lambda t: self.cell.beta(t, pressure), air, cooling=self.cell.cooling)
        return self.cell.estimated_curve(temperature, pressure)

    def _start(self, block: Block) -> None:
        """Start the lag model on a fresh charge."""
        if block.time < self.cell.since:
            return
        both = {TEMPERATURE, PRESSURE} <= set(self._settings.channels)
        if (
            not both
            or not math.isfinite(self._bath.level)
            or not self.cell.ready_for_model(block.time, self._bath.step)
        ):
            return
        curve = self._curve()
        temperature, pressure = self._means(3)
        if curve is None or not math.isfinite(temperature + pressure) or not curve.beta(temperature) > 0.0:
            return
        if self._fresh and self.cell.beta_known:
            begun = self.cell.fill_begun(temperature, pressure, curve.beta(temperature))
            if not begun and block.time < self.cell.since + MARKED_EARLY:
                return
            missing = self.cell.fill_size(temperature, pressure, curve.beta(temperature))
            self.follower = Follower(curve, temperature, pressure, missing=missing)
        else:  # the vapour is there already, only not quite settled
            self.follower = Follower(curve, temperature, pressure)
            self.follower.model.knock(1.0)
        self._waiting_for_charge = False
        self._began = block.time

    def _rebuild(self) -> None:
        """Make the lag model again from the blocks since the charge that are still remembered."""
        n = int(min(self._trail.last(1)[TIME, 0] - self.cell.since, len(self._trail)))
        rows = self._trail.last(max(n, 1)).copy()
        curve = self._curve()
        start = self._means(len(rows[0]))[0] if curve else math.nan
        good = np.flatnonzero(np.isfinite(rows[T_GOOD]) & np.isfinite(rows[P_GOOD]))
        if curve is None or len(good) == 0 or not math.isfinite(start):
            return
        first = int(good[0])
        level = float(rows[T_GOOD, first])
        pressure = float(rows[P_GOOD, first])
        missing = self.cell.fill_size(level, pressure, curve.beta(level))
        follower = Follower(curve, level, pressure, missing=missing)
        self._limit = math.inf
        self.follower = follower
        for k in range(first, rows.shape[1]):
            level = float(rows[T_GOOD, k]) if math.isfinite(rows[T_GOOD, k]) else level
            if rows[TIME, k] - 1.0 < self._bath.step <= rows[TIME, k]:
                self._learn_again(follower)
                follower.model.new_step()
            noise = self._noise(follower) if math.isfinite(rows[P_GOOD, k]) else math.inf
            self._queue.append((level, rows[TIME, k], rows[P_GOOD, k], noise, True))
            if len(self._queue) == MOST_SECONDS:
                self._learn_again(follower)
        self._learn_again(follower)

    def _learn_again(self, follower: Follower) -> None:
        """Follow the queue without looking for knocks: those are taken out already."""
        if self._queue:
            levels, _, pressures, noise, _ = np.array(self._queue).T
            self._queue.clear()
            follower.advance(levels, pressures, noise)
            follower.learn(pressures, noise)

    def _noise(self, follower: Follower) -> float:
        """Noise variance of a pressure, infinite while unknown.  [Pa^2]"""
        noise = self.noise.long_run_variance
        return max(noise, (1e-4 * follower.scale) ** 2) if math.isfinite(noise) else math.inf

    def follow(self, block: Block) -> None:
        """One second on."""
        if self._bath.disturbed:
            self._clean_from = block.time + 1.0
        self.noise.sensor(block.quantum_pressure, block.n_pressure)
        if block.index % NOISE_EVERY == 0:
            since = self.since(block.time)
            if not self.noise.recorded or since > PRESSURE_CALM:
                recent = self._trail.last(20)
                self.noise.look(recent[TIME], recent[P_GOOD])
            if since > 60 and self.cell.phase != "charged" and self._bath.drift is not None:
                stretch = self._trail.last(min(since - 20, 120))
                self.noise.record(stretch[TIME], stretch[P_GOOD])
        if self._waiting_for_charge:
            self._start(block)
        follower, bath = self.follower, self._bath
        if follower is None:
            return
        if bath.began or bath.bridge is not None:
            self.catch_up(behind=1)
        if bath.began:
            follower.save()
        if bath.bridge is not None:
            follower.rewrite(bath.bridge[:-1])
        there = math.isfinite(block.pressure)
        at_rest = bath.watch.state in (Bath.QUIET, Bath.BRIDGED)
        noise = self._noise(follower) if there else math.inf
        self._queue.append((bath.level, block.time, block.pressure, noise, at_rest))
        # A knock is noticed at once; everything else has a few seconds' time.
        if len(self._queue) == MOST_SECONDS or (
            there and follower.off(block.pressure, len(self._queue)) > SUSPICIOUS * self._limit
        ):
            self.catch_up()

    def catch_up(self, behind: int = 0) -> None:
        """Let the lag model follow all seconds up to the one so many before the last of the trail."""
        follower, queue = self.follower, self._queue
        if follower is None or not queue:
            queue.clear()
            return
        levels, times, pressures, noise, at_rest = np.array(queue).T
        n = len(queue)
        queue.clear()
        misses, sds, transients = follower.advance(levels, pressures, noise)
        good = self._trail.last(n + behind)[P_GOOD]
        gave_up, departure = False, 0.0
        for k, (time, miss, sd, left) in enumerate(
            zip(times.tolist(), misses.tolist(), sds.tolist(), transients.tolist(), strict=True)
        ):
            if self.masked:
                self._clean_from = time + 1.0
            if not math.isfinite(noise[k]):
                continue
            self._last_two.append(miss)
            departure = sum(self._last_two) / len(self._last_two)
            self._limit = KNOCK_MARGIN + KNOCK * sd + 0.04 * left
            if self.watch.look(time, departure, self._limit):
                good[k] = math.nan
                noise[k] = math.inf
            elif not (at_rest[k] and time > self._began + CHARGE_REST):
                noise[k] = math.inf
            gave_up = gave_up or self.watch.gave_up
        if gave_up:
            follower.model.knock(max(KNOCKED, abs(departure)), lasting=abs(departure))
        follower.learn(pressures, noise)

    def view(self, time: float, tolerance: float) -> PressureView | None:
        """The pressure as the lag model sees it, or else the pair test."""
        settings, bath = self._settings, self._bath
        if PRESSURE not in settings.channels:
            return None
        since = self.since(time)
        longest = int(min(since - 20, time - self._clean_from - 1.0))
        if self.follower is not None and bath.drift is not None and self.noise.known:
            found = self.follower.ask(bath.level, bath.drift, tolerance)
            if found is None:
                return None
            self._learned = found.relative_slope * self.follower.scale / self.cell.beta(*self._means())
            return view_by_model(found, settings, tolerance, self.follower.scale, self.noise, bath.noise, longest)
        beta = self.beta()
        n = int(min(settings.pair_window, since - 5))
        if n < LEAST or not math.isfinite(beta):
            return None
        window = self._trail.last(n)
        z = window[P_GOOD] / beta
        quantum = self.noise.quantum / beta
        if self.cell.phase != "open" and TEMPERATURE in settings.channels:
            z = z - window[T_GOOD]
            quantum = math.hypot(quantum, bath.noise.quantum)
        verdict = pair_test(window[TIME], z, tolerance=tolerance, quantum=quantum)
        if verdict is None:
            return None
        return view_by_pair(verdict, settings, tolerance, beta, bath.drift, self.cell.phase, longest)

    def off_course(self) -> tuple[float, float]:
        """How far the pressure is off the course that the temperature explains, and its sd.  [K-equivalents]"""
        return self.follower.model.wander() if self.follower else (0.0, 0.0)

    def slow_tail(self) -> float:
        """Probability of a slow mode, pooled over the charge."""
        return self.follower.model.family_weight(SLOW) if self.follower else math.nan

    def leak(self) -> tuple[float, float, float]:
        """(probability, rate, u) of a leak; rate in K-equivalents per second."""
        if self.follower is None:
            return 0.0, math.nan, math.nan
        model = self.follower.model
        weight = model.weights()
        mine = model.family(LEAK)
        total = float(weight[mine].sum())
        if not total > 1e-12:
            return 0.0, 0.0, 0.0
        share = weight[mine] / total
        each, own = model.theta[SEEP, mine], model.cov[SEEP, SEEP, mine]
        mean = float(share @ each)
        return total, mean, math.sqrt(float(share @ (own + (each - mean) ** 2)))
