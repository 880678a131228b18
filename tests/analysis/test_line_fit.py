"""Lines: what their names promise, what they refuse, and scatter by brute force."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from analysis.line_fit import (
    fit_line_covariance,
    fit_line_equal_u,
    fit_line_known_u,
    fit_line_relative_u,
    fit_line_york,
    fit_linear_equal_u,
    fit_polynomial_equal_u,
)
from analysis.refusal import FitRefused

X = np.array([1.0, 2.0, 3.0, 4.0, 5.0, 6.0])
Y = np.array([3.1, 4.9, 7.3, 8.8, 11.1, 12.7])


def test_assumptions_move_the_uncertainty_and_not_the_line():
    equal, known, relative = (
        fit_line_equal_u(X, Y), fit_line_known_u(X, Y, [0.3] * 6), fit_line_relative_u(X, Y, [0.3] * 6),
    )  # fmt: skip
    for fit in (known, relative):
        assert (fit.intercept, fit.slope) == pytest.approx((equal.intercept, equal.slope))
    assert relative.u_slope == pytest.approx(equal.u_slope)
    assert known.u_slope != pytest.approx(equal.u_slope, rel=0.1)
    assert (equal.dof, relative.dof, known.dof) == (4, 4, math.inf)


def test_known_uncertainties_scale_through_and_relative_ones_cancel():
    one, ten = (fit_line_known_u(X, Y, [0.1 * k] * 6) for k in (1, 10))
    assert ten.u_slope == pytest.approx(10 * one.u_slope)
    one, ten = (fit_line_relative_u(X, Y, [0.1 * k] * 6) for k in (1, 10))
    assert ten.u_slope == pytest.approx(one.u_slope)


def test_quoted_uncertainty_is_the_scatter_of_repeated_fits():
    rng = np.random.default_rng(20_241_125)
    u = np.array([0.2, 0.2, 0.5, 0.2, 1.0, 0.2])
    slopes = [fit_line_known_u(X, 1 + 2 * X + u * rng.standard_normal(6), u).slope for _ in range(2000)]
    # The standard deviation of 2000 draws is itself known to 1.6 %; four of these.
    assert np.std(slopes, ddof=1) == pytest.approx(fit_line_known_u(X, Y, u).u_slope, rel=4 * 0.016)


def test_yorks_uncertainty_is_the_scatter_of_repeated_fits():
    rng = np.random.default_rng(5)
    ux, uy = 0.15, 0.2
    slopes = [
        fit_line_york(
            X + ux * rng.standard_normal(6), 1 + 2 * X + uy * rng.standard_normal(6), [ux] * 6, [uy] * 6
        ).slope
        for _ in range(2000)
    ]
    assert np.std(slopes, ddof=1) == pytest.approx(fit_line_york(X, 1 + 2 * X, [ux] * 6, [uy] * 6).u_slope, rel=0.064)


def test_a_line_with_both_axes_uncertain_does_not_care_which_axis_is_which():
    there = fit_line_york(X, Y, [0.2] * 6, [0.3] * 6, [0.4] * 6)
    back = fit_line_york(Y, X, [0.3] * 6, [0.2] * 6, [0.4] * 6)
    assert back.slope == pytest.approx(1 / there.slope, rel=1e-12)
    assert back.chi2 == pytest.approx(there.chi2, rel=1e-10)


def test_correlation_along_the_line_hides_scatter_and_across_it_shows_more():
    chi2 = [fit_line_york(X, Y, [0.2] * 6, [0.4] * 6, [r] * 6).chi2 for r in (-0.9, 0.0, 0.9)]
    assert chi2[0] < chi2[1] < chi2[2]


def test_a_common_error_in_the_covariance_goes_to_the_intercept_alone():
    own = np.diag(np.full(6, 0.04))
    plain, common = fit_line_covariance(X, Y, own), fit_line_covariance(X, Y, own + 9.0)
    assert common.slope == pytest.approx(plain.slope)
    assert common.u_slope == pytest.approx(plain.u_slope)
    assert common.u_intercept == pytest.approx(math.hypot(plain.u_intercept, 3.0))


def test_several_columns_with_and_without_an_intercept_agree_where_they_must():
    polynomial = fit_polynomial_equal_u(X, Y, 2)
    columns = fit_linear_equal_u([X, X**2], Y)
    explicit = fit_linear_equal_u([np.ones(6), X, X**2], Y, intercept=False)
    for fit in (columns, explicit):
        assert_allclose(fit.coefficients, polynomial.coefficients, rtol=1e-10)
        assert_allclose(fit.covariance, polynomial.covariance, rtol=1e-8)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (([1, 2], [1, 2]), "too-few-points some (used 2, aside 0, least 3)"),
        (([1, 2, 3], [1, 2]), "columns-unequal (short y, least 2, long x, most 3)"),
        (([1, 2, math.nan], [1, 2, 3]), "column x, point 3, value nan"),
        (([1, 2, 3], [1, math.inf, 3]), "column y, point 2, value inf"),
        (([2, 2, 2], [1, 2, 3]), "same-abscissa (points 3, value 2.0)"),
    ],
)
def test_what_no_line_goes_through_is_refused_by_name(arguments, said):
    with pytest.raises(FitRefused) as refused:
        fit_line_equal_u(*arguments)
    assert said in str(refused.value)


@pytest.mark.parametrize("u", [0.0, -0.1])
def test_an_uncertainty_must_be_above_zero(u):
    with pytest.raises(FitRefused, match=r"not-above-zero .column u_y, point 2"):
        fit_line_known_u([1, 2, 3], [1, 2, 3], [0.1, u, 0.1])


def test_more_coefficients_than_points_are_refused():
    with pytest.raises(FitRefused, match="points 3, coefficients 3, least 4"):
        fit_linear_equal_u([[1, 2, 3], [1, 4, 9]], [1, 2, 3])
