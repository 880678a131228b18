import numpy as np
import pytest

from analysis.liquids import load_liquid
from analysis.pooling.benches import _p_values, bench_scores, compare_benches
from analysis.pooling.curve import fit_pooled_curve, start_curve
from tests.analysis.pooling.campaigns import Fault, campaign

HEPTANE = load_liquid("n-heptane")
OTHERS = {name: start_curve(load_liquid(name)) for name in ("cyclohexane", "n-hexane", "ethanol", "toluene")}


def compared(seed, faults, *, benches=16, runs=2, **more):
    made, rooms = campaign(np.random.default_rng(seed), benches=benches, runs=runs, faults=faults, **more)
    _, sums = fit_pooled_curve(made, HEPTANE)
    return compare_benches(sums, rooms, OTHERS), sums, rooms


def test_a_leak_a_barometer_and_a_swapped_liquid_are_found_with_their_reasons():
    faults = {2: Fault(leak_rate=1 / 36e3), 7: Fault(barometer=10e3), 11: Fault(liquid="cyclohexane")}
    result, _, _ = compared(5, faults)
    assert {(o.bench, o.reason) for o in result.outlying} == {
        ("bench 03", "leak"),
        ("bench 08", "pressure sensor"),
        ("bench 12", "liquid"),
    }
    texts = {o.reason: o.text for o in result.outlying}
    assert "cyclohexane would fit" in texts["liquid"]
    assert "its over-pressure falls to 37 % in about" in texts["leak"]
    assert len(result.scores) == 13


def test_the_leak_rate_is_the_planted_one():
    result, _, _ = compared(6, {4: Fault(leak_rate=1 / 36e3)})
    scores = result.outlying[0].scores
    assert scores.leak_rate == pytest.approx(1 / 36e3, abs=4 * scores.u_leak_rate)


def test_more_air_than_the_inputs_say_is_measured():
    result, _, _ = compared(7, {5: Fault(air=0.02)})
    found = {o.bench: o for o in result.outlying}
    assert "bench 06" in found
    assert found["bench 06"].scores.air_error == pytest.approx(0.02, abs=4 * found["bench 06"].scores.u_air_error)
    assert "air" in (found["bench 06"].reason, *found["bench 06"].other_reasons)


def test_healthy_benches_are_not_named():
    for seed in (21, 22, 23):
        assert compared(seed, {})[0].outlying == ()


def test_scores_of_healthy_benches_are_of_unit_size():
    _, sums, rooms = compared(24, {}, benches=40)
    scores = bench_scores(sums, rooms)
    for name in ("leak", "air", "sensor"):
        values = np.array([getattr(s, name) for s in scores])
        # forty values: their mean square is one within 4 sqrt(2/40)
        assert np.mean(values**2) == pytest.approx(1.0, abs=4 * np.sqrt(2 / 40))
    assert np.mean([s.own_curve for s in scores]) == pytest.approx(2.0, abs=4 * np.sqrt(4 / 40))


def test_a_leaking_bench_moves_the_others_no_longer_once_named():
    result, sums, _ = compared(8, {4: Fault(leak_rate=1 / 10e3)})
    assert "bench 05" not in {block.bench for block in result.sums.blocks.values()}
    assert "bench 05" in {block.bench for block in sums.blocks.values()}


def test_three_benches_have_no_majority():
    result, _, _ = compared(9, {0: Fault(liquid="cyclohexane")}, benches=3)
    assert result.outlying == ()


def test_without_rooms_and_liquids_a_swapped_liquid_still_stands_out():
    made, _ = campaign(np.random.default_rng(10), benches=10, runs=1, faults={3: Fault(liquid="cyclohexane")})
    _, sums = fit_pooled_curve(made, HEPTANE)
    result = compare_benches(sums)
    assert result.outlying[0].bench == "bench 04"
    assert result.outlying[0].reason != "liquid"


def test_the_chance_that_is_stated_counts_every_bench_that_was_looked_at():
    result, sums, rooms = compared(6, {4: Fault(barometer=12e3)})
    scores = bench_scores(sums, rooms)
    named = [s.bench for s in scores].index(result.outlying[0].bench)
    assert result.outlying[0].p_value == pytest.approx(16 * _p_values(scores)[named], rel=1e-9)
