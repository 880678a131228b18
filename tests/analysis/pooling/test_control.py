import numpy as np
import pytest

from analysis.pooling.control import average_chart, control_chart, trend


def test_a_value_beyond_three_deviations_is_a_signal():
    chart = control_chart([0.0, 0.5, -0.5, 4.0, 0.2], centre=0.0, deviation=1.0)
    assert [(s.index, s.rule) for s in chart.signals] == [(3, "beyond the limits")]


def test_eight_in_a_row_on_one_side_are_a_signal_and_seven_are_not():
    seven = [0.5] * 7 + [-0.5]
    assert not control_chart(seven, centre=0.0, deviation=1.0).signals
    eight = control_chart([-0.1, *[0.5] * 8], centre=0.0, deviation=1.0)
    assert [(s.index, s.rule) for s in eight.signals] == [(8, "8 in a row on one side")]


def test_values_on_the_centre_line_belong_to_no_side():
    assert not control_chart([0.0] * 20, centre=0.0, deviation=1.0).signals


def test_a_step_changes_the_limits_of_a_chart_made_of_itself_only_a_little():
    # the moving range sees one jump; a standard deviation over all values would double
    data = np.concatenate([np.tile([0.5, -0.5], 20), 4 + np.tile([0.5, -0.5], 20)])
    assert control_chart(data).deviation < 1.0
    assert any(s.rule == "beyond the limits" or "row" in s.rule for s in control_chart(data).signals)


def test_the_moving_average_finds_a_small_drift_that_single_values_hide():
    data = np.concatenate([np.zeros(10), np.full(15, 1.2)]) + 0.3 * np.tile([1, -1], 13)[:25]
    single = [s for s in control_chart(data, centre=0.0, deviation=1.0).signals if s.rule == "beyond the limits"]
    assert not single
    assert average_chart(data, centre=0.0, deviation=1.0).signals


def test_the_limits_of_the_average_start_narrow_and_settle():
    chart = average_chart(np.zeros(60), centre=0.0, deviation=1.0, weight=0.2)
    assert chart.upper[0] == pytest.approx(3 * 0.2)
    assert chart.upper[-1] == pytest.approx(3 * np.sqrt(0.2 / 1.8), rel=1e-6)


def test_a_trend_is_found_with_its_slope():
    time = np.arange(30.0)
    data = 3.0 + 0.5 * time + np.random.default_rng(1).normal(0, 1, 30)
    found = trend(time, data)
    assert found.significant
    assert found.interval_95[0] < 0.5 < found.interval_95[1]
    expected = 1 / np.sqrt(np.sum((time - time.mean()) ** 2))
    assert found.u_slope == pytest.approx(expected, rel=4 / np.sqrt(2 * 28))


def test_weights_are_those_of_the_uncertainties():
    found = trend([0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 2.0, 30.0], [1.0, 1.0, 1.0, 1e6])
    assert found.slope == pytest.approx(1.0, abs=1e-6)


def test_a_trend_over_no_time_is_refused():
    with pytest.raises(ValueError, match="different times"):
        trend([1.0, 1.0, 1.0], [1.0, 2.0, 3.0])


def test_a_moving_average_without_weight_is_refused():
    with pytest.raises(ValueError, match="above 0 and at most 1"):
        average_chart([1.0], centre=0.0, deviation=1.0, weight=0.0)


def test_of_a_long_series_that_only_scatters_one_run_in_150_is_a_signal():
    # Beyond three deviations 1 in 370, the eighth on one side 1 in 256; as the page says it, rounded.
    series = np.random.default_rng(8).standard_normal((250, 240))
    found = sum(len(control_chart(one).signals) for one in series)
    expected = series.size / 150
    assert abs(found - expected) < 4 * np.sqrt(expected)
