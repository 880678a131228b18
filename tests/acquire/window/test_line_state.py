"""Words and numbers of the result panel, without Qt."""

from __future__ import annotations

import math

import pytest

from acquire.finding_words import told_refusal
from acquire.window.language import load_language, use_language
from acquire.window.line_state import MAX_FINDINGS, budget_rows, finding_lines, line_state, percent


def test_before_the_third_point_there_is_no_result(snap):
    state = line_state(snap(result=None))
    assert (state.result, state.basis) == ("", "The line and its result appear with the third point.")
    assert state.curve == ()


def test_a_refused_fit_says_why(snap):
    assert line_state(snap(result=None, refused="All points are equal.")).basis == "All points are equal."


def test_a_refused_fit_says_why_in_german_from_its_facts_or_in_general_without_them(snap):
    facts = {"code": "too-few-points", "variant": "some", "facts": {"used": 2, "aside": 0, "least": 3}}
    use_language(load_language("de"))
    try:
        told = line_state(snap(result=None, refused="2 usable points", refusal=facts)).basis
        general = line_state(snap(result=None, refused="2 usable points")).basis
    finally:
        use_language(load_language("en"))
    assert told == told_refusal(facts, "de")
    assert general.startswith("Durch diese Punkte")


def test_the_enthalpy_is_stated_with_its_interval_at_25_degrees(snap):
    state = line_state(snap())
    assert state.result == "(36.6 ± 1.4)\u00a0kJ/mol"
    assert state.basis == "95 % interval · 2 points · at 25\u00a0°C"
    assert state.gain == "One more point at 37\u00a0°C would narrow it to ± 1.0 kJ/mol."


def test_without_an_interval_no_number_is_given(snap, result):
    fit = result(2)
    fit["enthalpy_vap"] |= {"interval_95": None, "at_298_15": {"value": None, "interval_95": None}}
    state = line_state(snap(result=fit))
    assert (state.result, state.basis) == ("", "no interval can be given · 2 points · at 30\u00a0°C")


def test_points_lie_at_their_place(snap):
    first = line_state(snap()).points[0]
    assert first.x == pytest.approx(1000.0 / 298.15)
    assert first.y == pytest.approx(math.log(6.1))
    assert first.half == pytest.approx(1.96 * 65.0 / 6100.0)


def test_the_curve_runs_through_the_fitted_points_with_its_band_around_it(snap, result, point):
    state = line_state(snap(points=tuple(point(n) for n in (1, 2, 3, 4)), result=result(4)))
    xs = [x for x, _, _, _ in state.curve]
    assert min(xs) < state.points[-1].x < state.points[0].x < max(xs)
    assert all(low < y < high for _, y, low, high in state.curve)
    nearest = min(state.curve, key=lambda row: abs(row[0] - state.points[1].x))
    assert nearest[1] == pytest.approx(state.points[1].y, abs=0.03)


def test_small_shares_are_added_up():
    lines = [{"source": f"source {n}", "share": share} for n, share in enumerate((0.3, 0.25, 0.2, 0.1, 0.08, 0.07))]
    rows = budget_rows({"budget": lines})
    assert [(row.source, row.text) for row in rows] == [
        ("source 0", "30\u00a0%"),
        ("source 1", "25\u00a0%"),
        ("source 2", "20\u00a0%"),
        ("all others", "25\u00a0%"),
    ]
    assert sum(row.share for row in rows) == pytest.approx(1.0)


def test_sources_are_told_in_few_letters():
    rows = budget_rows({"budget": [{"source": "lag of liquid and probe", "share": 1.0}]})
    assert rows[0].source == "lag of the liquid"


@pytest.mark.parametrize(("share", "text"), [(0.0, "0\u00a0%"), (0.004, "<\u00a01\u00a0%"), (0.586, "59\u00a0%")])
def test_a_share_in_percent(share, text):
    assert percent(share) == text


def test_the_gravest_findings_come_first_and_not_too_many():
    found = [{"code": str(n), "severity": s, "text": s, "advice": ""} for n, s in
             enumerate(("note", "doubt", "note", "refuse", "note"))]  # fmt: skip
    lines = finding_lines({"findings": found})
    assert [(line.sign, line.text) for line in lines] == [("!!", "refuse"), ("!", "doubt")]
    assert len(lines) == MAX_FINDINGS
