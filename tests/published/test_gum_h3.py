"""GUM (JCGM 100:2008) example H.3, calibration of a thermometer: Table H.6 and clause H.3.3 onwards."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.line_fit import fit_line_equal_u

READING = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTION = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


@pytest.fixture(name="line")
def _line():
    return fit_line_equal_u(np.array(READING) - 20, CORRECTION)


def test_the_printed_line_is_reproduced(line):
    assert line.intercept == pytest.approx(-0.1712, abs=5e-5)
    assert line.u_intercept == pytest.approx(0.0029, abs=5e-5)
    assert line.slope == pytest.approx(0.00218, abs=5e-6)
    assert line.u_slope == pytest.approx(0.00067, abs=5e-6)
    assert line.correlation == pytest.approx(-0.930, abs=5e-4)
    assert np.sqrt(line.chi2 / line.dof) == pytest.approx(0.0035, abs=5e-5)
    assert line.dof == 9


def test_the_printed_prediction_at_30_degrees_is_reproduced(line):
    value, u = line.predict(10.0)
    assert value == pytest.approx(-0.1494, abs=5e-5)
    assert u == pytest.approx(0.0041, abs=5e-5)


def test_moving_the_origin_changes_nothing_but_the_intercept(line):
    moved = line.shifted(10.0)
    assert moved.intercept == pytest.approx(line.predict(10.0)[0])
    assert moved.predict(0.0) == pytest.approx(line.predict(10.0))
    assert moved.predict(-10.0) == pytest.approx(line.predict(0.0))
