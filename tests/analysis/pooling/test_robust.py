import numpy as np
import pytest

from analysis.pooling.robust import algorithm_a, e_n_score, z_prime_score, z_score, zeta_score


def test_a_wild_value_hardly_moves_the_robust_mean():
    quiet = [9.8, 9.9, 10.0, 10.1, 10.2, 10.0, 9.95]
    assert abs(algorithm_a([*quiet, 1000.0]).mean - algorithm_a(quiet).mean) < 0.05


def test_for_normal_data_it_gives_mean_and_deviation():
    data = np.random.default_rng(1).normal(5, 2, 20_000)
    found = algorithm_a(data)
    # efficiency 0.96: the mean is known to 2/sqrt(0.96 n), the deviation to about 1/sqrt(2 * 0.65 n); 4 sigma
    assert found.mean == pytest.approx(5, abs=4 * 2 / np.sqrt(0.96 * 20_000))
    assert found.deviation == pytest.approx(2, rel=4 / np.sqrt(1.3 * 20_000))


def test_many_equal_values_still_have_a_scale():
    found = algorithm_a([1.0] * 6 + [1.2, 0.9, 1.1])
    assert 0 < found.deviation < 0.2


def test_all_equal_values_have_no_scatter():
    assert algorithm_a([3.0] * 5).deviation == 0.0


def test_scores_by_hand():
    assert z_score(12.0, 10.0, 0.5) == 4.0
    assert z_prime_score(12.0, 10.0, 0.3, 0.4) == pytest.approx(4.0)
    assert zeta_score(12.0, 0.3, 10.0, 0.4) == pytest.approx(4.0)
    assert e_n_score(12.0, 0.6, 10.0, 0.8) == pytest.approx(2.0)


def test_a_value_that_helped_to_make_the_assigned_one_is_scored_against_a_smaller_difference():
    # assigned = mean of four: covariance u^2/4, variance of the difference u^2 (1 - 1/4)
    assert zeta_score(1.0, 1.0, 0.0, 0.5, covariance=0.25) == pytest.approx(1 / np.sqrt(0.75))


def test_two_values_are_too_few():
    with pytest.raises(ValueError, match="at least three values; got 2"):
        algorithm_a([1.0, 2.0])
