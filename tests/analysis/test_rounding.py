"""Rounding by GUM 7.2.6: two digits of the uncertainty, the value to the same place."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.rounding import rounded, value_and_uncertainty_text


@pytest.mark.parametrize(
    ("value", "u", "text"),
    [
        (36.5712, 0.4123, "36.57 ± 0.41"),
        (100.02147, 0.00035, "100.02147 ± 0.00035"),  # GUM 7.2.2, the 100 g weight
        (36571.0, 412.3, "36570 ± 410"),
        (365712.0, 4123.0, "(3.657 ± 0.041)e+5"),
        (36.5, 0.0996, "36.50 ± 0.10"),  # settles at 0.10, not 0.100
        (36.5, 0.995, "36.5 ± 1.0"),
        (-3.0, 2.0, "-3.0 ± 2.0"),
        (0.0, 0.5, "0.00 ± 0.50"),
        (1.25, 0.5, "1.25 ± 0.50"),
        (300.25, 25.0, "300 ± 25"),
        (0.000012345, 0.000000123, "(1.234 ± 0.012)e-5"),
    ],
)
def test_known_cases_read_as_they_should(value, u, text):
    assert value_and_uncertainty_text(value, u) == text


def test_the_unit_stands_after_the_number():
    assert value_and_uncertainty_text(36.57, 0.41, "kJ/mol") == "(36.57 ± 0.41) kJ/mol"


@pytest.mark.parametrize(
    ("value", "u", "text"),
    [
        (math.nan, 1.0, "not known K"),
        (1.5, math.nan, "1.5 K (uncertainty not known)"),
        (1.5, 0.0, "1.5 K (exact)"),
    ],
)
def test_what_is_not_known_is_said(value, u, text):
    assert value_and_uncertainty_text(value, u, "K") == text


def test_a_negative_uncertainty_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="cannot be negative"):
        value_and_uncertainty_text(1.0, -0.1)


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e5))
def test_rounding_moves_nothing_by_more_than_half_a_digit_and_is_done_once(value, u):
    v, w = rounded(value, u)
    assert abs(w - u) <= 0.05 * u * 1.0001  # two digits: at most 5 in a hundred
    assert abs(v - value) <= 0.05 * u * 1.0001 + 1e-9 * abs(value)
    assert rounded(v, w) == (v, w)


def test_without_an_uncertainty_there_is_nothing_to_round_by():
    assert rounded(1.23456, 0.0) == (1.23456, 0.0)
    assert rounded(1.23456, math.inf) == (1.23456, math.inf)
