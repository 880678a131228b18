"""The joint lag model: filters, batch against incremental, symmetry, and what it recovers."""

from __future__ import annotations

import copy
import math

import numpy as np
import pytest

from analysis.settling.drift import fit_drift
from analysis.settling.follower import CellCurve, Follower, cell_curves
from analysis.settling.hypotheses import (
    CONDENSING,
    EVAPORATION,
    FILL,
    FRACTION,
    GAIN,
    GAS_1,
    GAS_3,
    GAS_BASIS,
    LEAK,
    LIQUID,
    OFFSET,
    PLAIN,
    SEEP,
    SLOW,
    STATES,
    WANDER,
    gas_prior,
    make_grid,
)
from analysis.settling.lag_filters import LagFilters
from analysis.settling.lag_model import LagModel
from analysis.settling.lag_prior import LagPrior

from .settling_runs import AIR, beta, cell_blocks, equilibrium, stepped_bath

STRAIGHT = (np.array([-50.0, 50.0]), np.array([-50.0, 50.0]), np.array([1.0, 1.0]))
GAS = (STRAIGHT[0], 0.4 * STRAIGHT[1], 0.4 * STRAIGHT[2])


def _one(liquid: float = 40.0, evaporation: float = 25.0):
    """A grid whose first hypothesis is plain; the others have no weight in what is tested."""
    return make_grid(liquid=(liquid, 2 * liquid), evaporation=(evaporation, 2 * evaporation))


def test_a_lag_answers_a_step_with_the_exponential_of_its_time_constant():
    grid = _one()
    filters = LagFilters(grid)
    filters.settle_at(0.0, 0.0)
    for _ in range(25):
        filters.advance(np.ones(4), STRAIGHT)
    # the first second rises linearly from 0 to 1: a delay of half a second
    assert filters.first[0] == pytest.approx(1.0 - np.exp(-99.5 / 40.0), abs=2e-5)
    assert filters.gas == pytest.approx(1.0 - np.exp(-99.5 / GAS_BASIS), abs=1e-3)


@pytest.mark.parametrize("which", ["liquid", "evaporation"])
def test_derivatives_by_the_time_constants_are_those_of_finite_differences(which):
    rng = np.random.default_rng(4)
    course = np.cumsum(rng.normal(0.0, 0.1, 150))

    def vapour(shift: float) -> tuple[float, float]:
        scale = np.exp(shift)
        grid = _one(40.0 * (scale if which == "liquid" else 1.0), 25.0 * (scale if which == "evaporation" else 1.0))
        filters = LagFilters(grid)
        filters.settle_at(0.0, 0.0)
        for k in range(0, len(course), 8):
            filters.advance(course[k : k + 8], STRAIGHT)
        by = filters.vapour_by_log_liquid if which == "liquid" else filters.vapour_by_log_evaporation
        return float(filters.vapour[0]), float(by[0])

    numeric = (vapour(1e-4)[0] - vapour(-1e-4)[0]) / 2e-4
    assert vapour(0.0)[1] == pytest.approx(numeric, rel=1e-5)


@pytest.mark.parametrize("probe", [3.3, 9.9])
@pytest.mark.parametrize("lag", [8.0, 30.0, 80.0])
def test_ordinary_gas_lags_lie_within_the_prior_of_the_basis(lag, probe):
    mean, cov = gas_prior()
    t = np.arange(0.0, 400.0, 2.0)

    def response(tau):
        return 1.0 - (tau * np.exp(-t / tau) - 10.0 * np.exp(-t / 10.0)) / (tau - 10.0 + 1e-3)

    base = response(1e-3)
    x = np.stack([response(b) - base for b in GAS_BASIS], axis=1)
    y = probe / lag * base + (1.0 - probe / lag) * response(lag) - base
    best = np.linalg.solve(x.T @ x + 0.02 * np.eye(3), x.T @ y)
    assert np.abs(x @ best - y).max() < 0.05
    away = best - mean
    assert away @ np.linalg.solve(cov, away) < 16.0  # within 4 sd in every direction


