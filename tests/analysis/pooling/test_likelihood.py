import math
import pickle

import numpy as np
import pytest

from analysis.pooling.likelihood import _surface, consensus_of_sums, likelihood_consensus, sums_of
from analysis.pooling.runs import RunResult, covariance
from analysis.pooling.sums import ConsensusSums


def runs_of(rng, benches, repeats, *, between=0.5, own=0.5, common=0.2):
    shift, all_share = rng.normal(0, between, benches), rng.normal()
    rooms = rng.normal(size=3)
    return [
        RunResult(
            f"{b}.{r}",
            f"bench {b}",
            40.0 + shift[b] + common * all_share + 0.3 * rooms[b % 3] + rng.normal(0, own),
            own * math.exp(rng.normal(0, 0.3)),
            {("liquid data", "all"): common, ("barometer", str(b % 3)): 0.3},
        )
        for b in range(benches)
        for r in range(repeats)
    ]


@pytest.mark.parametrize(("tau_run", "tau_bench"), [(0.0, 0.0), (0.31, 0.62), (2.5, 0.1), (0.0, 1.7)])
def test_the_sums_give_the_mean_variance_and_likelihood_of_the_whole_matrix(tau_run, tau_bench):
    runs = runs_of(np.random.default_rng(1), 7, 3)
    names = np.array([run.bench for run in runs])
    matrix = covariance(runs) + tau_run**2 * np.eye(21) + tau_bench**2 * (names[:, None] == names[None, :])
    values = np.array([run.value for run in runs])
    inverse = np.linalg.inv(matrix)
    information = inverse.sum()
    mean = inverse.sum(axis=0) @ values / information
    level = -0.5 * (np.linalg.slogdet(matrix)[1] + math.log(information) + (values - mean) @ inverse @ (values - mean))
    sums = sums_of(runs)
    found = _surface(sums, np.array([tau_run]), np.array([tau_bench]))
    assert sums.centre + found.mean[0, 0] == pytest.approx(mean, abs=1e-8)
    assert found.variance[0, 0] == pytest.approx(1 / information, rel=1e-7)
    assert found.log_likelihood[0, 0] == pytest.approx(level, abs=1e-6)


def test_what_only_one_bench_s_runs_share_is_kept_whole():
    rng = np.random.default_rng(9)
    runs = [
        RunResult(f"{b}.{r}", str(b), rng.normal(10, 1), 0.4, {("cell", str(b)): 0.3 + 0.1 * b, ("data", "all"): 0.2})
        for b in range(4)
        for r in range(3)
    ]
    matrix = covariance(runs) + 0.25 * np.eye(12)
    inverse = np.linalg.inv(matrix)
    found = _surface(sums_of(runs), np.array([0.5]), np.array([0.0]))
    assert found.variance[0, 0] == pytest.approx(1 / inverse.sum(), rel=1e-8)


def test_without_scatter_beyond_the_claims_the_answer_is_near_the_weighted_mean():
    runs = [RunResult(str(i), "a", 10.0 + 0.001 * (-1) ** i, 1.0) for i in range(50)]
    found = likelihood_consensus(runs)
    assert found.value == pytest.approx(10.0, abs=1e-6)
    assert found.standard_uncertainty == pytest.approx(1 / math.sqrt(50), rel=0.05)


def test_four_benches_that_scatter_get_more_than_a_normal_interval():
    runs = [
        RunResult(f"{b}.{r}", str(b), 40.0 + x, 0.05) for b, x in enumerate((-2.0, -1.0, 0.5, 2.5)) for r in range(2)
    ]
    low, high = likelihood_consensus(runs).interval_95
    of_means = np.std([-2.0, -1.0, 0.5, 2.5], ddof=1) / 2
    # Student's t with 3 degrees of freedom would be 3.18
    assert 2.2 < (high - low) / 2 / of_means < 3.3


def test_shares_that_all_have_stay_in_the_uncertainty_however_many_runs():
    rng = np.random.default_rng(3)
    few = likelihood_consensus(runs_of(rng, 20, 2, between=0.0, common=1.0))
    many = likelihood_consensus(runs_of(rng, 20, 30, between=0.0, common=1.0))
    assert few.standard_uncertainty > many.standard_uncertainty > 1.0
    assert many.common == pytest.approx(many.standard_uncertainty, rel=0.05)


def test_benches_and_runs_scatter_are_told_apart_where_benches_repeat():
    found = likelihood_consensus(runs_of(np.random.default_rng(4), 40, 5, between=1.0, own=0.5, common=0.0))
    # 39 degrees of freedom: the deviation is known to 11 %; 4 sigma
    assert found.between_benches == pytest.approx(1.0, rel=0.45)
    low, high = found.between_benches_95
    assert low < found.between_benches < high
    assert found.between_runs < 0.35


def test_with_one_run_each_the_two_scatters_are_one():
    found = likelihood_consensus(runs_of(np.random.default_rng(5), 12, 1))
    assert math.isnan(found.between_benches)


def test_runs_in_any_order_and_any_pieces_give_the_same_answer():
    runs = runs_of(np.random.default_rng(6), 10, 3)
    whole = sums_of(runs)
    pieces = [
        ConsensusSums(whole.benches, whole.shares, whole.exclusive, centre=whole.centre, scale=whole.scale)
        for _ in range(3)
    ]
    for i, run in enumerate(reversed(runs)):
        pieces[i % 3].add([run])
    first = pieces[0]
    for other in pieces[1:]:
        first.merge(pickle.loads(pickle.dumps(other)))
    a, b = consensus_of_sums(whole), consensus_of_sums(first)
    assert b.value == pytest.approx(a.value, abs=1e-10)
    assert b.interval_95 == pytest.approx(a.interval_95, abs=1e-9)


def test_sums_with_another_working_point_are_not_mixed():
    one = ConsensusSums(["a"], [], centre=1.0, scale=1.0)
    with pytest.raises(ValueError, match="cannot be merged"):
        one.merge(ConsensusSums(["a"], [], centre=2.0, scale=1.0))


def test_a_run_from_an_unknown_bench_is_refused():
    with pytest.raises(ValueError, match="bench 'z', which these sums do not know"):
        ConsensusSums(["a"], [], centre=1.0, scale=1.0).add([RunResult("1", "z", 1.0, 1.0)])


def test_a_scatter_beyond_the_nodes_is_refused_not_extrapolated():
    sums = sums_of(runs_of(np.random.default_rng(7), 3, 2))
    with pytest.raises(ValueError, match="give a larger scale"):
        sums.at(np.array([1000.0 * sums.scale]))


def test_the_mixture_covers_the_truth_where_the_plain_average_does_not():
    rng = np.random.default_rng(8)
    hits = plain = 0
    for _ in range(60):
        runs = runs_of(rng, 6, 2, between=0.2, common=0.5)
        low, high = likelihood_consensus(runs).interval_95
        hits += low <= 40.0 <= high
        values = np.array([run.value for run in runs])
        plain += abs(values.mean() - 40.0) < 2.2 * values.std(ddof=1) / math.sqrt(len(values))
    # 95 % of 60 with four standard deviations of a binomial
    assert hits >= 50
    assert plain < 45
