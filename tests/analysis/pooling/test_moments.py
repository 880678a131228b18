import numpy as np
import pytest

from analysis.pooling.moments import (
    consensus_of_runs,
    dersimonian_laird,
    paule_mandel,
    plain_average,
    weighted_mean,
)
from analysis.pooling.runs import RunResult


def test_results_that_agree_get_no_scatter():
    for method in (dersimonian_laird, paule_mandel):
        assert method([1.0, 1.1, 0.9], [1.0, 1.0, 1.0]).between == 0.0


def test_paule_mandel_makes_the_residual_chi_square_the_degrees_of_freedom():
    rng = np.random.default_rng(1)
    values = rng.normal(0, 3, 8)
    parts = 0.6 * np.outer(np.arange(8) < 5, [1.0])
    found = paule_mandel(values, np.ones(8), parts)
    inverse = np.linalg.inv(parts @ parts.T + (1 + found.between**2) * np.eye(8))
    residual = values - found.value
    assert found.between > 0
    assert residual @ inverse @ residual == pytest.approx(7.0, rel=1e-9)


def test_dersimonian_laird_with_correlations_is_unbiased_in_the_variance():
    # E[Q] = n - 1 + tau^2 tr P holds whatever the covariance: the mean over many draws of the untruncated estimate
    rng = np.random.default_rng(2)
    parts = np.sqrt(0.8) * np.stack([np.ones(10), np.arange(10) < 4], axis=1)
    factor = np.linalg.cholesky(parts @ parts.T + 10.0 * np.eye(10))
    found = [dersimonian_laird(factor @ rng.normal(size=10), np.ones(10), parts).between ** 2 for _ in range(400)]
    # the estimate of 9 + 1 from nine degrees of freedom has a relative deviation of sqrt(2/9); 4 sigma
    assert np.mean(found) == pytest.approx(9.0, abs=4 * 10 * np.sqrt(2 / 9 / 400))


def test_what_all_share_is_not_averaged_away():
    runs = [RunResult(str(i), str(i), 10.0, 1.0, {("liquid data", "all"): 0.5}) for i in range(100)]
    assert weighted_mean([10.0] * 100, [1.25] * 100).standard_uncertainty == pytest.approx(0.1118, abs=1e-4)
    assert consensus_of_runs(runs, "weighted mean").standard_uncertainty == pytest.approx(np.hypot(0.1, 0.5), rel=1e-9)


def test_a_run_that_repeats_another_ones_error_gets_no_second_vote():
    close = {("barometer", "x"): 1.0}
    runs = [RunResult("1", "a", 1.0, 0.01, close), RunResult("2", "b", 1.0, 0.01, close), RunResult("3", "c", 4.0, 1.0)]
    assert consensus_of_runs(runs, "weighted mean").value == pytest.approx(2.5, abs=1e-3)


def test_the_plain_average_is_that_of_a_spreadsheet():
    found = plain_average([1.0, 2.0, 3.0, 4.0])
    assert found.value == 2.5
    assert found.standard_uncertainty == pytest.approx(1.2909944 / 2)
    assert found.interval_95[1] - 2.5 == pytest.approx(3.182446 * 1.2909944 / 2, rel=1e-6)  # t(3) from any table


def test_an_unknown_method_is_refused_with_the_known_ones():
    runs = [RunResult(str(i), "a", 1.0, 1.0) for i in range(3)]
    with pytest.raises(ValueError, match="no consensus method 'median'; there are weighted mean, DerSimonian"):
        consensus_of_runs(runs, "median")


def test_one_value_is_no_consensus():
    with pytest.raises(ValueError, match="at least two values"):
        paule_mandel([1.0], [1.0])


def test_parts_of_other_values_are_refused():
    with pytest.raises(ValueError, match=r"a row of shared parts for each of 3 values; got \(2, 1\)"):
        weighted_mean([1.0, 2.0, 3.0], [1.0, 1.0, 1.0], [[1.0], [1.0]])


@pytest.mark.parametrize("method", ["weighted mean", "DerSimonian-Laird", "Paule-Mandel"])
def test_stated_differences_of_a_common_error_do_not_carry_the_mean_out_of_the_data(method):
    # least squares would give 105 : 100 the weights 21 : -20 and say 51 for these two
    runs = [
        RunResult(str(part), str(part), value, 0.1, {("barometer", "x"): part})
        for value, part in ((30.0, 100.0), (31.0, 105.0))
    ]
    found = consensus_of_runs(runs, method)
    assert 30.0 < found.value < 31.0
    assert 100.0 < found.standard_uncertainty < 105.0
