"""Numbers with units as the window writes them."""

from __future__ import annotations

import math

import pytest

from acquire.window import quantities as q
from acquire.window.language import Language, use_language


@pytest.mark.parametrize(
    ("kelvin", "text"),
    [(309.73, "36.58\u00a0°C"), (273.15, "0.00\u00a0°C"), (272.14, "−1.01\u00a0°C"), (math.nan, "—\u00a0°C")],
)
def test_a_temperature_is_written_in_celsius(kelvin, text):
    assert q.temperature(kelvin) == text


def test_a_pressure_is_written_in_kilopascal():
    assert q.pressure(116_523.0) == "116.52\u00a0kPa"


@pytest.mark.parametrize(("value", "text"), [(-0.001, "0.00"), (0.001, "0.00"), (0.25, "+0.25"), (-0.25, "−0.25")])
def test_a_change_that_rounds_to_nothing_has_no_sign(value, text):
    assert q.number(value, 2, signed=True) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.0, "0\u00a0s"),
        (23.2, "24\u00a0s"),
        (59.5, "1\u00a0min"),
        (130.0, "2\u00a0min 10\u00a0s"),
        (3900.0, "1\u00a0h 05\u00a0min"),
        (-3.0, "0\u00a0s"),
        (math.inf, "—"),
    ],
)
def test_a_time_to_go_reads_like_speech(seconds, text):
    assert q.duration(seconds) == text


@pytest.mark.parametrize(("seconds", "text"), [(45.9, "0:45"), (1025.0, "17:05"), (3729.0, "1:02:09")])
def test_a_time_since_the_start_reads_like_a_clock(seconds, text):
    assert q.clock(seconds) == text


@pytest.mark.parametrize(
    ("value", "u", "text"),
    [
        (21.392, 0.018, "21.392(18)\u00a0°C"),
        (21.3924, 0.042, "21.39(4)\u00a0°C"),
        (21.3924, 0.0999, "21.39(10)\u00a0°C"),
        (21.3924, math.nan, "21.39\u00a0°C"),
        (21.3924, 12.0, "21(12)\u00a0°C"),
        (21.3924, 340.0, "21(340)\u00a0°C"),
    ],
)
def test_the_uncertainty_stands_in_the_last_digits(value, u, text):
    assert q.with_uncertainty(value, u, "°C") == text


@pytest.mark.parametrize(
    ("value", "low", "high", "text"),
    [
        (36.6, 35.2, 38.0, "(36.6 ± 1.4)\u00a0kJ/mol"),
        (36.62, 36.22, 37.02, "(36.6 ± 0.4)\u00a0kJ/mol"),
        (36.6, 36.1, 38.0, "36.6 (36.1 to 38.0) kJ/mol"),
    ],
)
def test_an_uneven_interval_shows_its_two_ends(value, low, high, text):
    assert q.interval(value, low, high, "kJ/mol") == text


def test_an_interval_without_ends_is_just_the_value():
    assert q.interval(36.6, math.nan, math.nan, "kJ/mol") == "36.6\u00a0kJ/mol"


def test_numbers_take_the_decimal_mark_of_the_language():
    use_language(Language("xx", ","))
    assert q.temperature(309.73) == "36,58\u00a0°C"