def _batch(grid, prior, levels, pressures, variance):
    """Posterior of the first hypothesis by one dense generalised least squares over all blocks."""
    filters = LagFilters(grid)
    filters.settle_at(0.0, 0.0)
    n = len(levels)
    rows, transient = np.zeros((n, STATES)), np.zeros(n)
    for k, level in enumerate(levels):
        filters.advance(np.array([level]), STRAIGHT)
        rows[k, OFFSET] = 1.0
        rows[k, GAIN] = filters.vapour[0]
        rows[k, LIQUID] = filters.vapour_by_log_liquid[0]
        rows[k, EVAPORATION] = filters.vapour_by_log_evaporation[0]
        rows[k, GAS_1 : GAS_3 + 1] = 0.4 * (filters.gas - level)
        rows[k, FRACTION] = filters.slow[0] - filters.vapour[0]
        rows[k, CONDENSING] = filters.condensing[0]
        transient[k] = abs(level - filters.vapour[0])
    static = [OFFSET, GAIN, LIQUID, EVAPORATION, CONDENSING, *range(GAS_1, GAS_3 + 1)]
    x = rows[:, static]
    mean, cov = gas_prior()
    prior_mean = np.array([0.0, 1.0, 0.0, 0.0, prior.condensing[0], *mean])
    prior_cov = np.zeros((8, 8))
    prior_cov[[0, 1, 2, 3, 4], [0, 1, 2, 3, 4]] = [
        prior.offset**2 + 1.0,
        prior.gain**2,
        grid.sd_liquid[0] ** 2,
        grid.sd_evaporation[0] ** 2,
        prior.condensing[1] ** 2,
    ]
    prior_cov[5:, 5:] = cov
    # covariance of the wandering part: started at its own variance, driven by noise that grows with the transient
    phi = np.exp(-1.0 / prior.wander_time)
    own = np.zeros((n, n))
    value = prior.wander**2
    for k in range(n):
        value = value * phi**2 + 2.0 / prior.wander_time * (prior.wander**2 + (prior.model * transient[k]) ** 2)
        own[k, k:] = value * phi ** np.arange(n - k)
    own = own + np.triu(own, 1).T
    y = pressures - 0.4 * np.asarray(levels)
    total = own + variance * np.eye(n) + x @ prior_cov @ x.T
    gain = prior_cov @ x.T @ np.linalg.inv(total)
    return static, prior_mean + gain @ (y - x @ prior_mean), prior_cov - gain @ x @ prior_cov


def test_block_by_block_equals_one_dense_least_squares():
    grid = make_grid(liquid=(40.0, 80.0), evaporation=(25.0, 50.0), p_slow=1e-9, p_leak=0.0)
    # one dominant hypothesis, so that the common transient is its own
    grid.log_prior[:] = -60.0
    grid.log_prior[0] = 0.0
    prior = LagPrior(outlier=1e6, wander_range=(0.02, 0.02), wander=0.02, model_range=(0.015, 0.015))
    rng = np.random.default_rng(8)
    up = 4.0 * (1.0 - np.exp(-np.arange(160) / 12.0))
    levels = up - 0.015 * np.arange(160) + rng.normal(0.0, 0.01, 160)  # up, then back, so that vapour condenses too
    model = LagModel(grid, prior)
    model.set_cell(STRAIGHT, GAS)
    model.start(0.0, 0.0)
    truth = LagFilters(grid)
    truth.settle_at(0.0, 0.0)
    pressures = []
    for level in levels:
        truth.advance(np.array([level]), STRAIGHT)
        pressures.append(0.4 * truth.gas[1] + 0.62 * truth.vapour[0] + rng.normal(0.0, 0.02))
        model.advance(np.array([level]))
        model.observe(pressures[-1], 0.02**2)
    model.log_weight[:] = np.where(np.arange(len(grid.liquid)) == 0, 0.0, -60.0)
    static, mean, cov = _batch(grid, prior, levels, np.array(pressures), 0.02**2)
    assert model.theta[static, 0] == pytest.approx(mean, abs=1e-9)
    assert model.cov[:, :, 0][np.ix_(static, static)] == pytest.approx(cov, abs=1e-9)


@pytest.mark.parametrize("family", [PLAIN, SLOW, LEAK])
def test_readings_learned_together_agree_with_the_hypothesis_they_come_from(family):
    # leak, decaying transients and unequal noise included: what a hypothesis says itself cannot teach it anything
    rng = np.random.default_rng(5)
    model = LagModel(make_grid())
    model.set_cell(STRAIGHT, GAS)
    model.start(0.0, 0.0, missing=2.0)
    mine = model.family(family).start + 3
    spread = model.cov[np.arange(STATES), np.arange(STATES), mine]
    model.theta[:, mine] += np.where(spread > 0.0, rng.normal(0.0, 0.3, STATES), 0.0)
    for k in range(0, 40, 4):
        before = model.theta[:, mine].copy()
        levels = 4.0 * (1.0 - np.exp(-np.arange(k + 1, k + 5) / 12.0))
        model.advance(levels)
        says = model._regressors[:4, :, mine] @ before + 0.4 * levels
        variances = 0.02**2 * np.array([1.0, 3.0, math.inf, 2.0])
        aged = model.theta[:, mine].copy()
        model.learn(says, variances)
        assert model.theta[:, mine] == pytest.approx(aged, abs=1e-9)
        one = model.theta[OFFSET, mine] - before[OFFSET]
        assert one == pytest.approx(4.0 * before[SEEP] if family == LEAK else 0.0, abs=1e-9)


