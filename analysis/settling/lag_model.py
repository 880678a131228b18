"""The joint lag model: the pressure predicted from the measured temperature, by a bank of Kalman filters.

Pressure and temperature are in kelvin above a reference, the pressure divided by beta there.  For every hypothesis
(one pair of time constants for liquid and evaporation, see `hypotheses` and `coupling`) the pressure is linear in

- an offset and the gain of what evaporates (beta is known to 15 % or so); what only expands keeps its own,
- small shifts of the logarithms of the two time constants inside their cell,
- how much less vapour lags where it condenses than where it evaporates: every wall takes it up,
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

import numpy as np
from numpy.typing import NDArray

from analysis.settling.hypotheses import (
    CONDENSING,
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
from analysis.settling.lag_filters import MOST_SECONDS, Curve, LagFilters
from analysis.settling.lag_prior import LagPrior
from analysis.settling.trail import Array

GAS = slice(GAS_1, GAS_3 + 1)
#: States that fade by themselves.
FADING = slice(FILL, WANDER + 1)
#: What wanders is not known better than from so many independent looks: old ones are forgotten.
MOST_LOOKS = 10.0
#: Blocks of regressors kept for means over a window.
RING = 96


class LagModel:
    """Bank of filters: the temperature of a few seconds into `advance`, then their pressures into `learn`.

    The readings of these seconds are learned together: their weighted mean is predicted by the mean of the regressors,
    exactly but for what the wandering part does within these seconds.  `theta`, shape (states, hypotheses), and `cov`,
    shape (states, states, hypotheses), are always of now: sums over the states of many small filters are quick this
    way round.

    Guarantees: constant work and memory per block; no clock, no randomness.
    """

    def __init__(self, grid: Grid, prior: LagPrior | None = None) -> None:
        self.grid = grid
        self.prior = prior or LagPrior()
        g, p = grid, self.prior
        size = len(g.liquid)
        slow = g.family == SLOW
        variance = np.zeros((STATES, size))
        variance[OFFSET] = p.offset**2
        variance[GAIN] = p.gain**2
        variance[LIQUID], variance[EVAPORATION] = g.sd_liquid**2, g.sd_evaporation**2
        variance[FRACTION] = np.where(slow, p.fraction**2, 0.0)
        variance[SLOWNESS] = np.where(slow, (p.fraction * p.slowness) ** 2, 0.0)
        variance[CONDENSING] = p.condensing[1] ** 2
        variance[SEEP] = np.where(g.family == LEAK, p.seep**2, 0.0)
        variance[WANDER] = p.wander**2
        self.cov = np.zeros((STATES, STATES, size))
        self.cov[np.arange(STATES), np.arange(STATES)] = variance
        self.cov[GAS, GAS] = g.gas_cov[:, :, None]
        self.theta = np.zeros((STATES, size))
        self.theta[GAIN] = 1.0
        self.theta[CONDENSING] = p.condensing[0]
        self.theta[GAS] = g.gas_mean[:, None]
        self.theta[FRACTION] = np.where(slow, p.fraction, 0.0)
        self.log_weight = g.log_prior.copy()
        self._weights: Array | None = None
        self._pair_weights: Array | None = None
        self._fade = np.ones((STATES, size))
        self._fade[TAIL] = np.exp(-1.0 / g.slow)
        self._fade[WANDER] = math.exp(-1.0 / p.wander_time)
        self._own = 1.0  # variance of the prediction by the states of one hypothesis, as a mean over all
        self._families = {
            int(k): slice(int(np.argmax(g.family == k)), int(np.argmax(g.family == k) + (g.family == k).sum()))
            for k in np.unique(g.family)
        }
        self._leaks = self._families.get(LEAK)
        self._work = np.empty((STATES, STATES, size))
        # what the states of the last second before contribute to the seconds since; the others are set by `advance`
        self._regressors = np.zeros((MOST_SECONDS, STATES, size))
        self._regressors[:, OFFSET] = 1.0
        if self._leaks is not None:
            self._regressors[:, SEEP, self._leaks] = np.arange(1.0, MOST_SECONDS + 1)[:, None]
        self._advanced = 0
        self._gas_part = np.zeros(1)
        self._kept_earlier: tuple[Sequence[int], Array] | None = None
        self.filters = LagFilters(grid)
        self.set_cooling(0.0)
        self._sum = np.zeros(self.filters.course.shape[1])
        self._ring = np.zeros((RING, len(self._sum)))
        self.count = 0
        #: What sensors and model wander by [K] and the share of the transient that the model misses, as variances.
        self.wander_variance, self.model_variance = p.wander**2, p.model**2
        # Variance that the wandering part should have: by what wanders always, with the transient, after a knock.
        self._expected = np.array([p.wander**2, 0.0, 0.0])
        self._seen = np.zeros(2)
        self._unlearned = 0  # seconds since the last reading
        self._charge = 0.0  # how much more variance the model may miss because of a charge just made
        self.level = 0.0
        self.transient = 0.0
        line = np.array([-99.0, 99.0])
        self.curve: Curve = (line, 0.6 * line, np.full(2, 0.6))
        self.gas_curve: Curve = (line, 0.4 * line, np.full(2, 0.4))

    def set_cell(self, curve: Curve, gas_curve: Curve) -> None:
        """Parts of the pressure, in reference units, that vapour adds when more of it evaporates and that warm gas
        adds by itself: knots, values and slopes over the temperature."""
        self.curve, self.gas_curve = curve, gas_curve

    def gas_slope(self) -> float:
        """Slope of the gas's part at the present temperature, in reference units."""
        return float(np.interp(self.level, self.gas_curve[0], self.gas_curve[2]))

    def _gas(self, levels: Array) -> Array:
        """The gas's part at these temperatures."""
        return np.interp(levels, self.gas_curve[0], self.gas_curve[1])

    def set_cooling(self, cooling: float) -> None:
        """Let a kelvin-equivalent of vapour cool the liquid by so many kelvin: more where the vapour grows steeper."""
        self.filters.set_cooling(cooling)
        pair_of, found = self.filters.pair_of, self.filters.poles
        self.first, self.second = found.first[pair_of], found.second[pair_of]
        self._fade[FILL], self._fade[WARM] = np.exp(-1.0 / self.second), np.exp(-1.0 / self.first)
        self._fades = [self._fade[FADING] ** k for k in range(MOST_SECONDS + 1)]
        self._regressors[:, FADING] = self._fades[1:]
        self._kept_earlier = None

    def start(self, level: float, pressure: float, missing: float = 0.0) -> None:
        """Begin at this temperature and pressure [K]; after a charge about so much vapour [K] is still missing."""
        p = self.prior
        here = float(np.interp(level, self.curve[0], self.curve[1]))
        self.filters.settle_at(level, here, missing)
        self.level = level
        self.theta[OFFSET] = pressure - float(self._gas(np.array(level))) - here + missing
        self.cov[OFFSET, OFFSET] += 1.0 + (p.fill * missing) ** 2
        if missing != 0.0:
            self._charge = p.charge**2
            self.cov[FILL, FILL] += (p.fill * missing) ** 2
            self.cov[WARM, WARM] += p.chill**2
            self.cov[TAIL, TAIL] += np.where(self.grid.family == SLOW, (p.fill * p.fraction * missing) ** 2, 0.0)

    def knock(self, size: float, lasting: float = 0.0) -> None:
        """The cell was disturbed: transients of this size [K] may have begun, and gas may have gone for good.

        `lasting` is how much of the pressure may be gone for good.  [K-equivalents]
        """
        self.cov[OFFSET, OFFSET] += lasting**2
        self.cov[FILL, FILL] += size**2
        self.cov[WARM, WARM] += size**2
        self.cov[WANDER, WANDER] += (0.3 * size) ** 2
        self._expected[2] += (0.3 * size) ** 2

    def new_step(self) -> None:
        """A step began: lags may differ a little from those of the last step; evidence per family is kept.

        But for leaks: a stopper that has sat tight so far may have been loosened with the step.
        """
        g, p = self.grid, self.prior
        for k in (LIQUID, EVAPORATION):
            self.cov[k, k] += p.step_lag**2
        self.cov[GAS, GAS] += ((p.step_lag / 0.7) ** 2 * g.gas_cov)[:, :, None]
        self.cov[GAIN, GAIN] += p.step_gain**2
        self.cov[OFFSET, OFFSET] += p.step_offset**2
        self.cov[FRACTION, FRACTION] += np.where(g.family == SLOW, p.step_fraction**2, 0.0)
        self.cov[FILL, FILL] += p.step_rest**2
        if self._leaks is not None:
            self.cov[SEEP, SEEP, self._leaks] += p.step_seep**2
        weight = self.weights().copy()
        for family, mine in self._families.items():
            own, shape = np.exp(self.log_weight[mine] - self.log_weight[mine].max()), np.exp(g.log_prior[mine])
            total = max(float(weight[mine].sum()), p.step_leak if family == LEAK else 0.0)
            weight[mine] = total * ((1.0 - p.step_mix) * own / own.sum() + p.step_mix * shape / shape.sum())
        self.log_weight = np.log(np.maximum(weight, 1e-300))
        self._weights = self._pair_weights = None

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
        each = self.theta[WANDER]
        mean = float(w @ each)
        return mean, math.sqrt(max(float(w @ (self.cov[WANDER, WANDER] + (each - mean) ** 2)), 0.0))

    def advance(self, levels: Array) -> tuple[Array, Array, Array]:
        """Some seconds on, `MOST_SECONDS` at most, with these temperatures [K above the reference], shape (n,).

        Returns
        -------
        Prediction of the pressure of every second and its variance, pooled over the hypotheses, and how much of the
        transient was left; shape (n,) each.
        """
        f, p, n = self.filters, self.prior, len(levels)
        f.advance(levels, self.curve)
        slope = float(np.interp(levels[-1], self.gas_curve[0], self.gas_curve[2]))
        course = f.course
        weight = self.weights()
        pair_weights = self._pair_weights
        if pair_weights is None:
            pair_weights = self._pair_weights = np.bincount(f.pair_of, weight).astype(float)
        pairs = len(pair_weights)
        transient = np.abs(course[:, f.here_at, None] - course[:, :pairs]) @ pair_weights
        h = self._regressors[:n]
        h[:, GAIN : CONDENSING + 1] = course.take(f.pick, axis=1)
        h[:, FRACTION] -= h[:, GAIN]
        h[:, GAS] = (slope * (course[:, f.gas_at] - levels[:, None]))[:, :, None]
        each = np.einsum("ksh,sh->kh", h, self.theta)
        mean = each @ weight
        each -= mean[:, None]
        spread = (each * each) @ weight
        keep, share, gained = math.exp(-2.0 / p.wander_time), 2.0 / p.wander_time, np.empty(n)
        always = missed = 0.0
        fading = math.exp(-2.0 / p.charge_time)
        for k, left in enumerate(transient.tolist()):
            always = keep * always + share * self.wander_variance
            missed = keep * missed + share * self.model_variance * left * left * (1.0 + self._charge)
            self._charge *= fading
            gained[k] = always + missed
        self._expected *= keep**n
        self._expected[:2] += always, missed
        self._age(n, always + missed)
        self._advanced, self._gas_part = n, self._gas(levels)
        self._unlearned = min(self._unlearned + n, MOST_SECONDS)
        self.level, self.transient = float(levels[-1]), float(transient[-1])
        # sums from which means over any window follow: what each lag is, second by second
        sums = np.cumsum(course, axis=0)
        sums += self._sum
        self._sum = sums[-1]
        self._ring[np.arange(self.count + 1, self.count + n + 1) % RING] = sums
        self.count += n
        return mean + self._gas_part, self._own + gained + spread, transient

    def _age(self, n: int, wander: float) -> None:
        """The states so many seconds later; the wandering part has gained this variance."""
        fade, cov, leaks = self._fades[n], self.cov, self._leaks
        if leaks is not None:
            self.theta[OFFSET, leaks] += n * self.theta[SEEP, leaks]
            cov[OFFSET, :, leaks] += n * cov[SEEP, :, leaks]
            cov[:, OFFSET, leaks] += n * cov[:, SEEP, leaks]
        self.theta[FADING] *= fade
        cov[FADING] *= fade[:, None]
        cov[:, FADING] *= fade
        cov[WANDER, WANDER] += wander

    def learn(self, pressures: Array, variances: Array) -> None:
        """Take the pressures [K] of the seconds just advanced, with their noise variances [K^2]; inf = no reading."""
        n = self._advanced
        share = 1.0 / variances
        total_share = float(share.sum())
        self._advanced = 0
        if total_share == 0.0 or n == 0:
            return
        share /= total_share
        variance = 1.0 / total_share
        used = np.where(share > 0.0, pressures - self._gas_part, 0.0)
        reading = float(share @ used)
        size = self.theta.shape[1]
        h: Array = (share @ self._regressors[:n].reshape(n, -1)).reshape(STATES, size)
        h[FADING] /= self._fades[n]  # for the states as they are now
        if self._leaks is not None:
            h[SEEP, self._leaks] -= n
        cov, work = self.cov, self._work
        np.multiply(cov, h, out=work)
        ph = work.sum(axis=1)
        own = (h * ph).sum(axis=0)
        miss = reading - (h * self.theta).sum(axis=0)
        total = own + variance
        square = miss * miss
        excess = square / total / self.prior.outlier**2
        total = np.where(excess > 1.0, own + variance * np.minimum(excess, 100.0), total)
        self.theta += ph * (miss / total)
        ph /= np.sqrt(total)
        cov -= np.multiply(ph[:, None], ph[None], out=work)
        self.log_weight -= 0.5 * (np.log(total) + square / total)
        self.log_weight -= self.log_weight.max()
        self._weights = self._pair_weights = None
        self._own = float(self.weights() @ (own - own * own / total))
        self._follow_wander(self._unlearned)
        self._unlearned = 0

    def wander_seen(self) -> float:
        """Sd of the wandering part, widened as Student's t is where it was seen for few of its own times.  [K]"""
        looks = min(max(float(self._seen[0]) / self.prior.wander_time, 1.5), MOST_LOOKS)
        return math.sqrt(self.wander_variance) * (1.0 + 1.0 / looks)

    def _follow_wander(self, n: int) -> None:
        """Compare the wandering part that is seen, its uncertainty included, with what was expected of it.

        One step of expectation maximisation, as slow as the memory: where the readings tell nothing the uncertainty
        is as large as the expectation, and nothing changes.
        """
        p = self.prior
        mean, sd = self.wander()
        total = float(self._expected.sum())
        more = (mean * mean + sd * sd) / total - 1.0
        seen = n * self._expected[:2] / total  # seconds that tell about either
        self._seen += seen
        (first, longest), (first_model, longest_model) = p.wander_memory, p.model_memory
        learned = min(more, 3.0) * seen
        learned[0] /= min(first + float(self._seen[0]), longest)
        learned[1] /= min(first_model + float(self._seen[1]), longest_model)
        low, high = p.wander_range
        self.wander_variance = min(max(self.wander_variance * (1.0 + learned[0]), low**2), high**2)
        low, high = p.model_range
        self.model_variance = min(max(self.model_variance * (1.0 + learned[1]), low**2), high**2)

    def observe(self, pressure: float, variance: float) -> None:
        """Learn from the pressure [K] of the one second just advanced, with its noise variance [K^2]."""
        self.learn(np.array([pressure]), np.array([variance]))

    def _earlier(self, lengths: Sequence[int]) -> Array:
        """Coefficients of the dying transients in `gaps_over`, shape (lengths, 3, hypotheses)."""
        kept = self._kept_earlier
        if kept is None or kept[0] is not lengths:
            up, n = 1.0 / self._fade[FILL : TAIL + 1], np.array(lengths)[:, None, None]
            kept = self._kept_earlier = lengths, -(up**n - 1.0) / ((up - 1.0) * n)
        return kept[1]

    def gaps_over(self, lengths: Sequence[int], pick: NDArray[np.intp]) -> Array:
        """Means over the last blocks of the coefficients of (equilibrium - now), shape (lengths, states, picked).

        For the dying transients the coefficient tells how much larger they were earlier in the window.  Lengths that
        reach back further than the memory are left out (they must be in increasing order).
        """
        f = self.filters
        longest = min(self.count, RING - 1)
        n = np.array([length for length in lengths if length <= longest])
        mean = np.zeros((len(n), STATES, len(pick)))
        if not len(n):
            return mean
        sums = (self._sum - self._ring[(self.count - n) % RING]) / n[:, None]
        mean[:, GAIN : CONDENSING + 1] = -sums[:, f.pick[:, pick]]
        mean[:, FRACTION] -= mean[:, GAIN]
        mean[:, GAIN] += sums[:, f.here_at, None]
        mean[:, GAS] = (self.gas_slope() * (sums[:, f.level_at, None] - sums[:, f.gas_at]))[:, :, None]
        mean[:, FILL : TAIL + 1] = self._earlier(lengths)[: len(n)].take(pick, axis=2)
        return mean
