"""Consensus estimators against published examples.

Nine values with their variances and the between-results deviations: R. N. Kacker, Metrologia 41 (2004) 132-136,
Table 1, first row; further digits computed with the R package metafor.  Both as found in the public test suite of
statsmodels (stats/tests/test_meta.py and results/results_meta.py).  The thirteen trials of a vaccine (log risk
ratios): results in metafor's own tests against Stata's metan; counts from memory (data set dat.bcg).
"""

import math

import numpy as np
import pytest

from analysis.pooling.likelihood import restricted_deviation
from analysis.pooling.moments import dersimonian_laird, paule_mandel, weighted_mean
from analysis.pooling.runs import RunResult

VALUES = (61.00, 61.40, 62.21, 62.30, 62.34, 62.60, 62.70, 62.84, 65.90)
VARIANCES = (0.2025, 1.2100, 0.0900, 0.2025, 0.3844, 0.5625, 0.0676, 0.0225, 1.8225)
TRIALS = (  # vaccinated: ill, well; not vaccinated: ill, well
    (4, 119, 11, 128),
    (6, 300, 29, 274),
    (3, 228, 11, 209),
    (62, 13536, 248, 12619),
    (33, 5036, 47, 5761),
    (180, 1361, 372, 1079),
    (8, 2537, 10, 619),
    (505, 87886, 499, 87892),
    (29, 7470, 45, 7232),
    (17, 1699, 65, 1600),
    (186, 50448, 141, 27197),
    (5, 2493, 3, 2338),
    (27, 16886, 29, 17825),
)


def log_risk_ratios():
    a, b, c, d = np.array(TRIALS, float).T
    return np.log(a / (a + b) * (c + d) / c), 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)


def test_paule_mandel_gives_the_published_scatter_and_value():
    found = paule_mandel(VALUES, VARIANCES)
    assert found.between == pytest.approx(0.8399, abs=5e-5)
    assert found.value == pytest.approx(62.4076199113286, abs=1e-9)
    assert found.standard_uncertainty == pytest.approx(0.338030602684471, abs=1e-9)
    assert found.interval_95 == pytest.approx((61.7450921043947, 63.0701477182625), abs=1e-8)


def test_dersimonian_laird_gives_the_published_scatter_and_value():
    found = dersimonian_laird(VALUES, VARIANCES)
    assert found.between**2 == pytest.approx(0.288049246973751, abs=1e-11)  # both sides lose digits to 62**2
    assert found.value == pytest.approx(62.3901386044504, abs=1e-10)
    assert found.standard_uncertainty == pytest.approx(0.245749668040304, abs=1e-10)
    assert found.q == pytest.approx(24.801897741835, abs=1e-9)
    assert found.p_homogeneous == pytest.approx(0.00167935146372742, abs=1e-12)


def test_the_scaled_form_with_students_t_gives_the_published_interval():
    found = dersimonian_laird(VALUES, VARIANCES, knapp=True)
    assert found.standard_uncertainty == pytest.approx(0.29477605699879, abs=1e-10)
    assert found.interval_95 == pytest.approx((61.710383798052, 63.0698934108488), abs=1e-9)


def test_the_weighted_mean_gives_the_published_value():
    found = weighted_mean(VALUES, VARIANCES)
    assert found.value == pytest.approx(62.5833970939982, abs=1e-10)
    assert found.standard_uncertainty == pytest.approx(0.107845705498231, abs=1e-12)


def test_the_vaccine_trials_give_the_published_values():
    fixed, random = weighted_mean(*log_risk_ratios()), dersimonian_laird(*log_risk_ratios())
    assert fixed.value == pytest.approx(-0.4303, abs=5e-5)
    assert fixed.q == pytest.approx(152.2330, abs=5e-5)
    assert random.value == pytest.approx(-0.7141, abs=5e-5)
    assert random.between**2 == pytest.approx(0.3088, abs=5e-5)
    assert random.interval_95 == pytest.approx((-1.0644, -0.3638), abs=5e-5)


def test_the_top_of_our_restricted_likelihood_is_the_published_one():
    # REML tau^2 0.3132, as in the vignette of the R package RoBMA beside metafor's rma()
    values, variances = log_risk_ratios()
    runs = [RunResult(str(i), str(i), y, math.sqrt(v)) for i, (y, v) in enumerate(zip(values, variances, strict=True))]
    assert restricted_deviation(runs) ** 2 == pytest.approx(0.3132, abs=5e-5)
