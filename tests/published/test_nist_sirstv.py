"""NIST StRD analysis of variance, data set SiRstv (resistivity of silicon, five instruments).

Data as found in a public copy of the file (SiRstv.dat); certified values from memory, repeated with scipy.
"""

import math

import pytest
from scipy.stats import f_oneway

from analysis.pooling.precision import precision

INSTRUMENTS = {
    1: (196.3052, 196.1240, 196.1890, 196.2569, 196.3403),
    2: (196.3042, 196.3825, 196.1669, 196.3257, 196.0422),
    3: (196.1303, 196.2005, 196.2889, 196.0343, 196.1811),
    4: (196.2795, 196.1748, 196.1494, 196.1485, 195.9885),
    5: (196.2119, 196.1051, 196.1850, 196.0052, 196.2090),
}
BETWEEN_SQUARES, WITHIN_SQUARES = 5.11462616000000e-02, 2.16636560000000e-01
RESIDUAL_DEVIATION, F = 1.04076068334656e-01, 1.18046237440255


def test_repeatability_is_the_certified_residual_deviation():
    found = precision(INSTRUMENTS)
    assert found.repeatability == pytest.approx(RESIDUAL_DEVIATION, rel=1e-10)
    assert found.repeatability**2 * found.dof_within == pytest.approx(WITHIN_SQUARES, rel=1e-10)


def test_the_part_between_instruments_follows_from_the_certified_squares():
    found = precision(INSTRUMENTS)
    expected = (BETWEEN_SQUARES / 4 - WITHIN_SQUARES / 20) / 5
    assert found.between == pytest.approx(math.sqrt(expected), rel=1e-9)


def test_the_certified_ratio_is_what_scipy_finds():
    assert f_oneway(*INSTRUMENTS.values()).statistic == pytest.approx(F, rel=1e-10)
