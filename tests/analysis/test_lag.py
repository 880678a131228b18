"""Lag of a cell on a steady drift."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.lag import slow_drift_lag


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
