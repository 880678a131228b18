"""Drift and transient of the bath."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.settling.drift import fit_drift, residual_of


def test_drift_and_transient_are_separated_exactly_without_noise():
    t = np.arange(-99.0, 1.0)
    start = t + 99.0
    y = 300.0 - 0.004 * t + 1.5 * np.exp(-start / 16.0)  # 16 s is one of the time constants tried
    found = fit_drift(y)
    assert found.slope == pytest.approx(-0.004, abs=1e-6)
    assert found.remaining == pytest.approx(-1.5 * np.exp(-99.0 / 16.0), abs=1e-5)
    assert found.value == pytest.approx(y[-1], abs=1e-5)


@pytest.mark.parametrize("holes", [[], list(range(30, 45))])
def test_quoted_uncertainty_of_the_drift_is_its_scatter(holes):
    rng = np.random.default_rng(9)
    t = np.arange(120.0)
    slopes, quoted = [], []
    for _ in range(300):
        y = 300.0 - 0.003 * t + 2.0 * np.exp(-t / 16.0) + rng.normal(0.0, 0.02, 120)
        y[holes] = np.nan
        found = fit_drift(y)
        slopes.append(found.slope)
        quoted.append(found.u_slope)
    # 300 draws give a sd to 4 %; time constants that are not the true one add a little to what is quoted
    assert np.sqrt(np.mean(np.square(quoted))) == pytest.approx(np.std(slopes), rel=4 * 0.04 + 0.1)
    assert np.mean(slopes) == pytest.approx(-0.003, abs=4 * np.std(slopes) / np.sqrt(300) + 2e-5)


def test_too_few_or_stale_readings_give_no_drift():
    assert fit_drift(np.full(11, 300.0)) is None
    assert fit_drift(np.array([300.0] * 40 + [np.nan] * 8)) is None


def test_a_cycling_bath_leaves_residuals_and_a_cooling_one_does_not():
    t = np.arange(120.0)
    cooling = 293.0 + 20.0 * np.exp(-t / 3000.0)
    cycling = 300.0 + 0.3 * np.sin(2.0 * np.pi * t / 100.0)
    assert np.abs(residual_of(cooling)).max() < 0.005
    assert np.abs(residual_of(cycling)).max() > 0.1
    slow = 300.0 + 0.3 * np.sin(2.0 * np.pi * (t - 40.0) / 240.0)
    assert np.abs(residual_of(slow, transient=False)).max() > 0.04
    assert np.abs(residual_of(cooling, transient=False)).max() < 0.01
