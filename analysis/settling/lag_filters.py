"""First-order lags of every hypothesis, driven by the measured temperature; exact derivatives by time constant."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from analysis.settling.coupling import poles
from analysis.settling.hypotheses import GAS_BASIS, Grid
from analysis.settling.trail import Array

#: Saturation curve: knots [K above the reference], values and slopes there, in reference units.
Curve = tuple[Array, Array, Array]
#: So many seconds are advanced together at most.
MOST_SECONDS = 8


@lru_cache(maxsize=64)
def _responses(taus: tuple[float, ...]) -> tuple[Array, ...]:
    """For 0, 1, ... `MOST_SECONDS` seconds: what a lag and its derivative by ln(tau) are after each of them.

    Each of shape (taus, 2 n, 2 + n): from [lag, derivative before, n mean inputs] to [n lags, n derivatives].
    """
    tau = np.array(taus)[:, None]
    keep = np.exp(-1.0 / tau)
    tables = [np.zeros((len(taus), 0, 2))]
    for n in range(1, MOST_SECONDS + 1):
        lag, by_log = np.zeros((len(taus), 2 + n)), np.zeros((len(taus), 2 + n))
        lag[:, 0] = by_log[:, 1] = 1.0
        rows = np.zeros((len(taus), 2 * n, 2 + n))
        for k in range(n):
            lag[:, 2 + k] -= 1.0  # how far the lag is off its input
            by_log = keep * (by_log + lag / tau)
            lag = keep * lag
            lag[:, 2 + k] += 1.0
            rows[:, k], rows[:, n + k] = lag, by_log
        tables.append(rows)
    return tuple(tables)


class LagFilters:
    """What gas, liquid and vapour would follow, for every hypothesis, a few seconds at a time.

    All values are kelvin above the reference temperature, the vapour in kelvin-equivalents of the saturation curve
    (`curve`: temperature above reference -> the same, `slope`: its derivative, 1 at the reference).  Liquid and
    evaporation act as two lags in a row (see `coupling`).  Hypotheses that share time constants share their lags:
    `course` holds each different lag once, and `pick` says which hypothesis has which.

    `course`, shape (seconds, places), holds for each second side by side

    - for each pair of liquid and evaporation the vapour and its derivatives by the logarithms of the two,
    - for each pair of liquid and slow time the slow vapour and its derivative by the logarithm of the slow time,
    - for each pair by how much more vapour would have condensed if that took no time, negative,
    - the gas for each basis lag, the saturation curve at the temperature, and the temperature itself.
    """

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        pairs, pair_of = np.unique(np.stack([grid.liquid, grid.evaporation]), axis=1, return_inverse=True)
        slows, slow_of = np.unique(np.stack([grid.liquid, grid.slow]), axis=1, return_inverse=True)
        self._pair_times, self._slow_times = pairs, slows
        n, m = self._pairs, self._slows = pairs.shape[1], slows.shape[1]
        self.pair_of, slow_of = pair_of.reshape(-1), slow_of.reshape(-1)
        self._keep_g = np.exp(-1.0 / GAS_BASIS)
        # rows: vapour of each pair, slow vapour of each slow pair, derivative by the first lag of each pair
        self._pushed = slice(n + m, None)
        self._condensing = slice(3 * n + 2 * m, 4 * n + 2 * m)
        gas = self._condensing.stop
        self.gas_at = slice(gas, gas + len(GAS_BASIS))
        self.here_at = gas + len(GAS_BASIS)
        self.level_at = self.here_at + 1
        self._places = self.here_at + 2
        # places of: vapour, by liquid, by evaporation, slow vapour, by slow time, what condenses
        self.pick = np.stack(
            [
                self.pair_of,
                self.pair_of + 2 * n + 2 * m,
                self.pair_of + n + m,
                slow_of + n,
                slow_of + 2 * n + m,
                self.pair_of + self._condensing.start,
            ]
        )
        self._liquid = np.zeros((n + m, 2))
        self._vapour = np.zeros((2 * n + m, 2))
        self._late = np.zeros((2 * n, 2))  # what condenses late, through either lag
        self._gas = np.zeros(len(GAS_BASIS))
        self._last = 0.0
        self._curve_before = np.zeros((2, n + m))  # saturation curve behind the first lag, and its push by ln(tau)
        self._gap_before = np.zeros(n)
        self.course = np.zeros((1, self._places))
        self.set_cooling(0.0)

    def set_cooling(self, cooling: float) -> None:
        """Let a kelvin-equivalent of vapour cool the liquid by so many kelvin."""
        self.cooling = cooling
        (liquid, evaporation), (liquid_of_slow, slow) = self._pair_times, self._slow_times
        self.poles = poles(liquid, evaporation, cooling)
        first, second = self.poles.first, self.poles.second
        self._gap_share = evaporation / second
        self._liquid_tables = _responses((*first.tolist(), *(liquid_of_slow * (1.0 + cooling)).tolist()))
        self._vapour_tables = _responses((*second.tolist(), *slow.tolist(), *second.tolist()))
        self._late_tables = _responses((*first.tolist(), *second.tolist()))

    def settle_at(self, level: float, curve_level: float, missing: float = 0.0) -> None:
        """Start from rest at a temperature, with so much vapour still missing."""
        self._liquid[:, 0], self._liquid[:, 1] = level, 0.0
        self._gas = np.full(len(GAS_BASIS), level)
        self._vapour[:] = self._late[:] = 0.0
        self._vapour[: self._pairs + self._slows, 0] = curve_level - missing
        self._last = level
        self._curve_before = np.zeros((2, len(self._liquid)))
        self._curve_before[0] = curve_level
        self._gap_before = np.zeros(self._pairs)
        here, now = np.array([curve_level]), np.array([level])
        late = np.zeros((self._pairs, 1))
        self.course = self._course(self._vapour[:, :1], self._vapour[:, 1:], late, self._gas[None], here, now)

    def advance(self, levels: Array, curve: Curve) -> None:
        """So many seconds on as there are temperatures; `curve` = (knots, values, slopes) of the vapour."""
        n = len(levels)
        mean = np.empty(n)
        mean[0] = 0.5 * (self._last + levels[0])
        mean[1:] = 0.5 * (levels[1:] + levels[:-1])
        self._last = float(levels[-1])
        gas = np.empty((n, len(self._gas)))
        now_gas = self._gas
        for k, u in enumerate(mean.tolist()):
            now_gas = gas[k] = u + self._keep_g * (now_gas - u)
        self._gas = now_gas
        out = self._through(self._liquid_tables[n], self._liquid, np.broadcast_to(mean, (len(self._liquid), n)))
        liquid = out[:, :n]
        both = np.empty((2, len(out), n + 1))
        both[:, :, 0] = self._curve_before
        both[0, :, 1:] = np.interp(liquid, curve[0], curve[1])
        both[1, :, 1:] = np.interp(liquid, curve[0], curve[2]) * out[:, n:]
        self._curve_before = both[:, :, -1]
        inputs = 0.5 * (both[:, :, 1:] + both[:, :, :-1])
        rows = np.concatenate([inputs[0], inputs[1, : self._pairs]])
        out = self._through(self._vapour_tables[n], self._vapour, rows)
        here = np.interp(levels, curve[0], curve[1])
        late = self._condensed(np.minimum(both[0, : self._pairs, 1:] - out[: self._pairs, :n], 0.0))
        self.course = self._course(out[:, :n], out[:, n:], late, gas, here, levels)

    def _condensed(self, gap: Array) -> Array:
        """By how much more vapour would have condensed if that took no time, shape (pairs, n)."""
        n = gap.shape[1]
        gap = gap * self._gap_share[:, None]
        seen = np.empty_like(gap)
        seen[:, 0] = 0.5 * (self._gap_before + gap[:, 0])
        seen[:, 1:] = 0.5 * (gap[:, 1:] + gap[:, :-1])
        self._gap_before = gap[:, -1]
        out = self._through(self._late_tables[n], self._late, np.concatenate([seen, seen]))[:, :n]
        first, second = self.poles.zero[:, :, None]
        return first * out[: self._pairs] + second * out[self._pairs :]

    @staticmethod
    def _through(table: Array, state: Array, inputs: Array) -> Array:
        """Lags and derivatives of all seconds, shape (rows, 2 n); `state` is advanced."""
        n = inputs.shape[1]
        out: Array = np.matmul(table, np.concatenate([state, inputs], axis=1)[:, :, None])[:, :, 0]
        state[:] = out[:, n - 1 :: n]
        return out

    def _course(self, lags: Array, by_log: Array, late: Array, gas: Array, here: Array, levels: Array) -> Array:
        course = np.empty((len(levels), self._places))
        n, m, p = self._pairs, self._slows, self.poles
        by_second, by_first = by_log[:n], lags[self._pushed]
        course[:, : n + m] = lags[: n + m].T
        course[:, n + m : 2 * n + m] = (
            p.by_evaporation[0][:, None] * by_first + p.by_evaporation[1][:, None] * by_second
        ).T
        course[:, 2 * n + m : 2 * (n + m)] = by_log[n : n + m].T
        course[:, 2 * (n + m) : self._condensing.start] = (
            p.by_liquid[0][:, None] * by_first + p.by_liquid[1][:, None] * by_second
        ).T
        course[:, self._condensing] = late.T
        course[:, self.gas_at] = gas
        course[:, self.here_at] = here
        course[:, self.level_at] = levels
        return course

    @property
    def first(self) -> Array:
        """Temperature behind the first of the two lags in a row, shape (H,)."""
        return self._liquid[self.pair_of, 0]

    @property
    def first_by_log(self) -> Array:
        """Its derivative by the logarithm of that lag's time constant."""
        return self._liquid[self.pair_of, 1]

    @property
    def gas(self) -> Array:
        """Gas behind each basis lag, shape (3,)."""
        return self._gas

    @property
    def vapour(self) -> Array:
        """Vapour that evaporation has built up, shape (H,)."""
        return self.course[-1, self.pick[0]]

    @property
    def vapour_by_log_liquid(self) -> Array:
        """Its derivative by the logarithm of the liquid's time constant."""
        return self.course[-1, self.pick[1]]

    @property
    def vapour_by_log_evaporation(self) -> Array:
        """Its derivative by the logarithm of the evaporation time constant."""
        return self.course[-1, self.pick[2]]

    @property
    def slow(self) -> Array:
        """Vapour that builds up with the slow time constant."""
        return self.course[-1, self.pick[3]]

    @property
    def condensing(self) -> Array:
        """By how much more vapour would have condensed if that took no time, shape (H,), negative."""
        return self.course[-1, self.pick[5]]

    def copy_state(self) -> tuple[Array, ...]:
        """Everything that `restore` needs."""
        return (
            self._liquid.copy(), self._vapour.copy(), self._late.copy(), self._gas, np.array(self._last),
            self._curve_before, self._gap_before,
        )  # fmt: skip

    def restore(self, saved: tuple[Array, ...]) -> None:
        """Go back to a saved state."""
        self._liquid, self._vapour, self._late = (part.copy() for part in saved[:3])
        self._gas, self._last, self._curve_before, self._gap_before = saved[3], float(saved[4]), *saved[5:]
