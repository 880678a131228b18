import math

import numpy as np
import pytest

from analysis.pooling.likelihood import _shared, _surface, consensus_of_sums, likelihood_consensus, sums_of
from analysis.pooling.moments import consensus_of_runs
from analysis.pooling.runs import RunResult, covariance
from analysis.pooling.weights import levelled


def least_squares(matrix):
    sums = np.linalg.inv(matrix).sum(axis=1)
    return sums / sums.sum()


def of(parts, own):
    """Weights of runs with these shared parts and own variances."""
    return levelled((parts != 0).astype(float), parts).weights(own)


def test_without_shared_parts_they_are_those_of_the_weighted_mean():
    own = np.array([1.0, 4.0, 0.25])
    assert of(np.zeros((3, 0)), own) == pytest.approx((1 / own) / np.sum(1 / own), rel=1e-14)


def test_for_nested_groups_they_are_those_of_least_squares():
    rng = np.random.default_rng(1)
    own = rng.uniform(0.5, 2.0, 12)
    pair, room, all_of_them = np.arange(12) // 2 == np.arange(6)[:, None], np.arange(12) < 8, np.ones(12)
    parts = np.concatenate([0.8 * pair.T, -1.3 * room[:, None], 2.0 * all_of_them[:, None]], axis=1)[
        :, rng.permutation(8)
    ]
    assert of(parts, own) == pytest.approx(least_squares(np.diag(own) + parts @ parts.T), rel=1e-12)


def test_what_all_have_changes_no_weight_however_it_is_stated():
    own = np.array([1.0, 2.0, 3.0])
    alone = of(np.zeros((3, 0)), own)
    assert of(np.full((3, 1), 50.0), own) == pytest.approx(alone, rel=1e-14)


def test_members_of_one_room_count_less_than_benches_with_a_barometer_each():
    parts = np.array([[2.0], [2.0], [2.0], [0.0]])
    weights = of(parts, np.ones(4))
    # the room is worth 1/(1/3 + 4), the other one 1
    assert weights[3] / weights[:3].sum() == pytest.approx(1 / 3 + 4, rel=1e-12)


def test_of_two_that_share_an_error_the_one_it_disturbs_more_counts_less():
    # level 2: one more than that for the second, with as much of its own
    calm, disturbed = of(np.array([[1.0], [3.0]]), np.ones(2))
    assert disturbed / calm == pytest.approx(0.5, rel=1e-12)
    calm, disturbed = of(np.array([[1.0], [1.05]]), np.ones(2))
    assert disturbed / calm == pytest.approx(1.0, abs=1e-3)


def test_opposite_signs_leave_no_level_and_cancel_in_the_mean():
    runs = [RunResult(str(s), str(s), 10.0, 1.0, {("sensor", "x"): 5.0 * s}) for s in (-1, 1)]
    found = consensus_of_runs(runs, "weighted mean")
    assert found.standard_uncertainty == pytest.approx(math.sqrt(0.5), rel=1e-12)


@pytest.mark.parametrize("spread", [0.0, 0.05, 0.5])
def test_crossed_groups_give_no_weight_below_zero_where_least_squares_does(spread):
    rng = np.random.default_rng(2)
    # a run in both groups is the sum of two others' errors: least squares subtracts it
    parts = np.array([[1.0, 1.0], [1.0, 0.0], [0.0, 1.0]]) * np.exp(spread * rng.normal(size=(3, 2)))
    own = np.full(3, 0.01)
    assert least_squares(np.diag(own) + parts @ parts.T).min() < -0.5
    weights = of(parts, own)
    assert weights.min() > 0
    assert weights.sum() == pytest.approx(1.0, rel=1e-14)


