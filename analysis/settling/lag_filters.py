"""First-order lags of every hypothesis, driven by the measured temperature; exact derivatives by time constant."""

from __future__ import annotations

import numpy as np

from analysis.settling.hypotheses import GAS_BASIS, Grid
from analysis.settling.trail import Array

#: Saturation curve: knots [K above the reference], values and slopes there, in reference units.
Curve = tuple[Array, Array, Array]


class LagFilters:
    """What gas, liquid and vapour would follow, for every hypothesis, one second at a time.

    All values are kelvin above the reference temperature, the vapour in kelvin-equivalents of the saturation curve
    (`curve`: temperature above reference -> the same, `slope`: its derivative, 1 at the reference).
    """

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        h = len(grid.liquid)
        self._keep_l, self._keep_g = np.exp(-1.0 / grid.liquid), np.exp(-1.0 / GAS_BASIS)
        # what follows the vapour that the liquid's temperature allows: with evaporation, and with the slow time
        self._keep_v = np.exp(-1.0 / np.stack([grid.evaporation, grid.slow]))
        self._per_l, self._per_v = 1.0 / grid.liquid, 1.0 / np.stack([grid.evaporation, grid.slow])
        #: rows: liquid, its derivative; vapour, slow vapour, vapour by liquid, vapour by evaporation, slow by its time
        self.state = np.zeros((7, h))
        self.gas = np.zeros(len(GAS_BASIS))
        self._last = 0.0
        self._last_curve = np.zeros(h)
        self._last_push = np.zeros(h)

    def settle_at(self, level: float, curve_level: float, missing: float = 0.0) -> None:
        """Start from rest at a temperature, with so much vapour still missing."""
        self.state[:] = 0.0
        self.state[0] = self.gas[:] = level
        self.state[2] = self.state[3] = curve_level - missing
        self._last = level
        self._last_curve = np.full(self.state.shape[1], curve_level)
        self._last_push = np.zeros(self.state.shape[1])

    def advance(self, level: float, curve: Curve) -> None:
        """One second on, with the temperature now at `level`; `curve` = (knots, values, slopes) of the vapour."""
        s, keep = self.state, self._keep_l
        u = 0.5 * (level + self._last)
        self._last = level
        warm = s[0] - u
        s[1] += warm * self._per_l
        s[1] *= keep
        warm *= keep
        np.add(warm, u, out=s[0])
        self.gas = u + self._keep_g * (self.gas - u)
        now = np.interp(s[0], curve[0], curve[1])
        push = np.interp(s[0], curve[0], curve[2])
        push *= s[1]
        mean, mean_push = 0.5 * (now + self._last_curve), 0.5 * (push + self._last_push)
        self._last_curve, self._last_push = now, push
        keep = self._keep_v
        lead = s[2:4] - mean
        s[5:7] += lead * self._per_v
        s[5:7] *= keep
        lead *= keep
        np.add(lead, mean, out=s[2:4])
        s[4] -= mean_push
        s[4] *= keep[0]
        s[4] += mean_push

    @property
    def liquid(self) -> Array:
        """Temperature of the liquid, shape (H,)."""
        return self.state[0]

    @property
    def liquid_by_log(self) -> Array:
        """Its derivative by the logarithm of its time constant."""
        return self.state[1]

    @property
    def vapour(self) -> Array:
        """Vapour that evaporation has built up, shape (H,)."""
        return self.state[2]

    @property
    def vapour_by_log_liquid(self) -> Array:
        """Its derivative by the logarithm of the liquid's time constant."""
        return self.state[4]

    @property
    def vapour_by_log_evaporation(self) -> Array:
        """Its derivative by the logarithm of the evaporation time constant."""
        return self.state[5]

    @property
    def vapour_by_logs(self) -> Array:
        """Both derivatives, shape (2, H)."""
        return self.state[4:6]

    @property
    def slow(self) -> Array:
        """Vapour that builds up with the slow time constant."""
        return self.state[3]

    @property
    def slow_by_log(self) -> Array:
        """Its derivative by the logarithm of the slow time constant."""
        return self.state[6]

    def copy_state(self) -> tuple[Array, Array, float, Array, Array]:
        """Everything that `restore` needs."""
        return self.state.copy(), self.gas.copy(), self._last, self._last_curve, self._last_push

    def restore(self, saved: tuple[Array, Array, float, Array, Array]) -> None:
        """Go back to a saved state."""
        self.state[:], self.gas = saved[0], saved[1].copy()
        self._last, self._last_curve, self._last_push = saved[2:]