def _fed(cuts: list[int]) -> LagModel:
    """A model that learns every fifth second and is advanced in pieces that end at these seconds as well."""
    rng = np.random.default_rng(9)
    levels = 4.0 * (1.0 - np.exp(-np.arange(60) / 12.0)) + rng.normal(0.0, 0.02, 60)
    says = 0.8 * levels + rng.normal(0.0, 0.02, 60)
    model = LagModel(make_grid())
    model.set_cell(STRAIGHT, GAS)
    model.start(0.0, 0.0, missing=2.0)
    ends = sorted({*range(5, 61, 5), *cuts})
    for begin, end in zip([0, *ends], ends, strict=False):
        model.advance(levels[begin:end])
        if end % 5 == 0:
            model.learn(says[begin:end], np.where(np.arange(begin, end) == end - 1, 4e-4, math.inf))
    return model


def test_several_seconds_at_once_are_the_same_as_one_by_one():
    together, single = _fed([]), _fed(list(range(1, 60)))
    assert together.theta == pytest.approx(single.theta, abs=1e-9)
    assert together.cov == pytest.approx(single.cov, abs=1e-9)
    pick = np.arange(8)
    assert together.gaps_over((1, 10, 40), pick) == pytest.approx(single.gaps_over((1, 10, 40), pick), abs=1e-9)


def _followed(step: float, offset: float = 0.0, seed: int = 3, **cell):
    blocks, truth = cell_blocks(stepped_bath(step, at=20.0), 260, charged_at=-1.0, seed=seed, **cell)
    follower = Follower(CellCurve(beta, AIR), blocks[0].temperature, blocks[0].pressure + offset)
    for k in range(0, len(blocks), 5):
        few = blocks[k : k + 5]
        if k == 20:
            follower.model.new_step()
        pressures, noise = np.array([b.pressure + offset for b in few]), np.full(len(few), 100.0)
        follower.advance(np.array([b.temperature for b in few]), pressures, noise)
        follower.learn(pressures, noise)
    return follower, blocks, truth


def test_a_constant_added_to_the_pressure_changes_no_answer():
    plain, blocks, _ = _followed(4.0)
    moved, _, _ = _followed(4.0, offset=12_345.0)
    bath = fit_drift(np.array([b.temperature for b in blocks[-150:]]))
    one, two = (f.ask(blocks[-1].temperature, bath, 0.1) for f in (plain, moved))
    assert one.now.remaining == pytest.approx(two.now.remaining, abs=1e-9)
    assert one.lag_time == pytest.approx(two.lag_time, abs=1e-7)


def test_mirrored_steps_give_mirrored_answers():
    # With a straight saturation curve the model is odd in everything that is measured, but for what physics has not
    # mirrored: vapour condenses faster than it evaporates.
    rng = np.random.default_rng(6)
    levels = 4.0 * (1.0 - np.exp(-np.arange(200) / 12.0))
    noise = rng.normal(0.0, 0.02, 200)
    found = []
    for sign in (1.0, -1.0):
        model = LagModel(make_grid(), LagPrior(condensing=(0.0, 0.0)))
        model.set_cell(STRAIGHT, GAS)
        model.start(0.0, 0.0)
        truth = LagFilters(_one())
        truth.settle_at(0.0, 0.0)
        for level, error in zip(levels, noise, strict=True):
            truth.advance(np.array([level]), STRAIGHT)
            model.advance(np.array([sign * level]))
            model.observe(sign * (0.4 * truth.gas[1] + 0.6 * truth.vapour[0] + error), 0.02**2)
        found.append((model.theta[OFFSET] * sign, model.theta[GAIN], model.weights()))
    for one, two in zip(*found, strict=True):
        assert one == pytest.approx(two, abs=1e-9)


def test_a_knock_is_outweighed_within_a_few_time_constants():
    follower, _, _ = _followed(4.0)
    before = follower.model.theta[FILL].copy()
    follower.model.knock(0.5)
    assert (follower.model.cov[FILL, FILL] > 0.2).all()
    assert follower.model.theta[FILL] == pytest.approx(before)


def test_families_keep_their_evidence_over_a_step_and_hypotheses_are_blurred():
    follower, _, _ = _followed(4.0)
    model = follower.model
    families = [model.family_weight(f) for f in (PLAIN, SLOW, LEAK)]
    sharpest = model.weights().max()
    model.new_step()
    assert [model.family_weight(f) for f in (PLAIN, SLOW, LEAK)] == pytest.approx(families, abs=1e-9)
    assert model.weights().max() < sharpest
    assert sum(families) == pytest.approx(1.0)


