"""What happened: marks on the traces, the list under them, cautions, and why there is no result."""

from __future__ import annotations

from dataclasses import replace

import pytest

from acquire.journal import Entry
from acquire.report.story import caution_rows, marks, told, why_no_result


def entry(number, time, kind, text="", **data):
    return Entry(number, time, int(time), kind, "program", kind == "act", text, data)


def test_what_was_done_to_cell_and_bath_is_marked_and_water_by_its_amount(example_run):
    assert [mark.text for mark in marks(example_run.journal)] == [
        "valve shut", "charge", "+60 mL", "+60 mL", "+60 mL", "note", "+60 mL", "cold water", "vent",
    ]  # fmt: skip


@pytest.mark.parametrize(("event", "word"), [("lost", "device lost"), ("reconnected", "device back"), ("gap", "gap")])
def test_trouble_of_a_device_is_marked(event, word):
    assert [mark.text for mark in marks([entry(0, 5.0, "device", event=event)])] == [word]


def test_a_device_that_only_opened_is_no_mark():
    assert marks([entry(0, 5.0, "device", event="opened")]) == ()


def test_offers_stages_and_cautions_are_not_told_but_points_and_people_are(example_run):
    kinds = {example_run.journal[line.number].kind for line in told(example_run)}
    assert kinds == {"act", "point", "baseline", "device"}


def test_of_many_results_only_the_last_is_told(example_run):
    journal = tuple(entry(n, 10.0 * n, "result", "enthalpy of vaporisation") for n in range(4))
    lines = told(replace(example_run, journal=journal))
    assert [line.number for line in lines] == [3]


def test_a_caution_that_stayed_is_one_row_with_all_its_times():
    rows = caution_rows(
        [
            entry(0, 60.0, "caution", "The bath is close to its limit.", severity="caution"),
            entry(1, 90.0, "caution", "The pressure fell suddenly.", severity="warning"),
            entry(2, 120.0, "caution", "The bath is close to its limit.", severity="caution"),
        ]
    )
    assert rows == (
        ("1:00, 2:00", "Caution: The bath is close to its limit."),
        ("1:30", "Warning: The pressure fell suddenly."),
    )


def test_the_journals_last_word_on_the_result_is_the_reason_for_none(example_run):
    journal = (
        entry(0, 10.0, "result", "no result: a", refused="two points"),
        entry(1, 20.0, "result", "no result: b", refused="the liquid is used up"),
    )
    assert why_no_result(replace(example_run, journal=journal)) == "the liquid is used up"


def test_a_run_with_two_points_says_that_three_are_needed(build_run, example_run):
    run = build_run(points=example_run.points[:2], journal=())
    assert why_no_result(run) == "The run has 2 points in use; three or more are needed."
