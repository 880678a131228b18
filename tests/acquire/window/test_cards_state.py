"""Words of the point cards, without Qt."""

from __future__ import annotations

import dataclasses

import pytest

from acquire.snapshot import Instruction, ProposalView
from acquire.window.cards_state import cards_state, results_by_point


def test_a_card_shows_what_was_measured_with_its_uncertainty(snap):
    card = cards_state(snap()).points[0]
    assert (card.heading, card.tag) == ("Point 1", "you")
    assert (card.temperature, card.pressure) == ("25.000(21)\u00a0°C", "107.50(4)\u00a0kPa")
    assert card.vapour == "6.10(6)\u00a0kPa"
    assert card.note == ""
    assert card.description == "Point 1, 25.000(21)\u00a0°C, 107.50(4)\u00a0kPa, you, 5:00 – 6:00"


@pytest.mark.parametrize(
    ("taken_by", "tag"), [("person", "you"), ("program", "auto"), ("simulated operator", "operator"), ("x", "x")]
)
def test_who_took_a_point(snap, point, taken_by, tag):
    assert cards_state(snap(points=(point(1, taken_by=taken_by),))).points[0].tag == tag


def test_a_point_set_aside_says_why_and_a_return_point_says_so(snap, point):
    shown = cards_state(snap(points=(point(1, used=False, reason="bubble"), point(2, branch="return"))), 2).points
    assert (shown[0].note, shown[0].used) == ("set aside: bubble", False)
    assert (shown[1].heading, shown[1].selected, shown[0].selected) == ("Point 2 · return", True, False)


def test_results_of_another_number_of_points_are_not_shown(snap, result):
    assert results_by_point(snap(result=result(3))) == {}
    assert cards_state(snap(result=result(3))).points[0].vapour == ""
    assert results_by_point(snap(result=None)) == {}


def test_results_of_the_used_points_go_to_the_used_points(snap, point, result):
    lines = results_by_point(snap(points=(point(1), point(2, used=False), point(3)), result=result(2)))
    assert list(lines) == [1, 3]


def test_a_forming_plateau_says_what_it_waits_for(snap):
    forming = cards_state(snap()).forming
    assert forming is not None
    assert (forming.heading, forming.take_label) == ("Point 3 forming", "Take it now")
    assert forming.text == "pressure still has +0.21 kPa to come (± 0.04 kPa)"
    assert not forming.offered


def test_an_offered_plateau_shows_what_would_be_taken(snap):
    forming = cards_state(snap(proposal=ProposalView(True, 900.0, 960.0, 309.73, 116_520.0, 3))).forming
    assert forming is not None
    assert (forming.heading, forming.text) == ("Point 3 ready", "steady for 1\u00a0min")
    assert forming.lines == ("36.58\u00a0°C", "116.52\u00a0kPa")
    assert (forming.offered, forming.can_take) == (True, True)


def test_a_baseline_is_called_a_baseline(snap):
    forming = cards_state(snap(stage="room baseline", proposal=None, points=())).forming
    assert forming is not None
    assert forming.heading == "Baseline forming"


def test_outside_the_stages_that_take_there_is_no_card(snap):
    assert cards_state(snap(proposal=None, possible_acts=("note",))).forming is None


def test_without_gates_the_card_counts_the_seconds(snap):
    forming = cards_state(snap(gates=())).forming
    assert forming is not None
    assert forming.text == "steady for 2\u00a0min 10\u00a0s so far"


def test_before_the_bath_is_changed_nothing_pretends_to_settle(snap):
    forming = cards_state(snap(instruction=Instruction("warm", 310.15))).forming
    assert forming is not None
    assert forming.text == "after the next change of the bath"


def test_a_point_without_vapour_pressure_shows_none(snap):
    shown = snap()
    lines = [{**line, "pressure_vapour": None} for line in shown.result["points"]]
    card = cards_state(dataclasses.replace(shown, result={**shown.result, "points": lines})).points[0]
    assert card.vapour == ""
