"""Pearson's data with York's weights, the usual test of a line with both axes uncertain.

D. York, N. M. Evensen, M. L. Martinez, J. De Basabe Delgado, Am. J. Phys. 72 (2004) 367, Table I; digits as quoted in
two public test suites.
"""

from __future__ import annotations

import numpy as np
import pytest

from analysis.line_fit import fit_line_york

X = [0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4]
Y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5]
WEIGHT_X = np.array([1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1])
WEIGHT_Y = np.array([1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500])


def test_pearsons_data_with_yorks_weights():
    fit = fit_line_york(X, Y, WEIGHT_X**-0.5, WEIGHT_Y**-0.5)
    assert fit.slope == pytest.approx(-0.48053340744620, rel=1e-12)
    assert fit.intercept == pytest.approx(5.47991022403286, rel=1e-12)
    assert fit.u_slope == pytest.approx(0.057985009, abs=5e-10)
    assert fit.u_intercept == pytest.approx(0.294970735, abs=5e-10)
    assert fit.chi2 / 8 == pytest.approx(1.483294149, abs=5e-10)
    assert fit.covariance == pytest.approx(-0.016472545, abs=5e-10)


def test_without_uncertainty_of_x_the_weighted_line_is_left():
    from analysis.line_fit import fit_line_known_u

    both = fit_line_york(X, Y, np.full(10, 1e-9), WEIGHT_Y**-0.5)
    plain = fit_line_known_u(X, Y, WEIGHT_Y**-0.5)
    assert (both.slope, both.u_slope) == pytest.approx((plain.slope, plain.u_slope), rel=1e-9)
