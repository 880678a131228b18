"""Runs beside each other: one clock, one table, lines that are the runs' own."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from acquire.report.curve import curve_of
from acquire.review.compare import (
    CHARGE,
    START,
    compare_rows,
    labels_of,
    lines_of,
    moment_of,
    overlays,
    step_overlays,
    steps_of,
)
from acquire.review.what_if import answer


@pytest.fixture(scope="module")
def later(recorded):
    """The same run, everything 100 s later on its own clock."""
    traces = {name: replace(trace, time=trace.time + 100.0) for name, trace in recorded.traces.items()}
    journal = tuple(replace(entry, time=entry.time + 100.0) for entry in recorded.journal)
    points = tuple(replace(p, start=p.start + 100.0, end=p.end + 100.0) for p in recorded.points)
    return replace(
        recorded, traces=traces, journal=journal, points=points, title="Later", start_time="2031-03-15T09:00"
    )


def test_at_the_charge_two_runs_lie_on_one_clock(recorded, later):
    one, two = overlays([recorded, later], "pressure", CHARGE)
    assert np.allclose(one.time, two.time)
    assert np.array_equal(one.value, two.value)
    charge = moment_of(recorded, CHARGE)
    # The liquid goes in at zero: the pressure is that of the air before, and above it after.
    before, after = one.value[one.time < -2.0].max(), one.value[one.time > 5.0].min()
    assert charge > 0
    assert after > before + 3000.0


def test_from_the_start_they_lie_apart(recorded, later):
    one, two = overlays([recorded, later], "pressure", START)
    assert np.allclose(two.time - one.time, 100.0)


def test_a_run_that_was_never_charged_is_left_out_at_the_charge(recorded):
    uncharged = replace(recorded, journal=(), title="Never charged")
    assert [overlay.label for overlay in overlays([uncharged, recorded], "pressure")] == ["Formula bench"]
    assert moment_of(uncharged, CHARGE) is None


def test_a_moment_that_does_not_exist_is_named(recorded):
    with pytest.raises(ValueError, match="moment is 'noon'"):
        moment_of(recorded, "noon")


def test_steps_begin_at_the_charge_and_at_each_change_of_the_bath_and_hold_their_point(recorded):
    steps = steps_of(recorded)
    assert [step.number for step in steps] == [1, 2, 3, 4]
    assert [step.point.number for step in steps] == [1, 2, 3, 4]
    assert steps[0].start == moment_of(recorded, CHARGE)
    assert all(a.end == b.start for a, b in itertools.pairwise(steps))


def test_steps_of_two_runs_begin_together_and_at_no_change(recorded, later):
    one, two = step_overlays([recorded, later], "temperature", 2)
    assert one.time[0] < 1.0
    assert one.value[0] == two.value[0] == 0.0
    # From 21.5 to 25.0 degC, within the noise of single readings
    assert one.value[-1] == pytest.approx(3.5, abs=0.05)


def test_a_step_that_no_run_has_gives_nothing(recorded):
    assert step_overlays([recorded], "temperature", 9) == ()


def test_the_line_of_a_run_is_that_of_its_fit_and_points_after_cooling_are_told_apart(recorded):
    (line,) = lines_of([recorded])
    assert np.allclose(line.curve.log_pressure, curve_of(answer(recorded).fit).log_pressure)
    assert line.cooling == (False, False, False, True)
    assert line.used == (True,) * 4
    assert line.inverse_temperature == tuple(1 / point.temperature for point in recorded.points)


def test_runs_without_a_result_have_no_line_but_a_row_that_says_why(recorded):
    none = replace(recorded, results=(), title="Nothing", points=recorded.points[:1], journal=())
    assert lines_of([none]) == ()
    assert compare_rows([none])[0].result == "none: The run has 1 point in use; three or more are needed."


def test_the_table_has_result_interval_and_findings_of_each_run(recorded, later):
    rows = compare_rows([recorded, later])
    assert [row.label for row in rows] == ["Formula bench", "Later"]
    assert rows[0].result == rows[1].result
    assert rows[0].points == "4 of 4"
    low, _ = recorded.results[-1]["enthalpy_vap"]["at_298_15"]["interval_95"]
    assert rows[0].interval.startswith(f"{low / 1000:.1f}")


def test_in_the_window_only_findings_that_cast_doubt_are_told_and_notes_are_counted(recorded):
    findings = [
        {"code": "a", "severity": severity, "text": f"{severity} of it.", "advice": "", "statistic": None,
         "threshold": None, "effect": None, "false_alarm": None}
        for severity in ("note", "doubt", "note")
    ]  # fmt: skip
    result = {**recorded.results[-1], "findings": findings}
    (row,) = compare_rows([replace(recorded, results=(result,))])
    assert row.doubts == "▲ doubt of it. 2 notes"
    assert row.findings.count("of it.") == 3
    (clean,) = compare_rows([replace(recorded, results=({**result, "findings": []},))])
    assert clean.doubts == clean.findings == "none"


def test_runs_with_one_title_are_told_apart_by_their_start_and_then_by_number(recorded, later):
    twins = [recorded, recorded, replace(later, title=recorded.title)]
    labels = labels_of(twins)
    assert len(set(labels)) == 3
    assert labels[2] == "Formula bench, 2031-03-15 09:00"
