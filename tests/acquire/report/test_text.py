"""Digits by GUM 7.2.6, symbols by the SI brochure."""

from __future__ import annotations

import math

import pytest

from acquire.report import text

NB = "\N{NO-BREAK SPACE}"
THIN = text.THIN


def test_the_worked_example_of_the_gum_is_rounded_as_printed_there():
    # JCGM 100:2008, 7.2.6 (from memory): y = 10.057 62 ohm with u = 27 milliohm "should be rounded to 10.058 ohm".
    assert text.quantity(10.05762, 0.027, "ohm") == f"(10.058{NB}±{NB}0.027){NB}Ω"
    assert text.number_only(10.05762, 0.027, "ohm") == "10.058"


def test_one_unit_stands_behind_the_bracketed_pair_as_in_the_gum():
    # JCGM 100:2008, 7.2.4 (from memory): "m = (100,021 47 ± 0,000 79) g", with a decimal point here.
    assert text.quantity(0.10002147, 0.00000079, "g") == f"(100.021{THIN}47{NB}±{NB}0.000{THIN}79){NB}g"


@pytest.mark.parametrize(
    ("value", "u", "unit", "shown"),
    [
        (36570.0, 410.0, "kJ/mol", "(36.57 ± 0.41) kJ/mol"),
        (294.55, 0.022, "degC", "(21.400 ± 0.022) °C"),
        (105_961.0, 31.0, "kPa", "(105.961 ± 0.031) kPa"),
        (0.45, 0.05, "%", "(45.0 ± 5.0) %"),
        (140e-6, 1e-6, "mL", "(140.0 ± 1.0) mL"),
        (0.99255, 0.003, "1", "0.9926 ± 0.0030"),
        (-12.5, 0.61, "Pa", "(−12.50 ± 0.61) Pa"),
        (101_325.0, 1240.0, "Pa", "(1.013 ± 0.012) × 10⁵ Pa"),
    ],
)
def test_value_and_uncertainty_end_at_the_same_place_and_keep_their_unit(value, u, unit, shown):
    assert text.quantity(value, u, unit).replace(NB, " ") == shown


def test_a_number_never_parts_from_its_unit_at_the_end_of_a_line():
    assert " " not in text.quantity(36570.0, 410.0, "kJ/mol")
    assert " " not in text.interval(35_200.0, 37_600.0, "kJ/mol").removeprefix("35.2 to ")


@pytest.mark.parametrize("symbol", ["degC", "kPa", "kJ/mol", "mL", "K", "Pa", "s"])
def test_there_is_a_space_before_every_unit_symbol_also_before_degrees(symbol):
    # SI brochure, 9th edition, 5.4.3 (from memory): the number precedes the unit, and a space separates them.
    assert f"{NB}{text.symbol(symbol)}" in text.quantity(300.0, 1.0, symbol)


def test_the_symbol_for_degrees_celsius_is_one_unit_and_never_a_bare_degree():
    # SI brochure, 9th edition, 5.4.3 (from memory), worked case: "t = 30.2 °C".
    assert text.celsius(303.35) == f"30.2{NB}°C"


def test_an_offset_of_the_scale_takes_no_part_in_an_uncertainty_or_a_difference():
    assert text.uncertainty_only(0.3, "degC") == "0.30"
    assert text.quantity(0.1, None, "K", difference=True) == f"0.1{NB}K"
    assert text.number_only(-0.012, 0.006, "mK", difference=True) == "−12.0"


@pytest.mark.parametrize("absent", [None, math.nan, math.inf])
def test_what_is_not_known_is_a_dash_and_never_a_number(absent):
    assert text.quantity(absent, 1.0, "K") == text.ABSENT
    assert text.number_only(absent, 1.0, "K") == text.ABSENT


@pytest.mark.parametrize("u", [None, 0.0, math.nan, -1.0])
def test_without_an_uncertainty_there_is_no_bracket_and_no_plus_minus(u):
    assert text.quantity(343.15, u, "degC") == f"70{NB}°C"
    assert text.uncertainty_only(u, "K") == text.ABSENT


def test_both_ends_of_an_interval_have_the_digits_of_its_half_width():
    assert text.interval(35_544.04, 37_334.6, "kJ/mol") == f"35.54 to 37.33{NB}kJ/mol"
    assert text.interval(20_100.0, 60_000.0, "kJ/mol") == f"20 to 60{NB}kJ/mol"
    assert text.interval_only(math.nan, 1.0, "K") == text.ABSENT


@pytest.mark.parametrize(("share", "shown"), [(0.58, "58 %"), (0.004, "< 1 %"), (0.0, "0 %"), (0.0051, "1 %")])
def test_shares_are_whole_per_cents_and_small_ones_say_so(share, shown):
    assert text.percent(share).replace(NB, " ") == shown


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [(0.0, "0:00"), (59.4, "0:59"), (59.6, "1:00"), (1024.0, "17:04"), (3725.0, "1:02:05"), (-5.0, "−0:05")],
)
def test_run_time_is_minutes_and_seconds(seconds, shown):
    assert text.clock(seconds) == shown


def test_run_time_that_is_not_known_is_a_dash():
    assert text.clock(None) == text.clock(math.nan) == text.ABSENT


def test_a_date_keeps_the_offset_it_was_written_with():
    assert text.date_and_time("2031-03-14T10:02:11.250+01:00") == "2031-03-14 10:02 (+01:00)"
    assert text.date_and_time("2031-03-14T10:02:11") == "2031-03-14 10:02"


def test_what_is_no_date_comes_back_as_it_is():
    assert text.date_and_time("some morning") == "some morning"
    assert text.date_and_time(None) == text.ABSENT
