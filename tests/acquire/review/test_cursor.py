"""What was known at a second: the journal's own decisions, nothing from later, the same in any order."""

from __future__ import annotations

import itertools
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from acquire.journal import Entry
from acquire.plan import stored_plan
from acquire.replay import differences
from acquire.review.cursor import History
from acquire.review.what_if import changed_plan

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def history(recorded, heptane):
    made = History(recorded, heptane)
    made.to_end()
    return made


def of_kind(record, kind):
    return [entry for entry in record.journal if entry.kind == kind]


def test_deciding_again_gives_the_journal_entry_by_entry(recorded, history):
    assert [entry.canonical() for entry in history.journal] == [entry.canonical() for entry in recorded.journal]
    assert history.refused == ()


def test_before_a_point_was_taken_it_is_not_known_and_after_it_is(recorded, history):
    for number, entry in enumerate(of_kind(recorded, "point"), 1):
        assert len(history.at(entry.time - 1.0).points) == number - 1
        assert len(history.at(entry.time + 1.0).points) == number


def test_the_plateau_was_ready_when_the_point_was_taken_and_not_while_the_bath_was_moving(recorded, history):
    third = of_kind(recorded, "point")[2]
    warmed = [e for e in of_kind(recorded, "act") if e.data["act"] == "warmed"][1]
    assert history.at(third.time + 0.5).ready
    moving = history.at(warmed.time + 15.0)
    assert not moving.ready
    assert moving.gates
    assert all(code and sentence for code, sentence in moving.gates)


def test_the_stage_is_the_one_of_that_second(recorded, history):
    stages = of_kind(recorded, "stage")
    lasting = [(a, b) for a, b in itertools.pairwise(stages) if b.time - a.time > 4.0]
    assert len(lasting) >= 5
    for entry, following in lasting:
        assert history.at(entry.time + 2.0).stage == entry.data["to"]
        assert history.at(following.time - 2.0).stage == entry.data["to"]


def test_the_readings_of_a_second_are_the_means_of_the_trace(recorded, history):
    known = history.at(100.0)
    trace = recorded.traces["temperature"]
    inside = np.floor(trace.time) == np.floor(known.time)
    assert known.channels["temperature"].readings == inside.sum() == 5
    assert known.channels["temperature"].value == pytest.approx(trace.value[inside].mean(), abs=0.02)


def test_the_result_is_the_one_of_the_points_taken_by_then(recorded, history):
    fourth = of_kind(recorded, "point")[3]
    then, later = history.at(fourth.time - 5.0), history.to_end()
    assert then.result["method"]["points_used"] == 3
    assert later.result["method"]["points_used"] == 4
    assert later.stage == "closed"
    assert later.entries == len(recorded.journal)


def test_a_cursor_that_jumps_back_sees_the_same_as_one_that_only_went_forward(recorded, heptane):
    forward, jumping = History(recorded, heptane), History(recorded, heptane)
    jumping.at(200.0)
    early = forward.at(90.0)
    again = jumping.at(90.0)
    assert (early.stage, early.entries, early.gates, early.window) == (
        again.stage, again.entries, again.gates, again.window,
    )  # fmt: skip
    assert len(jumping.times()) > len(forward.times())


def test_before_the_first_second_nothing_is_known(recorded, heptane):
    assert History(recorded, heptane).at(0.2) is None


def test_a_run_without_readings_has_no_history(recorded, heptane):
    empty = History(replace(recorded, traces={}, journal=()), heptane)
    assert empty.at(100.0) is None
    assert empty.to_end() is None


def test_a_gap_in_the_readings_does_not_stop_the_cursor(recorded, heptane):
    def without(trace):
        keep = (trace.time < 40.0) | (trace.time > 70.0)
        arrays = {name: getattr(trace, name)[keep] for name in ("time", "value", "raw", "quality")}
        return replace(trace, **arrays)

    holed = replace(recorded, traces={name: without(trace) for name, trace in recorded.traces.items()})
    history = History(holed, heptane)
    assert history.at(55.0) is not None
    assert history.at(90.0).time > 70.0


def test_other_settings_decide_otherwise_and_leave_the_record_as_it_is(recorded, heptane):
    before = [entry.canonical() for entry in recorded.journal]
    plan = changed_plan(stored_plan(recorded.plan), {"settle.baseline": 120.0})
    changed = History(recorded, heptane, plan=plan, take_given=False)
    stored = of_kind(recorded, "baseline")[0].time
    known = changed.at(stored + 5.0)
    assert known.stage == "room baseline"  # held for 120 s, longer than the run did
    assert [entry.canonical() for entry in recorded.journal] == before


def test_replaying_with_the_run_itself_finds_no_difference(recorded, history):
    class Again:
        journal = history.journal

    assert differences(recorded, Again) == []


def test_a_file_from_before_the_facts_of_refusals_were_kept_is_no_other_run():
    """Only what an older version did not store is forgiven, and only there."""

    def journal(text, **data):
        return SimpleNamespace(journal=[Entry(0, 5.0, 5, "result", "program", False, text, data)])

    facts = {"code": "too-few-points"}
    now = journal("no result: few", refused="few", refusal=facts)
    assert differences(journal("no result: few", refused="few"), now) == []
    assert differences(now, now) == []
    assert differences(journal("no result: few", refused="few", refusal={"code": "other"}), now) != []
    assert differences(journal("no result: few", refused="others"), now) != []
    assert differences(now, journal("no result: few", refused="few")) != []
