"""What is drawn beside the traces, without Qt."""

from __future__ import annotations

import pytest

from acquire import acts
from acquire.journal import Entry
from acquire.snapshot import ProposalView
from acquire.window.strips_state import EntryShelf, Mark, follow_range, mark_of, nice_span, strips_state


def act(number, name, **data):
    return Entry(number, 10.0 * number, 10 * number, "act", "person", True, name, {"act": name, **data})


@pytest.mark.parametrize(
    ("entry", "mark"),
    [
        (act(1, acts.CHARGED), Mark(1, 10.0, "charge", "act")),
        (act(2, acts.WARMED, volume=58e-6), Mark(2, 20.0, "+58\u00a0mL", "act")),
        (act(3, acts.WARMED), Mark(3, 30.0, "warm water", "act")),
        (act(4, acts.NOTE, text="bubbles"), Mark(4, 40.0, "bubbles", "note")),
        (act(5, acts.NOTE, text="x" * 60), Mark(5, 50.0, "x" * 23 + "…", "note")),
        (act(6, acts.TAKE), None),
        (Entry(7, 70.0, 70, "point", "program", False, "point 1 taken", {}), None),
        (
            Entry(8, 80.0, 80, "device", "device", True, "gone", {"event": "lost"}),
            Mark(8, 80.0, "device lost", "trouble"),
        ),
        (Entry(9, 90.0, 90, "device", "device", True, "open", {"event": "opened"}), None),
    ],
)
def test_which_entries_are_drawn(entry, mark):
    assert mark_of(entry) == mark


def test_marks_outlive_the_tail_of_the_journal_and_are_not_doubled():
    shelf = EntryShelf()
    shelf.see([act(0, acts.BEGIN), act(1, acts.CHARGED)])
    marks = shelf.see([act(1, acts.CHARGED), act(2, acts.COOLED)])
    assert [mark.text for mark in marks] == ["begin", "charge", "cold water"]


def test_points_baselines_and_proposals_are_spans(snap, point):
    offered = ProposalView(True, 900.0, 960.0, 309.73, 116_520.0, 3)
    state = strips_state(snap(points=(point(1), point(2, used=False)), proposal=offered), ())
    assert [(span.kind, span.label, span.number) for span in state.spans] == [
        ("baseline", "room baseline", None),
        ("point", "1", 1),
        ("set aside", "2", 2),
        ("offered", "?", None),
    ]


def test_limits_are_drawn_in_the_unit_of_their_strip(snap):
    limits = strips_state(snap(), ()).limits
    assert [(limit.channel, limit.label) for limit in limits] == [
        ("temperature", "limit 38\u00a0°C"),
        ("pressure", "limit 126 kPa"),
    ]
    assert [limit.value for limit in limits] == pytest.approx([38.0, 125.9])
    assert len(strips_state(snap(limit_pressure=float("nan")), ()).limits) == 1


def test_the_strips_are_told_in_words(snap):
    assert strips_state(snap(), ()).description == ("Traces against time: temperature 36.58 °C, pressure 116.52 kPa")


@pytest.mark.parametrize(("seconds", "span"), [(1.0, 300.0), (301.0, 600.0), (5401.0, 7200.0), (90_000.0, 172_800.0)])
def test_the_whole_run_is_shown_over_a_usual_length(seconds, span):
    assert nice_span(seconds) == span


def test_following_moves_in_steps_and_never_loses_the_newest_reading():
    ranges = [follow_range(float(now), 180.0) for now in range(1000)]
    assert all(start <= max(0.0, now - 150.0) and now < end for now, (start, end) in enumerate(ranges))
    assert all(end - start == 180.0 for start, end in ranges)
    assert len(set(ranges)) < 50
