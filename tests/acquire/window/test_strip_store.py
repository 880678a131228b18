"""Readings behind a strip: nothing lost that can be seen, memory bounded."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acquire.window.strip_store import FACTOR, LEVELS, LIVE_CAPACITY, StripStore


def filled(n, step=0.1, **kwargs):
    store = StripStore(**kwargs)
    time = np.arange(n) * step
    value = np.sin(time / 50.0)
    for start in range(0, n, 997):
        store.extend(time[start : start + 997], value[start : start + 997])
    return store, time, value


def test_few_readings_are_drawn_as_they_are():
    store, time, value = filled(50)
    drawn = store.outline(0.0, 10.0, 100)
    assert np.array_equal(drawn[0], time)
    assert np.array_equal(drawn[1], value)


@pytest.mark.parametrize("n", [3000, 40_000, 700_000])
def test_a_spike_is_never_lost(n):
    store, time, value = filled(n)
    store.extend(time[-1] + np.array([0.1, 0.2, 0.3]), np.array([0.0, 9.0, 0.0]))
    spiked, t = store.outline(0.0, time[-1] + 1.0, 800)[::-1]
    assert np.nanmax(spiked) == 9.0
    assert np.nanmin(spiked) == pytest.approx(value.min(), abs=1e-12)
    assert len(t) <= 2 * 802


@pytest.mark.parametrize("n", [3000, 40_000, 700_000])
def test_a_steady_trace_has_no_gaps_at_any_length(n):
    store, time, _ = filled(n)
    for start in (0.0, time[-1] / 2, time[-1] * 0.999):
        assert not np.isnan(store.outline(start, time[-1], 700)[1]).any()


def test_a_gap_is_not_drawn_over():
    store = StripStore()
    store.extend(np.arange(100) * 0.1, np.ones(100))
    store.extend(60.0 + np.arange(100) * 0.1, np.ones(100))
    time, value = store.outline(0.0, 80.0, 2000)
    assert np.isnan(value).sum() == 1
    assert time[np.isnan(value)][0] == pytest.approx(9.9)


def test_the_line_runs_to_both_edges_of_the_picture():
    store, _, _ = filled(1000)
    time, _ = store.outline(20.03, 29.97, 2000)
    assert time[0] <= 20.03
    assert time[-1] >= 29.97


def test_unusable_readings_are_left_out():
    store = StripStore()
    store.extend(np.array([0.0, 1.0, 2.0]), np.array([1.0, np.nan, 3.0]))
    assert store.total == 2


@pytest.mark.parametrize("reserved", [False, True])
def test_memory_ends_growing_and_old_readings_stay_to_be_seen(reserved):
    store = StripStore(capacity=4096, bins=(4096,) * LEVELS, reserved=reserved)
    sizes = [store.nbytes]
    for hour in range(40):
        time = hour * 3600.0 + np.arange(0.0, 3600.0)
        store.extend(time, np.where(time == 7200.0, 5.0, 0.0))
        sizes.append(store.nbytes)
    assert sizes[-1] == sizes[21]
    assert not reserved or sizes[0] == sizes[-1]
    time, value = store.outline(0.0, 40 * 3600.0, 500)
    assert np.nanmax(value) == 5.0
    assert time[0] == 0.0


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(0, 5), min_size=1, max_size=400),
    st.lists(st.integers(1, 90), min_size=1, max_size=8),
    st.integers(1, 40),
)
def test_the_outline_reaches_every_extreme_however_the_readings_were_bunched(values, cuts, bins):
    value = np.array(values, dtype=float)
    time = np.arange(len(value), dtype=float)
    store = StripStore()
    place = 0
    for cut in [*cuts, len(value)]:
        store.extend(time[place : place + cut], value[place : place + cut])
        place += cut
    drawn = store.outline(0.0, max(1.0, time[-1]), bins)[1]
    assert np.nanmin(drawn) == value.min()
    assert np.nanmax(drawn) == value.max()


def test_the_factor_between_levels_is_what_the_tests_above_assume():
    assert 40_000 > FACTOR**3 > 3000


def test_a_day_of_ten_readings_a_second_shows_every_extreme_at_any_zoom():
    n = 864_000
    time, value = 0.1 * np.arange(n), np.zeros(n)
    spikes = np.arange(1111, n, 1111)
    value[spikes] = np.where(np.arange(len(spikes)) % 2, 1.0, -1.0)
    store = StripStore(LIVE_CAPACITY, reserved=True)
    before = store.nbytes
    for first in range(0, n, 9973):
        store.extend(time[first : first + 9973], value[first : first + 9973])
    assert store.nbytes == before
    for start, length in ((0.0, 86_400.0), (0.0, 600.0), (30_000.0, 3600.0), (30_000.0, 300.0), (86_000.0, 400.0)):
        seen_time, seen = store.outline(start, start + length, 900)
        inside = (time >= start) & (time <= start + length)
        assert (np.nanmin(seen), np.nanmax(seen)) == (value[inside].min(), value[inside].max())
        assert not np.isnan(seen).any()
        # Each spike stands where it was, within one stretch of the picture and one bin of what is kept: sixteen
        # readings, or what is half as wide as a stretch (a level of narrower bins would have been fine enough).
        apart = length / 900 + max(0.1 * FACTOR, length / 1800)
        for spike in spikes[inside[spikes]][:50]:
            near = np.abs(seen_time - time[spike]) <= apart
            assert value[spike] in seen[near]
