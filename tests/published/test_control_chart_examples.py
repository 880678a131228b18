"""Control charts against the worked examples of the NIST/SEMATECH e-Handbook of Statistical Methods.

Sections 6.3.2.2 (single values, flow rate) and 6.3.2.4 (weighted moving average); data and results from memory.  The
average is repeated with a digital filter of scipy.
"""

import numpy as np
import pytest
from scipy.signal import lfilter

from analysis.pooling.control import average_chart, control_chart

FLOW = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
BEFORE = (52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5)
AVERAGES = (
    *(50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33),
    *(50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99),
)


def test_the_limits_for_single_values_are_the_printed_ones():
    chart = control_chart(FLOW)
    assert chart.centre == pytest.approx(50.81, abs=5e-3)
    assert chart.upper == pytest.approx(55.8041, abs=1e-4)
    assert chart.lower == pytest.approx(45.8159, abs=1e-4)
    assert not chart.signals


def test_the_moving_average_and_its_limits_are_the_printed_ones():
    chart = average_chart(BEFORE + FLOW, centre=50.0, deviation=2.0539, weight=0.3, exact=False)
    assert chart.values == pytest.approx(AVERAGES, abs=5.1e-3)
    assert chart.upper[0] == pytest.approx(52.5884, abs=5e-4)
    assert chart.lower[0] == pytest.approx(47.4115, abs=5e-4)
    assert not chart.signals


def test_the_moving_average_is_a_first_order_filter():
    data = np.array(BEFORE + FLOW)
    filtered, _ = lfilter([0.3], [1.0, -0.7], data, zi=[0.7 * 50.0])
    assert average_chart(data, centre=50.0, deviation=1.0, weight=0.3).values == pytest.approx(filtered, abs=1e-12)
