"""Worked examples of ISO/TS 28037:2010, clauses 6.3 (pages 13 and 15), 7.4 (page 21) and annex E (pages 58, 59).

Data and printed results as quoted in the documentation of a public uncertainty library.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from analysis.line_fit import fit_line_covariance, fit_line_known_u, fit_line_relative_u, fit_line_york

EQUAL = {"x": [1, 2, 3, 4, 5, 6], "y": [3.3, 5.6, 7.1, 9.3, 10.7, 12.1], "u": [0.5] * 6}
UNEQUAL = {"x": [1, 2, 3, 4, 5, 6], "y": [3.2, 4.3, 7.6, 8.6, 11.7, 12.8], "u": [0.5] * 3 + [1.0] * 3}
PRINTED = [
    (EQUAL, (1.867, 0.465, 1.757, 0.120, -0.050, 1.665)),
    (UNEQUAL, (0.885, 0.530, 2.057, 0.178, -0.082, 4.131)),
]


@pytest.mark.parametrize(("data", "printed"), PRINTED, ids=["equal weights", "unequal weights"])
def test_known_uncertainties(data, printed):
    fit = fit_line_known_u(data["x"], data["y"], data["u"])
    found = (fit.intercept, fit.u_intercept, fit.slope, fit.u_slope, fit.covariance, fit.chi2)
    assert found == pytest.approx(printed, abs=5e-4)
    assert fit.dof == math.inf


@pytest.mark.parametrize(("data", "printed"), PRINTED, ids=["equal weights", "unequal weights"])
def test_a_diagonal_covariance_matrix_is_the_weighted_line(data, printed):
    fit = fit_line_covariance(data["x"], data["y"], np.diag(np.square(data["u"])))
    found = (fit.intercept, fit.u_intercept, fit.slope, fit.u_slope, fit.covariance, fit.chi2)
    assert found == pytest.approx(printed, abs=5e-4)


def test_both_axes_uncertain():
    fit = fit_line_york(
        [1.2, 1.9, 2.9, 4.0, 4.7, 5.9], [3.4, 4.4, 7.2, 8.5, 10.8, 13.5], [0.2] * 6, [0.2, 0.2, 0.2, 0.4, 0.4, 0.4]
    )
    assert fit.intercept == pytest.approx(0.5788, abs=5e-5)
    assert fit.slope == pytest.approx(2.1597, abs=5e-5)
    assert fit.chi2 == pytest.approx(2.743, abs=5e-4)
    # The standard linearises at the observed x, York at the adjusted x: their uncertainties are 1 % apart here.
    assert (fit.u_intercept, fit.u_slope) == pytest.approx((0.4764, 0.1355), rel=0.012)
    assert fit.covariance == pytest.approx(-0.0577, rel=0.03)


def test_uncertainties_known_up_to_a_factor():
    fit = fit_line_relative_u([1, 2, 3, 4, 5, 6], [3.014, 5.225, 7.004, 9.061, 11.201, 12.762], [1.0] * 6)
    # The standard multiplies its uncertainties by a further sqrt(dof/(dof - 2)); these are before that step.
    found = (fit.intercept, fit.u_intercept, fit.slope, fit.u_slope, fit.covariance)
    assert found == pytest.approx((1.172, 0.159, 1.964, 0.041, -0.006), abs=5e-4)
    assert fit.dof == 4
