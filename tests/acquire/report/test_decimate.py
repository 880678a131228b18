"""A trace made short keeps its spikes and its gaps."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from acquire.record import Trace
from acquire.report.decimate import drawable, drawable_between, outline
from drivers.readings import Quality


def test_a_spike_of_one_reading_in_a_hundred_thousand_is_still_drawn():
    time = np.arange(100_000) * 0.1
    value = np.zeros_like(time)
    value[61_803], value[27_182] = 5.0, -7.0
    _, shown = outline(time, value, 500)
    assert len(shown) <= 1002
    assert shown.max() == 5.0
    assert shown.min() == -7.0


def test_a_short_trace_is_drawn_reading_by_reading():
    time = np.arange(10.0)
    value = time**2
    shown_time, shown = outline(time, value, 500)
    assert np.array_equal(shown_time, time)
    assert np.array_equal(shown, value)


def test_no_line_is_drawn_over_a_gap():
    time = np.concatenate([np.arange(0, 10, 0.1), np.arange(60, 70, 0.1)])
    shown_time, shown = outline(time, np.ones_like(time), 500)
    hole = int(np.flatnonzero(np.isnan(shown))[0])
    assert np.isnan(shown).sum() == 1
    assert shown_time[hole - 1] < 10.0
    assert shown_time[hole + 1] == 60.0


def test_a_gap_inside_one_bin_of_a_long_trace_is_kept_too():
    time = np.delete(np.arange(50_000) * 0.1, slice(20_000, 20_100))
    _, shown = outline(time, np.sin(time), 300)
    assert np.isnan(shown).sum() == 1


def test_one_lost_reading_is_no_gap():
    time = np.delete(np.arange(0, 30, 0.1), 77)
    _, shown = outline(time, np.ones_like(time), 500)
    assert not np.isnan(shown).any()


def test_a_trace_without_readings_draws_nothing():
    time, value = outline(np.array([]), np.array([]), 100)
    assert len(time) == len(value) == 0


@given(st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=300), st.integers(1, 40))
def test_first_last_lowest_and_highest_are_always_there_and_time_never_turns_back(values, bins):
    time = np.arange(len(values), dtype=float)
    value = np.array(values)
    shown_time, shown = outline(time, value, bins)
    assert {value.min(), value.max(), value[0], value[-1]} <= set(shown.tolist())
    assert (np.diff(shown_time) > 0).all()
    assert len(shown) <= 2 * bins + 2


def test_readings_that_are_no_numbers_of_the_cell_are_left_out_and_late_ones_are_drawn():
    quality = np.array([0, int(Quality.OUT_OF_RANGE), int(Quality.LATE), int(Quality.NOT_A_NUMBER), 0], np.uint8)
    value = np.array([1.0, 900.0, 2.0, np.nan, np.nan])
    trace = Trace("pressure", "Pa", np.arange(5.0), value, value, quality)
    time, shown = drawable(trace)
    assert time.tolist() == [0.0, 2.0]
    assert shown.tolist() == [1.0, 2.0]


def test_a_stretch_of_time_is_the_same_as_that_part_of_the_whole():
    rng = np.random.default_rng(3)
    time, value = np.arange(1000) * 0.1, rng.normal(size=1000)
    trace = Trace("pressure", "Pa", time, value, value, (rng.random(1000) < 0.1).astype(np.uint8))
    whole_time, whole = drawable(trace)
    part_time, part = drawable_between(trace, 20.0, 50.0)
    inside = (whole_time >= 20.0) & (whole_time < 50.0)
    assert np.array_equal(part_time, whole_time[inside])
    assert np.array_equal(part, whole[inside])
