"""The search for the most probable line: derivatives, convergence, speed."""

from __future__ import annotations

import math

import numpy as np
import pytest

from analysis.liquids import GAS_CONSTANT, load_liquid
from analysis.map_fit import fit_map, linearise, start
from analysis.reading_model import ReadingModel, vapour_prior
from tests.analysis.made_runs import BASELINE, SENSORS, SETUP, made_points

POINTS = made_points(rng=np.random.default_rng(2))
MODEL = ReadingModel(POINTS, BASELINE, SETUP, SENSORS, load_liquid("ethanol"), "sealed")


def test_the_start_is_near_and_the_end_is_the_same_from_anywhere_near():
    fit = fit_map(MODEL, POINTS)
    begun = start(MODEL, POINTS)
    assert begun[1] == pytest.approx(fit.theta[1], rel=0.1)
    assert fit.steps <= 6


def test_at_the_end_a_further_step_leads_nowhere():
    fit = fit_map(MODEL, POINTS)
    move, z = fit.posterior.step()
    assert np.max(np.abs(move)) < 1e-6
    assert z == pytest.approx(fit.z, abs=1e-4)


def test_derivatives_are_those_of_finite_steps_half_as_long():
    fit = fit_map(MODEL, POINTS)
    slope = float(fit.theta[1]) * GAS_CONSTANT * MODEL.mean_temperature
    vapour = vapour_prior(MODEL.liquid, MODEL.mean_temperature, math.exp(fit.theta[0]), slope)
    z = np.zeros(len(MODEL.errors))
    base, _, design, columns = linearise(MODEL, fit.theta, z, vapour, slope)
    for k in range(len(z)):
        step = np.zeros_like(z)
        step[k] = 0.5
        moved = MODEL.predict(fit.theta[None, :], step[None, :], vapour, slope)[0][0] - base
        assert moved == pytest.approx(0.5 * columns[:, k], abs=0.05 * np.max(np.abs(columns[:, k])) + 1e-6)
    up = MODEL.predict((fit.theta + np.array([1e-3, 0.0]))[None, :], z[None, :], vapour, slope)[0][0]
    assert up - base == pytest.approx(1e-3 * design[:, 0], rel=2e-3)
