"""Lag of a cell on a steady drift."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.lag import slow_drift_lag, wander_of_mean
from analysis.settling.records import LagCourse


def test_a_cascade_on_a_ramp_trails_by_drift_times_the_sum_of_its_time_constants():
    drift, taus = -0.005, (30.0, 20.0)
    x = [300.0, 300.0]
    dt, bath = 0.01, 300.0
    for _ in range(int(600 / dt)):
        bath += drift * dt
        x[0] += (bath - x[0]) * dt / taus[0]
        x[1] += (x[0] - x[1]) * dt / taus[1]
    assert slow_drift_lag(drift, 0.0, sum(taus), 0.0).lag == pytest.approx(bath - x[1], rel=1e-3)


def test_uncertainty_is_the_scatter_of_the_product():
    rng = np.random.default_rng(2)
    draws = rng.normal(0.001, 0.002, 40_000) * rng.normal(59.0, 17.0, 40_000)
    # the sd of 40 000 draws of a product is known to about 0.5 %
    assert slow_drift_lag(0.001, 0.002, 59.0, 17.0).u_lag == pytest.approx(np.std(draws), rel=0.03)


def test_negative_uncertainties_are_refused():
    with pytest.raises(ValueError, match="expected none below zero"):
        slow_drift_lag(0.1, -0.1, 59.0, 17.0)


@pytest.mark.parametrize("seconds", [10, 60, 300])
def test_a_mean_of_what_wanders_scatters_as_its_formula_says(seconds):
    rng, tau = np.random.default_rng(3), 60.0
    phi, runs = np.exp(-1.0 / tau), 4000
    x = rng.normal(size=runs)
    total = np.zeros(runs)
    for _ in range(seconds):
        total += x
        x = phi * x + np.sqrt(1.0 - phi**2) * rng.normal(size=runs)
    # the sd of 4000 draws is known to 1.1 %; seconds are not a continuum: another 2 %
    assert wander_of_mean(1.0, tau, seconds) == pytest.approx(np.std(total / seconds), rel=4 * 0.011 + 0.02)


def _course(lag, end: float = 100.0) -> LagCourse:
    """Means of a lag that is known for every second."""
    means = [(n, float(np.mean([lag(end - k) for k in range(n)])), 0.01 + 0.0005 * n) for n in (1, 10, 20, 40, 60, 90)]
    return LagCourse(end, tuple(means), 0.01, 60.0)


@pytest.mark.parametrize(("first", "last"), [(91.0, 100.0), (61.0, 100.0), (75.0, 90.0), (55.0, 81.0), (96.0, 105.0)])
def test_every_window_gets_the_lag_of_its_own_seconds(first, last):
    def lag(time: float) -> float:
        return 0.1 + 0.5 * np.exp(-time / 80.0)

    own = np.mean([lag(t) for t in np.arange(first, last + 0.5)])
    found, u = _course(lag).over(first, last)
    # the nearest of the stored means differ by up to 50 mK here
    assert found == pytest.approx(own, abs=0.01)
    assert u >= 0.0105


def test_a_window_as_long_as_a_stored_mean_gets_exactly_that():
    course = _course(lambda time: 0.3 - 0.002 * time)
    for seconds, mean, u in course.means:
        assert course.over(100.0 - seconds + 1.0, 100.0) == pytest.approx((mean, u), abs=1e-12)


def test_a_window_far_from_what_is_known_is_said_to_be_uncertain():
    def lag(time: float) -> float:
        return 0.05 + 0.6 * np.exp(-time / 40.0)

    course = _course(lag)
    for first, last in ((300.0, 320.0), (-40.0, 40.0), (108.0, 127.0)):
        own = np.mean([lag(t) for t in np.arange(first, last + 0.5)])
        found, u = course.over(first, last)
        assert abs(found - own) < 3.0 * u
    near, far = course.over(101.0, 110.0)[1], course.over(300.0, 310.0)[1]
    assert 0.01 < near < far < 0.2
