"""Noise of block means, followed through the run."""

from __future__ import annotations

import math

import numpy as np
import pytest

from analysis.settling.noise import NoiseTracker

T = np.arange(120.0)


def test_nothing_is_known_before_the_first_readings():
    noise = NoiseTracker()
    assert not noise.known
    assert math.isnan(noise.u_mean(60))


def test_a_plateau_record_is_a_floor_that_short_quiet_stretches_do_not_lower():
    rng = np.random.default_rng(1)
    noise = NoiseTracker()
    noise.record(T, rng.normal(0.0, 1.0, 120))
    recorded = noise.sd
    for _ in range(10):
        noise.look(T[:20], rng.normal(0.0, 0.2, 20))
    assert noise.sd == recorded


def test_a_sensor_that_gets_worse_is_noticed():
    rng = np.random.default_rng(2)
    noise = NoiseTracker()
    noise.record(T, rng.normal(0.0, 1.0, 120))
    for _ in range(7):
        noise.look(T[:20], rng.normal(0.0, 4.0, 20))
    # a sd from 20 readings is known to 16 %, the median of 7 of them to about 8 %
    assert noise.sd == pytest.approx(4.0, rel=4 * 0.08)


def test_correlated_readings_count_for_less():
    rng = np.random.default_rng(3)
    x = np.empty(120)
    x[0] = rng.normal()
    for k in range(1, 120):
        x[k] = 0.7 * x[k - 1] + math.sqrt(1 - 0.49) * rng.normal()
    noise = NoiseTracker()
    noise.record(T, x)
    assert noise.u_mean(60) > 1.6 * noise.sd / math.sqrt(60)


def test_coarse_codes_that_rarely_flip_hide_where_the_value_is():
    rng = np.random.default_rng(4)
    codes = np.round((296.1 + rng.normal(0.0, 0.02, 120)) / 0.25) * 0.25
    noise = NoiseTracker()
    noise.sensor(0.25, 1)
    noise.record(T, codes)
    # the codes sit at 296.0 though the value is 296.1; a mean of an hour would be as wrong
    assert noise.u_mean(3600) > 0.05


def test_codes_that_dither_well_do_average_out():
    rng = np.random.default_rng(5)
    codes = np.round((296.1 + rng.normal(0.0, 0.25, 120)) / 0.25) * 0.25
    noise = NoiseTracker()
    noise.sensor(0.25, 1)
    noise.record(T, codes)
    assert noise.rounding < 0.005
