"""Readings into blocks: robust, whatever the chunks, the order and the bunching."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.settling import Blocker, SettlingInputError, robust_mean


def _blocks(readings: list[tuple[float, float]], cuts: list[int], upto: int) -> list:
    blocker = Blocker()
    edges = [0, *sorted(cuts), len(readings)]
    for first, last in pairwise(edges):
        part = readings[first:last]
        blocker.add("temperature", [t for t, _ in part], [v for _, v in part])
        blocker.add("pressure", [t for t, _ in part], [1e5 + v for _, v in part])
    return blocker.close(upto)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from([0.0, 0.1, 0.9, 1.0, 1.5, 2.2, 4.9]), st.sampled_from([20.0, 20.25, 21.0, 90.0]))
    ),
    st.lists(st.integers(0, 12), max_size=4),
)
def test_blocks_do_not_depend_on_chunks_or_order(readings, cuts):
    cuts = [min(c, len(readings)) for c in cuts]
    whole = _blocks(readings, [], 6)
    cut = _blocks(readings[::-1], cuts, 6)
    assert [repr(b) for b in whole] == [repr(b) for b in cut]


def test_every_second_between_first_reading_and_close_gives_one_block():
    blocker = Blocker()
    blocker.add("temperature", [3.2, 7.8], [300.0, 301.0])
    blocks = blocker.close(9)
    assert [b.index for b in blocks] == [3, 4, 5, 6, 7, 8]
    assert [math.isnan(b.temperature) for b in blocks] == [False, True, True, True, False, True]
    assert all(math.isnan(b.pressure) for b in blocks)
    assert blocks[0].time == 3.5


def test_a_reading_for_a_closed_second_is_counted_and_changes_nothing():
    blocker = Blocker()
    blocker.add("pressure", [0.5], [1e5])
    blocker.close(2)
    blocker.add("pressure", [1.5], [9e5])
    assert blocker.late == 1
    assert blocker.close(2) == []


def test_the_same_reading_twice_counts_once():
    blocker = Blocker()
    blocker.add("pressure", [0.5, 0.5, 0.6], [1e5, 1e5, 2e5])
    (block,) = blocker.close(1)
    assert block.n_pressure == 2
    assert blocker.repeated == 1


def test_a_wild_reading_leaves_the_mean_of_its_second_alone():
    clean = 300.0 + 0.01 * np.arange(10)
    spoilt = np.append(clean, 350.0)
    assert robust_mean(spoilt) == pytest.approx(clean.mean(), abs=1e-9)


def test_a_dithering_code_keeps_its_mean():
    # 9 readings of one code and one of the next: the median deviation is zero, the mean must not be the code
    values = np.array([20.0] * 9 + [20.06])
    assert robust_mean(values) == pytest.approx(20.006)


def test_the_step_of_a_code_is_found_and_none_where_values_never_repeat():
    rng = np.random.default_rng(3)
    blocker = Blocker()
    for k in range(60):
        when = k + np.arange(4) / 4
        blocker.add("temperature", when, np.round(rng.normal(300.0, 0.3, 4) / 0.25) * 0.25)
        blocker.add("pressure", when, rng.normal(1e5, 5.0, 4))
    last = blocker.close(60)[-1]
    assert last.quantum_temperature == pytest.approx(0.25)
    assert last.quantum_pressure == 0.0


def test_a_channel_that_settling_does_not_judge_is_refused():
    with pytest.raises(
        SettlingInputError, match="channel is 'barometer'; settling judges 'temperature' and 'pressure'"
    ):
        Blocker().add("barometer", [0.0], [1e5])


def test_unequal_lengths_are_refused():
    with pytest.raises(SettlingInputError, match="1 pressure readings came with 2 times"):
        Blocker().add("pressure", [0.0, 1.0], [1e5])
