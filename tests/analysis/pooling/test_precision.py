import math

import numpy as np
import pytest

from analysis.pooling.precision import consistency, precision


def test_unequal_numbers_of_runs_are_weighted_as_the_standard_says():
    found = precision({"a": [1.0, 3.0], "b": [4.0], "c": [5.0, 7.0, 9.0]})
    # by hand: within (2 + 0 + 8)/3, mean 29/6, between squares 27.5/2, n = (6 - 14/6)/2
    mean = 29 / 6
    spread = (2 * (2 - mean) ** 2 + (4 - mean) ** 2 + 3 * (7 - mean) ** 2) / 2
    assert found.repeatability == pytest.approx(math.sqrt(10 / 3))
    assert found.between == pytest.approx(math.sqrt((spread - 10 / 3) / ((6 - 14 / 6) / 2)))
    assert found.reproducibility**2 == pytest.approx(found.repeatability**2 + found.between**2)
    assert found.repeatability_limit == pytest.approx(2.8 * found.repeatability)


def test_a_negative_variance_between_benches_becomes_zero():
    found = precision({"a": [1.0, 3.0], "b": [3.0, 1.0]})
    assert found.between == 0.0
    assert found.reproducibility == found.repeatability


def test_the_uncertainty_of_the_mean_is_its_scatter_over_many_campaigns():
    rng = np.random.default_rng(1)
    means, quoted = [], []
    for _ in range(400):
        benches = rng.normal(0, 1.0, 8)
        found = precision({b: benches[b] + rng.normal(0, 0.5, 3) for b in range(8)})
        means.append(found.mean)
        quoted.append(found.u_mean**2)
    # the variance of 400 draws is known to sqrt(2/400); 4 sigma
    assert np.mean(quoted) == pytest.approx(np.var(means, ddof=1), rel=4 * math.sqrt(2 / 400))


def test_repeatability_without_repeats_is_refused():
    with pytest.raises(ValueError, match="one bench with two runs; got 2 benches and 2 runs"):
        precision({"a": [1.0], "b": [2.0]})


def test_a_bench_that_is_far_off_is_an_outlier_of_grubbs_and_over_the_line_of_h():
    rng = np.random.default_rng(2)
    data = {f"b{i}": rng.normal(10, 1, 3) for i in range(10)}
    data["b4"] = data["b4"] + 12
    found = consistency(data)
    largest = next(t for t in found.tests if t.name == "Grubbs, largest")
    assert largest.outlier
    assert found.benches[largest.suspects[0]] == "b4"
    assert found.h[4] > found.h_lines[1]


def test_a_bench_that_scatters_is_an_outlier_of_cochran_also_where_others_have_no_repeats():
    data = {"single": [5.0], **{f"b{i}": [10.0, 10.1, 9.9] for i in range(8)}, "wild": [7.0, 10.0, 13.0]}
    found = consistency(data)
    cochran = found.tests[0]
    assert cochran.outlier
    assert found.benches[cochran.suspects[0]] == "wild"
    assert math.isnan(found.k[0])
    assert found.k[-1] > found.k_lines[1]


def test_two_outliers_that_hide_each_other_are_found_together():
    rng = np.random.default_rng(3)
    data = {i: [rng.normal(10, 0.1)] * 2 for i in range(10)} | {10: [14.0, 14.0], 11: [14.1, 14.1]}
    tests = {t.name: t for t in consistency(data).tests}
    assert not tests["Grubbs, largest"].outlier
    assert tests["Grubbs, two largest"].outlier
    assert set(tests["Grubbs, two largest"].suspects) == {10, 11}


def test_benches_that_agree_exactly_give_no_outlier_and_no_division_by_zero():
    found = consistency({i: [1.0, 1.0] for i in range(6)})
    assert not any(t.outlier or t.straggler for t in found.tests)
