"""The direct fit in p: Gauss-Newton steps to the most probable line, then averaged over the scale of the noise."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.fit_input import FitPoint, number_of
from analysis.line_fit import fit_line_equal_u
from analysis.liquids import GAS_CONSTANT
from analysis.noise_scale import Posterior, solve
from analysis.reading_model import ReadingModel, VapourPrior, vapour_prior
from analysis.refusal import FitRefused

Array = NDArray[np.float64]
STEPS = 25  # converges in three to five; more only from a poor start


@dataclass(frozen=True, slots=True)
class MapFit:
    """The most probable line and what surrounds it.

    Parameters
    ----------
    theta : array
        (ln p_m, s/(R Tm)): the point of linearisation.
    posterior
        Steps from there, with their spread.
    vapour
        dZ and heat capacities that were used.
    foreign, fitted : arrays
        Pressure of air and moisture, and the reading the fit expects, shape (n,).  [Pa]
    noise : array
        Variances of the points' own noise, shape (n,).  [Pa2]
    z : array
        Common errors at the optimum, in standard uncertainties, shape (K,): the pulls.
    steps : int
        Gauss-Newton steps taken.
    """

    model: ReadingModel
    theta: Array
    posterior: Posterior
    vapour: VapourPrior
    foreign: Array
    fitted: Array
    noise: Array
    z: Array
    steps: int


def start(model: ReadingModel, points: list[FitPoint]) -> Array:
    """First (ln p_m, s/(R Tm)) from a line through ln of the simply corrected pressures."""
    slope = 40e3
    t, p = model.temperature, model.pressure
    zero = np.zeros((1, len(model.errors)))
    vapour_pressure = p.copy()
    if model.sealed:
        assert model.baseline is not None
        simple = model.baseline.pressure * t / model.baseline.temperature
        vapour_pressure = np.maximum(p - simple, 0.02 * p)
        for _ in range(3):
            theta = _line_start(model, t, vapour_pressure)
            slope = float(theta[1]) * GAS_CONSTANT * model.mean_temperature
            vapour = vapour_prior(model.liquid, model.mean_temperature, float(np.exp(theta[0])), slope)
            foreign = model.predict(theta[None, :], zero, vapour, slope)[1][0]
            vapour_pressure = np.maximum(p - foreign, 1e-4 * p)
        bad = np.flatnonzero(p - foreign <= 0)
        if bad.size:
            who, read, alone = number_of(points, int(bad[0])), float(p[bad[0]]), float(foreign[bad[0]])
            raise FitRefused("pressure-below-air", point=who, pressure=read, air=alone)
    return _line_start(model, t, vapour_pressure)


def _line_start(model: ReadingModel, t: Array, vapour_pressure: Array) -> Array:
    line = fit_line_equal_u(1 / t - 1 / model.mean_temperature, np.log(vapour_pressure))
    return np.array([line.intercept, -line.slope / model.mean_temperature])


def fit_map(model: ReadingModel, points: list[FitPoint], near: MapFit | None = None) -> MapFit:
    """Gauss-Newton from the simple line, or from a fit of the same points; `points` are the used ones, for messages."""
    theta = start(model, points) if near is None else near.theta
    z = np.zeros(len(model.errors))
    for step in range(1, STEPS + 1):
        slope = float(theta[1]) * GAS_CONSTANT * model.mean_temperature
        vapour = vapour_prior(model.liquid, model.mean_temperature, math.exp(float(theta[0])), slope)
        reading, foreign, design, columns = linearise(model, theta, z, vapour, slope)
        noise = model.noise(theta, foreign, model.line(model.temperature, theta, vapour))
        # Linearised about z, expressed from z = 0, where the priors sit.
        residual = model.pressure - reading + columns @ z
        posterior = solve(residual, design, columns, noise, model.sensors.noise_scale_sd)
        move, z_new = posterior.step()
        theta_new = theta + np.clip(move, -2.0, 2.0)
        if not np.all(np.isfinite(theta_new)) or theta_new[1] <= 0:
            break
        if np.max(np.abs(move)) < 1e-7 and np.max(np.abs(z_new - z), initial=0.0) < 1e-5:
            return MapFit(model, theta, posterior, vapour, foreign, reading, noise, z_new, step)
        theta, z = theta_new, z_new
    raise FitRefused("no-line")


DELTA = 1e-4  # step in theta for differences: small against curvature, large against rounding


def linearise(
    model: ReadingModel, theta: Array, z: Array, vapour: VapourPrior, slope: float
) -> tuple[Array, Array, Array, Array]:
    """Readings, foreign pressure, X and Z at one place, by central differences in one call of the model.

    Returns
    -------
    tuple of arrays
        Shapes (n,), (n,), (n, 2) and (n, K).
    """
    count = len(z)
    rows = 5 + 2 * count
    cases_theta, cases_z = np.tile(theta, (rows, 1)), np.tile(z, (rows, 1))
    for k in range(2):
        cases_theta[1 + 2 * k, k] += DELTA
        cases_theta[2 + 2 * k, k] -= DELTA
    for k in range(count):
        cases_z[5 + 2 * k, k] += 1.0
        cases_z[6 + 2 * k, k] -= 1.0
    readings, foreign = model.predict(cases_theta, cases_z, vapour, slope)
    difference = 0.5 * (readings[1::2] - readings[2::2])
    return readings[0], foreign[0], (difference[:2] / DELTA).T, difference[2:].T