def campaign(rng, spread, *, benches=24, repeats=3):
    """Values about 0 in rooms of eight benches with a barometer each, data and stock for all.

    What each run states of a shared part is off by `spread`; the error itself is the same for all who have it.
    """
    sizes = {"barometer": 2.0, "data": 2.0, "stock": 1.0}
    errors = {("barometer", str(room)): rng.normal() for room in range(benches // 8)}
    errors |= {("data", "all"): rng.normal(), ("stock", "all"): rng.normal()}
    found = []
    for bench in range(benches):
        things = [("barometer", str(bench // 8)), ("data", "all"), ("stock", "all")]
        common = rng.normal(0, 0.1) + sum(sizes[thing[0]] * errors[thing] for thing in things)
        for run in range(repeats):
            shared = {thing: sizes[thing[0]] * math.exp(spread * rng.normal()) for thing in things}
            found.append(RunResult(f"{bench}.{run}", str(bench), common + rng.normal(0, 0.2), 0.2, shared))
    return found


@pytest.mark.parametrize("find", [likelihood_consensus, consensus_of_runs])
def test_shared_parts_stated_five_per_cent_wrong_leave_the_mean_where_it_was_and_the_interval_honest(find):
    rng = np.random.default_rng(3)
    hits = missed = 0
    campaigns = 80
    for _ in range(campaigns):
        runs = campaign(rng, 0.05)
        values = np.array([run.value for run in runs])
        found = find(runs)
        middle = values.mean()
        assert abs(found.value - middle) < 0.2  # rooms 2 apart, whose weights differ by a few per cent
        hits += found.interval_95[0] <= 0.0 <= found.interval_95[1]
        weights = least_squares(covariance(runs))
        u = math.sqrt(1 / np.linalg.inv(covariance(runs)).sum())
        missed += abs(weights @ values) > 1.96 * u
    # 95 % of 80 with three standard deviations of a binomial; least squares misses far more often
    assert hits >= 70
    assert missed > 20


def test_the_uncertainty_hardly_moves_with_how_the_shared_parts_are_stated():
    exact = likelihood_consensus(campaign(np.random.default_rng(4), 0.0))
    rough = likelihood_consensus(campaign(np.random.default_rng(4), 0.05))
    # common errors of 2, 1 and a third of the rooms' 4: what least squares believes to know of them is not there
    assert exact.common == pytest.approx(math.sqrt(4 + 1 + 4 / 3), rel=0.02)
    assert rough.common == pytest.approx(exact.common, rel=0.03)


def test_the_mean_of_many_runs_stays_in_the_data_too():
    rng = np.random.default_rng(5)
    runs = campaign(rng, 0.05, benches=16, repeats=60)
    values = np.array([run.value for run in runs])
    found = likelihood_consensus(runs)
    assert abs(found.value - values.mean()) < 0.1
    assert values.min() < found.value < values.max()
    weights = least_squares(covariance(runs))
    assert weights.min() < 0  # what is to be avoided
    assert abs(weights @ values) > 4 * math.sqrt(1 / np.linalg.inv(covariance(runs)).sum())


def test_the_uncertainty_is_that_of_the_weights_with_every_stated_part_and_every_scatter():
    runs = campaign(np.random.default_rng(6), 0.3, benches=16)
    bench = np.array([int(run.bench) for run in runs])
    together = bench[:, None] == bench
    tau_run, tau_bench = 0.3, 0.4
    sums = sums_of(runs)
    within = 1 / np.array([run.u_own**2 + tau_run**2 for run in runs])
    alone = 1 / (together @ within)[::3] + tau_bench**2
    order = np.argsort([sums.benches.index(str(b)) for b in range(16)])
    share = np.empty(16)
    share[order] = _shared(sums).weights(alone[order])
    weights = share[bench] * within / (together @ within)
    whole = covariance(runs) + tau_run**2 * np.eye(len(runs)) + tau_bench**2 * together
    found = _surface(sums, np.array([tau_run]), np.array([tau_bench]))
    assert found.variance[0, 0] == pytest.approx(weights @ whole @ weights, rel=1e-8)
    assert sums.centre + found.mean[0, 0] == pytest.approx(weights @ [run.value for run in runs], abs=1e-8)
    endless = whole - np.diag(np.diag(whole)) + np.diag([sum(p**2 for p in run.shared.values()) for run in runs])
    assert found.lasting[0, 0] == pytest.approx(weights @ (endless + tau_bench**2 * np.eye(48)) @ weights, rel=1e-8)


def test_benches_whose_runs_are_all_left_out_count_for_nothing():
    runs = campaign(np.random.default_rng(7), 0.05, benches=8)
    sums = sums_of(runs)
    some = type(sums)(sums.benches, sums.shares, sums.exclusive, centre=sums.centre, scale=sums.scale)
    kept = [run for run in runs if run.bench not in ("1", "3")]
    some.add(kept)
    alone = type(sums)(
        sorted({run.bench for run in kept}), sums.shares, sums.exclusive, centre=sums.centre, scale=sums.scale
    )
    alone.add(kept)
    assert consensus_of_sums(some) == consensus_of_sums(alone)
    assert consensus_of_sums(some).benches == 6
