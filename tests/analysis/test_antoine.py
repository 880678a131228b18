"""Antoine's constants: their derivative, and uncertainty by brute force."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.antoine import fit_antoine
from analysis.liquids import GAS_CONSTANT
from analysis.refusal import FitRefused

T = np.linspace(285.0, 335.0, 11)
P = np.exp(21.0 - 2900.0 / (T - 53.0))


def test_made_constants_come_back():
    found = fit_antoine(T, P)
    assert (found.a, found.b, found.c) == pytest.approx((21.0, 2900.0, -53.0), rel=1e-7)
    assert found.pressure(300.0) == pytest.approx(np.exp(21.0 - 2900.0 / 247.0))


def test_the_slope_is_the_derivative():
    found, t, h = fit_antoine(T, P), 303.15, 1e-3
    rise = np.log(found.pressure(t + h) / found.pressure(t - h)) / (2 * h)
    assert found.slope(t)[0] == pytest.approx(GAS_CONSTANT * t**2 * rise, rel=1e-6)
    assert found.enthalpy_vap(t, 0.98)[0] == pytest.approx(0.98 * found.slope(t)[0])


def test_the_stated_uncertainty_of_the_slope_is_its_scatter():
    rng = np.random.default_rng(6)
    found = [fit_antoine(T, P * np.exp(1e-3 * rng.standard_normal(11))).slope(310.0) for _ in range(150)]
    values, stated = np.array(found).T
    assert np.std(values) == pytest.approx(np.sqrt(np.mean(stated**2)), rel=4 * 0.058)  # 150 draws: 5.8 %


def test_points_that_curve_the_wrong_way_are_refused():
    with pytest.raises(FitRefused):
        fit_antoine(T, np.exp(1e-3 * (T - 285.0) ** 2))
