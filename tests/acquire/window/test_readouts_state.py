"""Words and shapes of the readouts, without Qt."""

from __future__ import annotations

import dataclasses
import math

import pytest

from acquire.snapshot import ChannelView
from acquire.window.readouts_state import STATES, readout_state, readout_states


def view(**changes):
    base = ChannelView("pressure", 116_520.0, 0.1, "easing", 210.0, 20.0, (18.0, 24.0, 33.0))
    return dataclasses.replace(base, **changes)


def test_both_readouts_of_a_run(snap):
    warm, press = readout_states(snap())
    assert (warm.name, warm.value, warm.unit, warm.shape, warm.word) == (
        "Bath temperature", "36.58", "°C", "▬", "level",
    )  # fmt: skip
    assert warm.coming == "still to come −0.02 ± 0.01\u00a0°C"
    assert (press.value, press.unit, press.shape, press.word) == ("116.52", "kPa", "◢", "easing")
    assert press.coming == "still to come +0.21 ± 0.04\u00a0kPa · level in 24\u00a0s (18–33\u00a0s)"


def test_every_state_has_a_shape_of_its_own():
    shapes = [shape for shape, _ in STATES.values()]
    assert len(set(shapes)) == len(shapes)


@pytest.mark.parametrize(
    ("silent", "value", "word"),
    [(2.9, "116.52", "easing"), (3.1, "116.52", "no reading for 3\u00a0s"), (10.2, "—", "no reading for 10\u00a0s")],
)
def test_an_old_number_never_looks_live(silent, value, word):
    state = readout_state(view(silent=silent), "pressure")
    assert (state.value, state.word, state.stale) == (value, word, silent > 3.0)


@pytest.mark.parametrize("found", [None, view(value=math.nan, silent=math.inf)])
def test_before_the_first_reading_there_is_no_number(found):
    state = readout_state(found, "pressure")
    assert (state.value, state.word, state.stale, state.filled) == ("—", "no reading yet", True, 0.0)


def test_after_the_run_the_last_reading_stays():
    state = readout_state(view(silent=500.0), "pressure", closed=True)
    assert (state.value, state.word, state.stale) == ("116.52", "last reading", True)


@pytest.mark.parametrize(
    ("state", "level_in", "filled"),
    [
        ("level", None, 1.0),
        ("easing", (10.0, 18.0, 30.0), 0.9),
        ("easing", (0.0, -1.0, 4.0), 1.0),
        ("moving", (100.0, 400.0, 900.0), 0.0),
        ("unknown", None, 0.0),
    ],
)
def test_the_bar_is_the_time_to_go(state, level_in, filled):
    assert readout_state(view(state=state, level_in=level_in), "pressure").filled == pytest.approx(filled)


def test_a_change_too_small_to_see_is_said_in_words():
    assert readout_state(view(still_to_come=2.0, u_still_to_come=1.0, level_in=None), "pressure").coming == (
        "nothing more to come"
    )


@pytest.mark.parametrize(
    ("level_in", "text"),
    [
        ((18.0, 24.0, 33.0), "24\u00a0s (18–33\u00a0s)"),
        ((-2.0, 3.0, 9.0), "3\u00a0s (0–9\u00a0s)"),
        ((118.0, 155.0, 160.0), "2:35 (1:58–2:40)\u00a0min"),
        ((math.nan, 155.0, math.nan), "2:35\u00a0min"),
    ],
)
def test_a_long_time_to_go_is_told_in_minutes(level_in, text):
    assert readout_state(view(still_to_come=math.nan, level_in=level_in), "pressure").coming == f"level in {text}"


def test_what_comes_within_two_seconds_is_not_counted_down():
    assert (
        readout_state(view(still_to_come=math.nan, level_in=(0.0, 0.4, 1.2)), "pressure").coming == "level any moment"
    )
    assert readout_state(view(still_to_come=math.nan, level_in=(0.0, 0.4, 2.0)), "pressure").coming.startswith(
        "level in"
    )


def test_without_a_forecast_nothing_is_promised():
    assert readout_state(view(still_to_come=math.nan, level_in=None), "pressure").coming == ""


def test_an_unknown_state_is_shown_as_unknown():
    assert readout_state(view(state="something new"), "pressure").shape == "·"
