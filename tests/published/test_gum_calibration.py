"""The calibration of a thermometer in GUM H.3 (JCGM 100:2008, table H.6 and section H.3.3; digits from memory,
recomputed independently to nine places: y1 -0.171203790, y2 0.002182698, s 0.003497564).
"""

import pytest

from drivers.calibration import fit_calibration

SHOWN = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTION = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]
FIT = fit_calibration(SHOWN, [t + b for t, b in zip(SHOWN, CORRECTION, strict=True)])


def test_the_line_about_20_degrees_is_the_printed_one():
    y1, y2, u1, u2, r = FIT.about(20.0)
    assert y1 == pytest.approx(-0.1712, abs=5e-5)
    assert u1 == pytest.approx(0.0029, abs=5e-5)
    assert y2 == pytest.approx(0.00218, abs=5e-6)
    assert u2 == pytest.approx(0.00067, abs=5e-6)
    assert r == pytest.approx(-0.930, abs=5e-4)
    assert FIT.scatter == pytest.approx(0.0035, abs=5e-5)
    assert FIT.dof == 9


def test_the_correction_at_30_degrees_is_the_printed_one():
    value, u = FIT.correction(30.0)
    assert value == pytest.approx(-0.1494, abs=5e-5)
    assert u == pytest.approx(0.0041, abs=5e-5)
