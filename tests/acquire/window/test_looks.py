"""Sizes and themes."""

from __future__ import annotations

import pytest

from acquire.window.looks import (
    LARGEST,
    SMALLEST,
    Look,
    automatic_scale,
    bench_scale,
    digit_pixels,
    start_scale,
    touch_pixels,
)
from acquire.window.style_sheet import style_sheet
from acquire.window.themes import THEMES


@pytest.mark.parametrize("dpi", [96.0, 110.0])
def test_digits_are_17_mm_on_a_usual_screen(dpi):
    assert digit_pixels(dpi, 800, 1.0) / dpi * 25.4 >= 17.0


@pytest.mark.parametrize("nonsense", [0.0, 20.0, 1200.0])
def test_a_screen_that_reports_nonsense_is_taken_for_a_usual_one(nonsense):
    assert digit_pixels(nonsense, 800, 1.0) == digit_pixels(96.0, 800, 1.0)


def test_digits_leave_room_for_the_traces():
    assert digit_pixels(220.0, 800, 2.0) <= 800 / 7


@pytest.mark.parametrize(("size", "scale"), [((1280, 800), 1.0), ((1920, 1080), 1.2), ((3840, 2160), 1.8)])
def test_text_grows_with_the_window_but_slower(size, scale):
    assert automatic_scale(*size) == pytest.approx(scale, abs=0.03)


def test_text_size_stays_within_its_ends():
    look = Look()
    for _ in range(30):
        look = look.larger(1)
    assert look.text == LARGEST
    for _ in range(30):
        look = look.larger(-1)
    assert look.text == SMALLEST


def test_the_themes_come_in_turn():
    look, seen = Look(), []
    for _ in range(3):
        look = look.next_theme()
        seen.append(look.theme.name)
    assert seen == ["dark", "high contrast", "light"]


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
def test_no_hole_is_left_in_a_style_sheet(theme):
    text = style_sheet(theme, 1.3)
    assert text.count("{") == text.count("}")
    assert "None" not in text


@pytest.mark.parametrize(("dpi", "pixels"), [(96.0, 56.69), (72.0, 42.52), (109.0, 64.37)])
def test_a_target_is_15_mm_high(dpi, pixels):
    """25.4 mm to the inch, by definition."""
    assert touch_pixels(dpi, 1080) == pytest.approx(pixels, abs=0.01)


def test_targets_leave_room_for_the_traces():
    assert touch_pixels(200.0, 768) == 64.0
    assert touch_pixels(25.0, 1080) == touch_pixels(96.0, 1080)  # a screen that reports nonsense


def test_letters_stop_growing_where_the_traces_would_have_no_room():
    assert bench_scale(1280, 800, 1.0) == automatic_scale(1280, 800) == 1.0
    assert bench_scale(1280, 800, 2.0) == pytest.approx(0.5 * 1280 / 538, abs=0.001)
    assert bench_scale(3840, 2160, 1.5) == pytest.approx(1.5 * automatic_scale(3840, 2160), abs=0.001)


def test_the_start_page_stays_within_the_screen():
    assert start_scale(1280, 800, 1.0) == 1.0
    assert start_scale(1280, 800, 2.0) == pytest.approx(800 / 680, abs=0.001)
