"""What the window says of its own accord."""

from __future__ import annotations

from acquire.record import Baseline
from acquire.window.news_state import news


def test_a_point_that_took_itself_is_told_and_one_the_person_took_is_not(snap, point):
    before = snap(points=(point(1),))
    by_itself = snap(points=(point(1), point(2, taken_by="program")))
    assert news(before, by_itself) == "Point 2 was taken: 29.00\u00a0°C, 110.00\u00a0kPa"
    assert news(before, snap(points=(point(1), point(2)))) == ""


def test_baselines_are_told(snap):
    room = Baseline("room", 294.55, 100_900.0, 0.01, 20.0, 30.0, 60.0)
    sealed = Baseline("sealed", 294.55, 100_900.0, 0.01, 20.0, 90.0, 120.0)
    assert news(snap(baselines=()), snap(baselines=(room,))) == "The room baseline was taken."
    assert news(snap(baselines=(room,)), snap(baselines=(room, sealed))) == "The sealed baseline was taken."


def test_nothing_new_is_nothing_said(snap):
    assert news(snap(), snap()) == ""
    assert news(None, snap()) == ""
