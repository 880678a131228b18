"""Non-linear least squares: its linear limit, and what it refuses."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from analysis.least_squares import central_jacobian, fit_nonlinear_equal_u
from analysis.line_fit import fit_line_equal_u
from analysis.refusal import FitRefused

X, Y = np.arange(6.0), np.array([1.1, 2.9, 5.2, 6.8, 9.1, 10.9])


def test_a_straight_line_comes_out_as_the_straight_line():
    curve, line = fit_nonlinear_equal_u(lambda x, c: c[0] + c[1] * x, X, Y, (0.0, 1.0)), fit_line_equal_u(X, Y)
    assert_allclose(curve.coefficients, [line.intercept, line.slope], rtol=1e-9)
    assert_allclose(curve.u_coefficients, [line.u_intercept, line.u_slope], rtol=1e-7)
    assert_allclose(curve.residuals, line.residuals, atol=1e-9)


def test_the_jacobian_is_the_derivative():
    found = central_jacobian(lambda c: np.array([c[0] ** 2 * c[1], np.exp(c[1])]), np.array([3.0, 0.5]))
    assert_allclose(found, [[3.0, 9.0], [0.0, np.exp(0.5)]], rtol=1e-9, atol=1e-9)


def test_too_few_points_are_refused():
    with pytest.raises(FitRefused, match="points 2, coefficients 2, least 3"):
        fit_nonlinear_equal_u(lambda x, c: c[0] + c[1] * x, [1, 2], [1, 2], (0.0, 1.0))


def test_a_coefficient_that_does_nothing_is_refused():
    with pytest.raises(FitRefused, match="search-lost"):
        fit_nonlinear_equal_u(lambda x, c: c[0] + 0 * c[1] * x, X, Y, (0.0, 1.0))
