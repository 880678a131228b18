"""Lines through correlated readings: known answers, and quoted uncertainties against brute force."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.settling.trail import TIME, Trail, fit_line, lag_one, quantisation_error, rounding_of_mean


def _ar1(rng: np.random.Generator, runs: int, n: int, phi: float) -> np.ndarray:
    x = np.empty((runs, n))
    x[:, 0] = rng.normal(size=runs)
    for k in range(1, n):
        x[:, k] = phi * x[:, k - 1] + np.sqrt(1.0 - phi**2) * rng.normal(size=runs)
    return x


def test_an_exact_line_is_found_with_gaps():
    t = np.arange(40.0)
    y = 5.0 + 0.25 * t
    y[7:15] = np.nan
    line = fit_line(t, y)
    assert line.slope == pytest.approx(0.25, abs=1e-12)
    assert line.value == pytest.approx(5.0 + 0.25 * 39.0, abs=1e-9)
    assert line.n == 32


def test_fewer_than_eight_blocks_make_no_line():
    assert fit_line(np.arange(9.0), np.array([1.0] * 7 + [np.nan] * 2)) is None


@pytest.mark.parametrize("phi", [0.0, 0.5])
def test_quoted_uncertainty_of_the_slope_is_its_scatter(phi):
    rng = np.random.default_rng(20)
    t = np.arange(120.0)
    lines = [fit_line(t, y) for y in _ar1(rng, 400, 120, phi)]
    scatter = np.std([line.slope for line in lines], ddof=1)
    quoted = np.sqrt(np.mean([line.u_slope**2 for line in lines]))
    # the sd of 400 draws is known to 3.5 %; the correlation of 120 readings is estimated to about 0.09, which makes
    # the factor (1+r)/(1-r) uncertain by some 20 % in each line and biased by a few per cent in the mean
    assert quoted == pytest.approx(scatter, rel=4 * 0.035 + 0.08)


def test_lag_one_correlation_is_unbiased_in_short_windows():
    rng = np.random.default_rng(5)
    found = []
    for y in _ar1(rng, 600, 60, 0.6):
        t = np.arange(60.0)
        rest = y - np.polyval(np.polyfit(t, y, 1), t)
        found.append(lag_one(rest))
    # sd of one estimate is sqrt(1 - 0.36)/sqrt(60) = 0.10, of the mean of 600 of them 0.004
    assert np.mean(found) == pytest.approx(0.6, abs=4 * 0.0045 + 0.01)


@pytest.mark.parametrize(("sd", "rel"), [(0.25, 0.02), (0.35, 0.02), (0.5, 0.05)])
def test_what_rounding_leaves_in_a_mean_agrees_with_brute_force(sd, rel):
    # mean of round(x + noise) over many positions x inside one code, by integrating over the noise
    offsets = np.linspace(-0.5, 0.5, 201)[:-1]
    noise = np.linspace(-6 * sd, 6 * sd, 4001)
    weight = np.exp(-0.5 * (noise / sd) ** 2)
    weight /= weight.sum()
    error = [float(weight @ np.round(x + noise)) - x for x in offsets]
    # higher terms of the series are below exp(-8 pi^2 sd^2) of the first
    assert quantisation_error(1.0, sd) == pytest.approx(np.std(error), rel=rel)


def test_rounding_without_noise_comes_near_the_rectangular_distribution():
    assert quantisation_error(0.25, 0.0) == pytest.approx(0.25 / np.sqrt(12.0), rel=0.25)
    assert quantisation_error(0.0, 0.1) == 0.0


def test_an_unchanged_code_is_no_proof_of_zero_slope():
    line = fit_line(np.arange(90.0), np.full(90, 295.25), quantum=0.25)
    assert line.slope == 0.0
    assert line.u_slope > 0.25 / 90.0 / 2.0


def test_a_trail_keeps_the_last_blocks_and_only_those():
    trail = Trail(capacity=10)
    for k in range(37):
        trail.append(float(k), *[0.0] * 4)
    assert len(trail) == 10
    assert trail.last(4)[TIME].tolist() == [33.0, 34.0, 35.0, 36.0]
    assert trail.last(99)[TIME].tolist() == [float(k) for k in range(27, 37)]


@pytest.mark.parametrize(("readings", "swept"), [(1, 0.0), (20, 0.0), (1, 2.3), (1, 7.7)])
def test_rounding_left_in_a_mean_is_what_brute_force_leaves(readings, swept):
    # noise of 0.15 codes, means of 60 blocks of so many readings, a drift over so many codes
    rng, sd = np.random.default_rng(5), 0.15
    level = rng.uniform(0.0, 1.0, (400, 1)) + swept * np.linspace(-0.5, 0.5, 60 * readings)
    exact = level + sd * rng.normal(size=level.shape)
    left = np.std((np.round(exact) - exact).mean(axis=1))
    codes = np.round(exact).reshape(400, 60, readings).mean(axis=2)
    x = np.arange(60.0) - 29.5
    rest = codes - codes.mean(axis=1, keepdims=True)
    rest -= np.outer(rest @ x / (x @ x), x)
    scatter = float(np.sqrt(np.mean(rest**2) * 60 / 58))
    said = rounding_of_mean(1.0, scatter, 1.0, readings, swept)
    # an estimate of a systematic error from the scatter it leaves: it may be larger, and must not be far too small
    assert 0.5 * left < said + scatter / np.sqrt(60) < 4.0 * left
    assert said <= 1.0 / np.sqrt(12.0)


def test_over_many_codes_rounding_cancels():
    assert rounding_of_mean(0.1, 0.0, 1.0, 1, 5.0) == pytest.approx(rounding_of_mean(0.1, 0.0, 1.0, 1) / (50.0 * np.pi))
    assert rounding_of_mean(0.0, 0.01, 1.0, 1, 5.0) == 0.0
