import numpy as np
import pytest

from analysis.pooling.runs import RunResult, covariance, without_sharing


def test_what_two_runs_share_stands_off_the_diagonal_with_its_sign():
    runs = [
        RunResult("1", "a", 1.0, 0.3, {("barometer", "x"): 0.2}),
        RunResult("2", "b", 2.0, 0.4, {("barometer", "x"): -0.1, ("thermometer", "t"): 0.5}),
        RunResult("3", "c", 3.0, 0.5, {("thermometer", "t"): 0.5}),
    ]
    expected = [[0.09 + 0.04, -0.02, 0.0], [-0.02, 0.16 + 0.01 + 0.25, 0.25], [0.0, 0.25, 0.25 + 0.25]]
    assert covariance(runs) == pytest.approx(np.array(expected), abs=1e-15)


def test_the_same_thing_under_another_name_is_not_shared():
    runs = [RunResult(str(i), "a", 1.0, 0.3, {("barometer", str(i)): 0.2}) for i in range(2)]
    assert covariance(runs)[0, 1] == 0.0


def test_ignoring_what_is_shared_keeps_the_whole_uncertainty():
    run = RunResult("1", "a", 1.0, 0.3, {("barometer", "x"): 0.4})
    assert without_sharing([run])[0].u_own == pytest.approx(0.5)


@pytest.mark.parametrize(("value", "u"), [(float("nan"), 1.0), (1.0, 0.0), (1.0, -1.0), (1.0, float("inf"))])
def test_a_run_without_a_number_is_refused_by_name(value, u):
    with pytest.raises(ValueError, match="run 'r7'"):
        RunResult("r7", "a", value, u)
