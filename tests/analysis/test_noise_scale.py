"""The average over the noise scale: limits that are known, and coverage by brute force."""

from __future__ import annotations

import math

import numpy as np
import pytest

from analysis.line_fit import fit_line_covariance
from analysis.noise_scale import NODES, mixture_quantile, solve

X = np.array([-2.0, -1.0, 0.0, 1.0, 2.0])
DESIGN = np.column_stack([np.ones(5), X])
Y = np.array([0.9, 2.2, 2.9, 4.1, 5.1])
NOISE = np.full(5, 0.01)
COMMON = np.column_stack([np.full(5, 0.3), 0.05 * X**2])
SLOPE, NOTHING = np.array([0.0, 1.0]), np.zeros(2)


def test_with_the_noise_known_it_is_generalised_least_squares():
    found = solve(Y, DESIGN, COMMON, NOISE, 0.0)
    line = fit_line_covariance(X, Y, np.diag(NOISE) + COMMON @ COMMON.T)
    slope = found.of(SLOPE, NOTHING)
    assert slope.value == pytest.approx(line.slope, rel=1e-10)
    assert slope.u == pytest.approx(line.u_slope, rel=1e-10)
    assert slope.interval == pytest.approx((line.slope - 1.959964 * line.u_slope, line.slope + 1.959964 * line.u_slope))
    assert found.chi2 == pytest.approx(line.chi2, rel=1e-9)


def test_a_quantity_of_line_and_common_errors_agrees_with_one_large_least_squares_problem():
    """theta and z as unknowns of one problem, the priors of z as further readings of zero."""
    by_theta, by_z = np.array([0.4, 1.0]), np.array([2.0, -3.0])
    whole = np.vstack([np.column_stack([DESIGN, COMMON]) / 0.1, np.column_stack([np.zeros((2, 2)), np.eye(2)])])
    target = np.concatenate([Y / 0.1, np.zeros(2)])
    covariance = np.linalg.inv(whole.T @ whole)
    pick = np.concatenate([by_theta, by_z])
    found = solve(Y, DESIGN, COMMON, NOISE, 0.0).of(by_theta, by_z)
    assert found.value == pytest.approx(float(pick @ covariance @ whole.T @ target), rel=1e-10)
    assert found.u == pytest.approx(math.sqrt(float(pick @ covariance @ pick)), rel=1e-10)


def test_parts_of_the_variance_add_up():
    slope = solve(Y, DESIGN, COMMON, NOISE, 0.8).of(SLOPE, NOTHING)
    assert slope.u**2 == pytest.approx(slope.by_nuisance.sum() + slope.noise, rel=1e-12)
    assert slope.by_point.sum() == pytest.approx(1.0)


def test_covariance_of_theta_agrees_with_the_quantities():
    found = solve(Y, DESIGN, COMMON, NOISE, 0.8)
    covariance = found.covariance_theta()
    for k, pick in enumerate(np.eye(2)):
        assert math.sqrt(covariance[k, k]) == pytest.approx(found.of(pick, NOTHING).u, rel=1e-9)
    both = found.of(np.array([1.0, 1.0]), NOTHING).u ** 2
    assert covariance.sum() == pytest.approx(both, rel=1e-9)


def test_points_that_scatter_more_than_claimed_widen_the_interval():
    calm = solve(1 + X, DESIGN, COMMON, NOISE, 0.8)
    rough = solve(1 + X + 0.5 * np.array([1, -1, 0, 1, -1]), DESIGN, COMMON, NOISE, 0.8)
    assert calm.scale < 1 < rough.scale
    assert rough.of(SLOPE, NOTHING).u > 2 * calm.of(SLOPE, NOTHING).u


def test_a_common_error_that_looks_like_the_intercept_leaves_the_slope_alone():
    offset = COMMON[:, :1]
    with_offset = solve(Y, DESIGN, offset, NOISE, 0.0).of(SLOPE, np.zeros(1))
    without = solve(Y, DESIGN, 1e-9 * offset, NOISE, 0.0).of(SLOPE, np.zeros(1))
    assert with_offset.u == pytest.approx(without.u, rel=1e-9)
    assert with_offset.by_nuisance[0] == pytest.approx(0.0, abs=1e-18)


def test_a_score_finds_the_effect_that_was_put_in():
    step = np.array([0.0, 0.0, 0.0, 0.0, 1.0])
    found = solve(1 + X + 0.7 * step, DESIGN, COMMON, NOISE, 0.0)
    size, u = found.score(step)
    assert size == pytest.approx(0.7, rel=1e-9)
    assert 0 < u < 1
    # Left in, it carries the slope off by what the estimator makes of it; taken out, nothing is left.
    clean = solve(1 + X, DESIGN, COMMON, NOISE, 0.0)
    moved = found.of(SLOPE, NOTHING).value - clean.of(SLOPE, NOTHING).value
    assert clean.shift(0.7 * step, SLOPE, NOTHING) == pytest.approx(moved, rel=1e-9)


def test_a_score_that_the_line_takes_up_wholly_says_so():
    assert solve(Y, DESIGN, COMMON, NOISE, 0.8).score(X) == (0.0, math.inf)


@pytest.mark.parametrize("level", [0.025, 0.5, 0.975])
def test_quantiles_of_a_single_normal_are_the_textbook_ones(level):
    from scipy.special import ndtri

    found = mixture_quantile(level, np.array([1.0]), np.array([3.0]), np.array([2.0]))
    assert found == pytest.approx(3 + 2 * float(ndtri(level)), abs=1e-8)


def test_quantiles_of_two_far_normals_lie_in_them():
    weights, means, sds = np.array([0.5, 0.5]), np.array([0.0, 100.0]), np.array([1.0, 1.0])
    low, high = (mixture_quantile(q, weights, means, sds) for q in (0.025, 0.975))
    assert low == pytest.approx(-1.6449, abs=1e-3)  # five per cent of the first
    assert high == pytest.approx(101.6449, abs=1e-3)


def test_intervals_cover_when_everything_is_drawn_as_told():
    rng, inside, runs = np.random.default_rng(12), 0, 600
    for _ in range(runs):
        sigma = math.exp(0.8 * rng.standard_normal())
        z = rng.standard_normal(2)
        y = 1 + 2 * X + COMMON @ z + sigma * np.sqrt(NOISE) * rng.standard_normal(5)
        low, high = solve(y, DESIGN, COMMON, NOISE, 0.8).of(SLOPE, NOTHING).interval
        inside += low < 2.0 < high
    # A share of 0.95 in 600 draws has a standard deviation of 0.9 %; three and a half of these.
    assert inside / runs == pytest.approx(0.95, abs=3.5 * 0.009)


def test_nodes_hold_the_claimed_scale_exactly():
    assert np.any(NODES == 0.0)


def test_where_the_readings_say_nothing_of_the_noise_its_prior_is_left():
    # Common errors as free as the points themselves: no residual can be told from noise.
    found = solve(Y, DESIGN, 10 * np.eye(5), NOISE, 0.8)
    mean = float(found.weights @ NODES)
    sd = math.sqrt(float(found.weights @ (NODES - mean) ** 2))
    assert mean == pytest.approx(0.0, abs=0.02)
    assert sd == pytest.approx(0.8, abs=0.02)
