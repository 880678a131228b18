"""Geometry of labels and axes."""

from __future__ import annotations

import math

import pytest

from acquire.window.strip_axes import round_step
from acquire.window.strip_layout import label_rows, nudged, value_range


def test_labels_that_would_overlap_go_to_the_next_row_and_then_away():
    assert label_rows([(0, 50), (30, 50), (40, 50), (45, 50), (90, 10)]) == [0, 1, 2, None, 0]


def test_an_axis_stays_as_it_is_while_it_fits():
    first = value_range(100.0, 110.0, 0.4, None)
    assert value_range(100.0, 110.2, 0.4, first) == first
    assert value_range(100.0, first[1], 0.4, first) != first


def test_an_axis_that_became_far_too_tall_is_made_anew():
    low, high = value_range(100.0, 100.2, 0.4, (0.0, 200.0))
    assert high - low < 1.0


@pytest.mark.parametrize("above", [0.08, 0.2, 0.3])
def test_words_have_room_above_the_trace(above):
    low, high = value_range(100.0, 110.0, 0.4, None, above)
    assert (high - 110.0) / (high - low) > above


def test_noise_alone_never_fills_the_picture():
    low, high = value_range(100.0, 100.001, 0.4, None)
    assert high - low >= 0.4


@pytest.mark.parametrize(
    ("least", "step"), [(0.9, 1.0), (1.0, 1.0), (1.1, 2.0), (3.0, 5.0), (0.013, 0.02), (700.0, 1000.0), (0.0, 1.0)]
)
def test_numbers_on_an_axis_are_round(least, step):
    assert round_step(least) == pytest.approx(step)


def test_without_values_the_axis_still_has_a_height():
    assert value_range(math.nan, math.nan, 0.4, None) == (0.0, 0.4)


@pytest.mark.parametrize(
    ("by", "window"),
    [
        ((-1.0, 0.0), (99.0, 160.0)),
        ((0.0, 1.0), (100.0, 161.0)),
        ((-500.0, 0.0), (0.0, 160.0)),
        ((0.0, 500.0), (100.0, 170.0)),
        ((80.0, 0.0), (165.0, 170.0)),
    ],
)
def test_a_moved_window_stays_inside_the_run(by, window):
    assert nudged(100.0, 160.0, *by, now=170.0) == window