def test_bridging_a_lifted_probe_restores_what_the_cell_feels():
    follower, blocks, _ = _followed(4.0)
    follower.save()
    before = copy.deepcopy(follower.model.filters)
    level = blocks[-1].temperature - follower.reference
    nothing = np.full(5, math.nan)
    follower.advance(np.full(5, blocks[-1].temperature - 3.0), nothing, nothing)
    before.advance(np.full(5, level), follower.model.curve)
    assert np.abs(follower.model.filters.vapour - before.vapour).max() > 0.01
    follower.rewrite([blocks[-1].temperature] * 5)
    assert follower.model.filters.vapour == pytest.approx(before.vapour, abs=1e-12)


def test_what_evaporates_and_what_expands_add_up_to_beta():
    vapour, gas = cell_curves(beta, AIR, 300.0)
    scale = beta(300.0)
    for x in (-5.0, 7.0, 20.0):
        here = 300.0 + x
        exact = (equilibrium(here) - equilibrium(300.0)) / scale
        # trapezium rule with 0.25 K steps: h^2/12 of the change of slope
        both = np.interp(x, vapour[0], vapour[1]) + np.interp(x, gas[0], gas[1])
        assert both == pytest.approx(exact, abs=3e-3)
        # a gas of constant density grows by p/T a kelvin; the vapour's p follows from its slope to a few per cent
        assert np.interp(x, gas[0], gas[2]) == pytest.approx(equilibrium(here) / here / scale, rel=0.01)
    assert (vapour[2] > 0.0).all()
    assert WANDER < STATES


def _wandering(wander: float, seed: int) -> LagModel:
    """A model of a cell that has long settled and whose pressure wanders over 60 s, after ten minutes."""
    rng = np.random.default_rng(seed)
    model = LagModel(make_grid())
    model.set_cell(STRAIGHT, GAS)
    model.start(0.0, 0.0)
    phi, off = math.exp(-1.0 / 60.0), wander * rng.normal()
    for _ in range(120):
        pressures = []
        for _ in range(5):
            off = phi * off + math.sqrt(1.0 - phi**2) * wander * rng.normal()
            pressures.append(off + 0.004 * rng.normal())
        model.advance(np.zeros(5))
        model.learn(np.array(pressures), np.full(5, 0.004**2))
    return model


def test_what_wanders_in_a_run_is_found_in_the_run():
    quiet = [_wandering(0.0, seed).wander_seen() for seed in range(3)]
    loud = [_wandering(0.06, seed).wander_seen() for seed in range(3)]
    assert max(quiet) < 0.008  # begins at 12 mK
    # ten minutes are ten looks at what wanders over one: sd known to 1/sqrt(2 * 10) = 22 %
    for found in loud:
        assert 0.06 * (1.0 - 3 * 0.22) < found < 0.06 * (1.0 + 3 * 0.22)


def test_readings_too_noisy_to_tell_teach_nothing_about_wander():
    model = LagModel(make_grid())
    model.set_cell(STRAIGHT, GAS)
    model.start(0.0, 0.0)
    before = model.wander_variance
    rng = np.random.default_rng(2)
    for _ in range(40):
        model.advance(np.zeros(5))
        model.learn(rng.normal(0.0, 1.0, 5), np.full(5, 1.0))
    assert math.sqrt(model.wander_variance / before) == pytest.approx(1.0, abs=0.1)


def test_just_after_a_charge_the_model_trusts_itself_less_and_later_as_much_as_ever():
    def sd_of_prediction(charge: float) -> list[float]:
        model = LagModel(_one(), LagPrior(charge=charge))
        model.set_cell(STRAIGHT, GAS)
        model.start(0.0, 0.0, missing=8.0)
        found = []
        for _ in range(60):
            mean, variance, _ = model.advance(np.zeros(8))
            found.append(math.sqrt(float(variance[-1])))
            model.learn(mean, np.full(8, 0.01**2))  # as the model would have it, so that only the trust differs
        return found

    trusting, wary = sd_of_prediction(0.0), sd_of_prediction(LagPrior().charge)
    assert wary[3] > 1.8 * trusting[3]
    assert wary[-1] == pytest.approx(trusting[-1], rel=0.1)


@pytest.mark.parametrize("rate", [-0.005, 0.005])
def test_what_condenses_is_what_the_vapour_is_behind_in_a_cooling_bath_and_nothing_in_a_warming_one(rate):
    filters = LagFilters(_one(40.0, 25.0))
    filters.settle_at(0.0, 0.0)
    for k in range(0, 800, 8):
        filters.advance(rate * np.arange(k + 1, k + 9), STRAIGHT)
    assert filters.condensing[0] == pytest.approx(min(rate * 25.0, 0.0), abs=2e-3 * 0.125)
