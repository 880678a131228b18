"""The joint lag model: the pressure predicted from the measured temperature, by a bank of Kalman filters.

Pressure and temperature are in kelvin above a reference, the pressure divided by beta there.  For every hypothesis
(one pair of time constants for liquid and evaporation, see `hypotheses`) the pressure is linear in

- an offset and the gain of the vapour path (beta is known to 15 % or so),
- small shifts of the logarithms of the two time constants inside their cell,
- three coefficients for the way the gas follows the probe,
- the share of the vapour that relaxes within minutes (slow family), a leak (leak family),
- transients of unknown size that die away with the time constants (after the charge or a knock),
- a wandering part for what the model and the sensors miss, larger while the transient is large,

so each hypothesis is an exact linear-Gaussian filter, and the posterior is their mixture: a grid for what is not
linear, no grid where it would only cost accuracy.  Noise is white per block with the variance handed in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.settling.hypotheses import (
    EVAPORATION,
    FILL,
    FRACTION,
    GAIN,
    GAS_1,
    GAS_3,
    LEAK,
    LIQUID,
    OFFSET,
    SEEP,
    SLOW,
    SLOWNESS,
    STATES,
    TAIL,
    WANDER,
    WARM,
    Grid,
)
from analysis.settling.lag_filters import Curve, LagFilters
from analysis.settling.trail import Array

GAS = slice(GAS_1, GAS_3 + 1)
#: Blocks of regressors kept for means over a window.
RING = 96
#: Readings of at most so many seconds are digested together.
MOST_SECONDS = 5


@dataclass(frozen=True)
class LagPrior:
    """Prior standard deviations of the filter states, and how they grow.

    All tuned on simulated flasks (seeds apart from those that the benchmark reports on).
    """

    gain: float = 0.2
    offset: float = 0.3  # [K]
    wander: float = 0.02  # sd of what sensors and model wander by  [K]
    wander_time: float = 60.0  # [s]
    model: float = 0.03  # share of the transient that the model may miss
    fraction: float = 0.12  # slow share of the vapour: mean and sd
    slowness: float = 0.25  # sd of the logarithm of its time constant around the hypotheses
    seep: float = 0.5 / 60.0  # leak  [K/s]
    fill: float = 0.25  # how wrong the expected build-up of vapour may be, as a share
    chill: float = 3.0  # liquid comes in at another temperature and chills itself  [K]
    step_lag: float = 0.07  # lags change from step to step by this share
    step_fraction: float = 0.01
    step_gain: float = 0.02
    step_offset: float = 0.03  # [K]
    step_rest: float = 0.01  # transient left over from before the step  [K]
    step_mix: float = 0.10  # share of the prior that is mixed into the weights at a step
    outlier: float = 3.0  # innovations beyond this many sd count for less


class LagModel:
    """Bank of filters; one `advance` and at most one `collect` per second, a `digest` every few seconds.

    The readings of a few seconds are digested together: their weighted mean is predicted by the mean of the regressors,
    exactly but for what the wandering part does within these seconds.  `theta` is always of now, `cov` and the weights
    are of the last `digest`.

    Guarantees: constant work and memory per block; no clock, no randomness.
    """

    def __init__(self, grid: Grid, prior: LagPrior | None = None) -> None:
        self.grid = grid
        self.prior = prior or LagPrior()
        g, p = grid, self.prior
        size = len(g.liquid)
        slow = g.family == SLOW
        variance = np.zeros((size, STATES))
        variance[:, OFFSET] = p.offset**2
        variance[:, GAIN] = p.gain**2
        variance[:, LIQUID], variance[:, EVAPORATION] = g.sd_liquid**2, g.sd_evaporation**2
        variance[:, FRACTION] = np.where(slow, p.fraction**2, 0.0)
        variance[:, SLOWNESS] = np.where(slow, (p.fraction * p.slowness) ** 2, 0.0)
        variance[:, SEEP] = np.where(g.family == LEAK, p.seep**2, 0.0)
        variance[:, WANDER] = p.wander**2
        self.cov = np.zeros((size, STATES, STATES))
        self.cov[:, np.arange(STATES), np.arange(STATES)] = variance
        self.cov[:, GAS, GAS] = g.gas_cov
        self.theta = np.zeros((size, STATES))
        self.theta[:, GAIN] = 1.0
        self.theta[:, GAS] = g.gas_mean
        self.theta[:, FRACTION] = np.where(slow, p.fraction, 0.0)
        self.log_weight = g.log_prior.copy()
        self._weights: Array | None = None
        self._decay = np.ones((size, STATES))
        self._decay[:, FILL] = np.exp(-1.0 / g.evaporation)
        self._decay[:, WARM] = np.exp(-1.0 / g.liquid)
        self._decay[:, TAIL] = np.exp(-1.0 / g.slow)
        self._decay[:, WANDER] = math.exp(-1.0 / p.wander_time)
        decay_pairs = self._decay[:, :, None] * self._decay[:, None, :]
        self._decay_pairs = [decay_pairs**k for k in range(MOST_SECONDS + 1)]
        self._older = 1.0 / self._decay
        self._elapsed = 0  # seconds since `cov` was last brought up
        self._new_wander = 0.0  # what the variance of the wandering part has gained since
        self._row = np.zeros((size, STATES))  # weighted sum of regressors for the states of now
        self._reading = self._weight_sum = 0.0
        self._own = 1.0  # variance of the prediction by the states of one hypothesis, as a mean over all
        self._families = {
            int(k): slice(int(np.argmax(g.family == k)), int(np.argmax(g.family == k) + (g.family == k).sum()))
            for k in np.unique(g.family)
        }
        self._leaks = self._families.get(LEAK)
        self._work = np.empty((size, STATES, STATES))
        self._regressors = np.zeros((size, STATES))
        self._regressors[:, [OFFSET, FILL, WARM, TAIL, WANDER]] = 1.0
        self._sum = np.zeros((size, STATES))
        self._ring = np.zeros((RING, size, STATES))
        self.count = 0
        self.level = 0.0
        self.transient = 0.0
        self.filters = LagFilters(grid)
        self.air = 0.4
        self.curve: Curve = (np.array([-99.0, 99.0]), np.array([-99.0, 99.0]), np.ones(2))

    def set_cell(self, air: float, curve: Curve) -> None:
        """Share of the air in beta, and the saturation curve (knots, values, slopes) in reference units."""
        self.air, self.curve = air, curve

    def start(self, level: float, pressure: float, missing: float = 0.0) -> None:
        """Begin at this temperature and pressure [K]; after a charge about so much vapour [K] is still missing."""
        self.digest()
        p = self.prior
        here = float(np.interp(level, self.curve[0], self.curve[1]))
        self.filters.settle_at(level, here, missing)
        self.level = level
        self.theta[:, OFFSET] = pressure - self.air * level - here + missing
        self.cov[:, OFFSET, OFFSET] += 1.0 + (p.fill * missing) ** 2
        if missing != 0.0:
            self.cov[:, FILL, FILL] += (p.fill * missing) ** 2
            self.cov[:, WARM, WARM] += p.chill**2
            self.cov[:, TAIL, TAIL] += np.where(self.grid.family == SLOW, (p.fill * p.fraction * missing) ** 2, 0.0)

    def knock(self, size: float) -> None:
        """The cell was disturbed: transients of this size [K] may have begun."""
        self.digest()
        self.cov[:, FILL, FILL] += size**2
        self.cov[:, WANDER, WANDER] += (0.3 * size) ** 2

    def new_step(self) -> None:
        """A step began: lags may differ a little from those of the last step; evidence per family is kept."""
        self.digest()
        g, p = self.grid, self.prior
        for k in (LIQUID, EVAPORATION):
            self.cov[:, k, k] += p.step_lag**2
        self.cov[:, GAS, GAS] += (p.step_lag / 0.7) ** 2 * g.gas_cov
        self.cov[:, GAIN, GAIN] += p.step_gain**2
        self.cov[:, OFFSET, OFFSET] += p.step_offset**2
        self.cov[:, FRACTION, FRACTION] += np.where(g.family == SLOW, p.step_fraction**2, 0.0)
        self.cov[:, FILL, FILL] += p.step_rest**2
        weight = self.weights().copy()
        for family in np.unique(g.family):
            mine = g.family == family
            shape = np.exp(g.log_prior[mine])
            weight[mine] = (1.0 - p.step_mix) * weight[mine] + p.step_mix * weight[mine].sum() * shape / shape.sum()
        self.log_weight = np.log(np.maximum(weight, 1e-300))
        self._weights = None

    def weights(self) -> Array:
        """Posterior probability of every hypothesis, shape (H,)."""
        if self._weights is None:
            w = np.exp(self.log_weight - self.log_weight.max())
            self._weights = w / w.sum()
        return self._weights

    def family_weight(self, family: int) -> float:
        """Posterior probability of a family."""
        return float(self.weights()[self.family(family)].sum())

    def family(self, family: int) -> slice:
        """Where the hypotheses of a family stand."""
        return self._families.get(family, slice(0, 0))

    def wander(self) -> tuple[float, float]:
        """What the pressure is off its course at present, and the sd of that.  [K]"""
        w = self.weights()
        each = self.theta[:, WANDER]
        mean = float(w @ each)
        return mean, math.sqrt(max(float(w @ (self.cov[:, WANDER, WANDER] + (each - mean) ** 2)), 0.0))

    def advance(self, level: float) -> None:
        """One second on; the temperature is now `level` [K above the reference]."""
        f, p, h = self.filters, self.prior, self._regressors
        if self._elapsed == MOST_SECONDS:
            self.digest()
        f.advance(level, self.curve)
        self.level = level
        h[:, GAIN] = f.vapour
        h[:, LIQUID : EVAPORATION + 1] = f.vapour_by_logs.T
        h[:, GAS] = self.air * (f.gas - level)
        h[:, FRACTION] = f.slow - f.vapour
        h[:, SLOWNESS] = f.slow_by_log
        if self._leaks is not None:
            self.theta[self._leaks, OFFSET] += self.theta[self._leaks, SEEP]
        self.theta *= self._decay
        if self._weight_sum > 0.0:
            self._row *= self._older
            if self._leaks is not None:
                self._row[self._leaks, SEEP] -= self._weight_sum
        here = float(np.interp(level, self.curve[0], self.curve[1]))
        self.transient = float(self.weights() @ np.abs(here - f.vapour))
        self._elapsed += 1
        keep = math.exp(-2.0 / p.wander_time)
        gained = (2.0 / p.wander_time) * (p.wander**2 + (p.model * self.transient) ** 2)
        self._new_wander = keep * self._new_wander + gained
        # equilibrium at this temperature minus now, as coefficients of the states
        self._sum -= h
        self._sum[:, OFFSET] = self._sum[:, WANDER] = 0.0
        self._sum[:, GAIN] += here
        self.count += 1
        self._ring[self.count % RING] = self._sum

    def predict(self) -> tuple[float, float]:
        """Prediction of the pressure and its variance, pooled over the hypotheses."""
        each = np.einsum("ij,ij->i", self._regressors, self.theta)
        weight = self.weights()
        mean = float(weight @ each)
        each -= mean
        return mean + self.air * self.level, self._own + self._new_wander + float(weight @ (each * each))

    def collect(self, pressure: float, variance: float) -> None:
        """Take the pressure of this second [K] with its noise variance [K^2]; `digest` learns from it."""
        share = 1.0 / variance
        self._row += share * self._regressors
        self._reading += share * (pressure - self.air * self.level)
        self._weight_sum += share

    def observe(self, pressure: float, variance: float) -> None:
        """Learn from the pressure of this second [K] with its noise variance [K^2] at once."""
        self.collect(pressure, variance)
        self.digest()

    def digest(self) -> None:
        """Learn from what was collected; bring `cov` and the weights up to now."""
        cov = self.cov
        if self._elapsed:
            if self._leaks is not None:
                part, n = self._leaks, self._elapsed
                cov[part, OFFSET, :] += n * cov[part, SEEP, :]
                cov[part, :, OFFSET] += n * cov[part, :, SEEP]
            cov *= self._decay_pairs[self._elapsed]
            cov[:, WANDER, WANDER] += self._new_wander
            self._elapsed, self._new_wander = 0, 0.0
        if self._weight_sum == 0.0:
            return
        variance = 1.0 / self._weight_sum
        h = self._row
        h *= variance
        ph = np.matmul(cov, h[:, :, None])[:, :, 0]
        own = np.einsum("ij,ij->i", h, ph)
        miss = self._reading * variance - np.einsum("ij,ij->i", h, self.theta)
        self._reading = self._weight_sum = 0.0
        total = own + variance
        excess = miss * miss / total / self.prior.outlier**2
        total = np.where(excess > 1.0, own + variance * np.minimum(excess, 100.0), total)
        gain = ph / total[:, None]
        self.theta += gain * miss[:, None]
        cov -= np.multiply(gain[:, :, None], ph[:, None, :], out=self._work)
        self.log_weight -= 0.5 * (np.log(total) + miss * miss / total)
        self.log_weight -= self.log_weight.max()
        self._weights = None
        self._own = float(self.weights() @ (own - own * own / total))
        h[:] = 0.0

    def gaps_over(self, lengths: Sequence[int], pick: NDArray[np.intp]) -> Array:
        """Means over the last blocks of the coefficients of (equilibrium - now), shape (lengths, picked, states).

        For the dying transients the coefficient tells how much larger they were earlier in the window.  Lengths that
        reach back further than the memory are left out (they must be in increasing order).
        """
        longest = min(self.count, RING - 1)
        n = np.array([length for length in lengths if length <= longest])
        past = self._ring[((self.count - n) % RING)[:, None], pick[None, :]]
        mean = (self._sum[pick] - past) / n[:, None, None]
        for k in (FILL, WARM, TAIL):
            up = 1.0 / self._decay[pick, k]
            mean[:, :, k] = -(up ** n[:, None] - 1.0) / (up - 1.0) / n[:, None]
        return mean
