"""The eleven linear sets of NIST StRD with their certified values (https://www.itl.nist.gov/div898/strd/)."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from analysis.line_fit import fit_line_equal_u, fit_linear_equal_u, fit_polynomial_equal_u
from tests.published import nist_linear_data as data

# Certified values have 15 digits; the goal is ten of them, which float64 reaches on all but Filip.
DIGITS = 1e-10


def test_norris_is_reproduced():
    fit = fit_line_equal_u(data.NORRIS_X, data.NORRIS_Y)
    assert_allclose([fit.intercept, fit.slope], [-0.262323073774029, 1.00211681802045], rtol=DIGITS)
    assert_allclose([fit.u_intercept, fit.u_slope], [0.232818234301152, 0.429796848199937e-03], rtol=DIGITS)
    assert_allclose(np.sqrt(fit.chi2 / fit.dof), 0.884796396144373, rtol=DIGITS)


def test_pontius_is_reproduced():
    fit = fit_polynomial_equal_u(data.PONTIUS_X, data.PONTIUS_Y, 2)
    assert_allclose(
        fit.coefficients, [0.673565789473684e-03, 0.732059160401003e-06, -0.316081871345029e-14], rtol=DIGITS
    )
    assert_allclose(
        fit.u_coefficients, [0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16], rtol=DIGITS
    )
    assert_allclose(fit.residual_sd, 0.205177424076185e-03, rtol=DIGITS)


@pytest.mark.parametrize(
    ("x", "y", "slope", "u_slope", "residual_sd"),
    [
        (range(60, 71), range(130, 141), 2.07438016528926, 0.165289256198347e-01, 3.56753034006338),
        ((4, 5, 6), (3, 4, 4), 0.727272727272727, 0.420827318078432e-01, 0.369274472937998),
    ],
    ids=["NoInt1", "NoInt2"],
)
def test_lines_through_the_origin_are_reproduced(x, y, slope, u_slope, residual_sd):
    fit = fit_linear_equal_u([list(x)], list(y), intercept=False)
    assert_allclose(
        [fit.coefficients[0], fit.u_coefficients[0], fit.residual_sd], [slope, u_slope, residual_sd], rtol=DIGITS
    )


def test_longley_is_reproduced():
    fit = fit_linear_equal_u(list(zip(*data.LONGLEY_X, strict=True)), data.LONGLEY_Y)
    assert_allclose(
        fit.coefficients,
        [-3482258.63459582, 15.0618722713733, -0.358191792925910e-01, -2.02022980381683, -1.03322686717359,
         -0.511041056535807e-01, 1829.15146461355],
        rtol=DIGITS,
    )  # fmt: skip
    assert_allclose(
        fit.u_coefficients,
        [890420.383607373, 84.9149257747669, 0.334910077722432e-01, 0.488399681651699, 0.214274163161675,
         0.226073200069370, 455.478499142212],
        rtol=DIGITS,
    )  # fmt: skip
    assert_allclose(fit.residual_sd, 304.854073561965, rtol=DIGITS)


X = np.arange(21.0)
WAMPLER_U = np.array(
    [2152.32624678170, 2363.55173469681, 779.343524331583, 101.475507550350, 5.64566512170752, 0.112324854679312]
)


@pytest.mark.parametrize("base", [1.0, 0.1], ids=["Wampler1", "Wampler2"])
def test_exact_polynomials_are_reproduced(base):
    expected = base ** np.arange(6)
    fit = fit_polynomial_equal_u(X, sum(c * X**k for k, c in enumerate(expected)), 5)
    assert_allclose(fit.coefficients, expected, rtol=1e-8)
    assert fit.residual_sd < 1e-8  # certified: zero


@pytest.mark.parametrize(
    ("y", "factor"),
    [(data.WAMPLER3_Y, 1), (data.WAMPLER4_Y, 100), (data.WAMPLER5_Y, 10_000)],
    ids=["Wampler3", "Wampler4", "Wampler5"],
)
def test_disturbed_polynomials_are_reproduced(y, factor):
    fit = fit_polynomial_equal_u(X, y, 5)
    # The disturbance is up to 1e7 times the polynomial, and as many digits go.
    assert_allclose(fit.coefficients, np.ones(6), rtol=1e-7 if factor > 1 else 1e-9)
    assert_allclose(fit.u_coefficients, WAMPLER_U * factor, rtol=DIGITS)
    assert_allclose(fit.residual_sd, 2360.14502379268 * factor, rtol=DIGITS)


def test_filip_is_reproduced():
    fit = fit_polynomial_equal_u(data.FILIP_X, data.FILIP_Y, 10)
    assert_allclose(
        fit.coefficients,
        [-1467.48961422980, -2772.17959193342, -2316.37108160893, -1127.97394098372, -354.478233703349,
         -75.1242017393757, -10.8753180355343, -1.06221498588947, -0.670191154593408e-01, -0.246781078275479e-02,
         -0.402962525080404e-04],
        rtol=1e-8,
    )  # fmt: skip
    assert_allclose(
        fit.u_coefficients,
        [298.084530995537, 559.779865474950, 466.477572127796, 227.204274477751, 71.6478660875927, 15.2897178747400,
         2.23691159816033, 0.221624321934227, 0.142363763154724e-01, 0.535617408889821e-03, 0.896632837373868e-05],
        rtol=1e-8,
    )  # fmt: skip
    assert_allclose(fit.residual_sd, 0.334801051324544e-02, rtol=1e-9)
