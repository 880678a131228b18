"""A run looked at while it is recorded: the same decisions, and no edits before it is closed."""

from __future__ import annotations

import dataclasses

import pytest

from acquire import acts
from acquire.replay import BEHIND, differences
from acquire.review.cursor import History
from acquire.review.editor import EditRefusedError, Review
from acquire.review.trial import Trial


def grown(recorded, time: float, traces: dict):
    """The record as it stood then; the traces are put into the same mapping each time."""
    for name, trace in recorded.traces.items():
        traces[name] = trace.between(-1.0, time)
    journal = tuple(entry for entry in recorded.journal if entry.time <= time)
    return dataclasses.replace(recorded, traces=traces, journal=journal, end_time=None)


def test_a_growing_run_is_decided_as_it_was_and_as_far_as_it_goes(recorded, heptane) -> None:
    traces: dict = {}
    history = History(grown(recorded, 50.0, traces), heptane, growing=True)
    assert history.at(1e9) is not None
    assert history.upto <= 50.0 - BEHIND + 1.0
    assert not history.complete
    for time in (51.0, 140.0, 141.5, 400.0, recorded.duration):
        history.follow(grown(recorded, time, traces), growing=True)
        history.at(1e9)
        assert history.upto <= time - BEHIND + 1.0
    traces.update(recorded.traces)
    history.follow(dataclasses.replace(recorded, traces=traces), growing=False)
    history.to_end()
    assert history.complete
    assert differences(recorded, history.run) == []


def test_a_run_that_is_still_recorded_cannot_be_edited(recorded, heptane) -> None:
    traces: dict = {}
    review = Review(grown(recorded, 400.0, traces), heptane, growing=True)
    review.advance(1e9)
    assert review.progress > 0.98
    with pytest.raises(EditRefusedError, match="still being recorded; edit its points when it has been closed"):
        review.edit(acts.SET_ASIDE, point=1, reason="too early")
    traces.update(recorded.traces)
    review.follow(dataclasses.replace(recorded, traces=traces), growing=False)
    review.advance(1e9)
    assert review.why_not_edit == ""


def test_a_trial_takes_what_the_settings_alone_would_take(recorded, heptane) -> None:
    from acquire.plan import stored_plan

    trial = Trial(recorded, heptane, stored_plan(recorded.plan))
    steps = 1
    while not trial.advance(60.0):
        steps += 1
        assert 0.0 <= trial.progress < 1.0 or trial.progress == 1.0
    assert steps > 5
    assert trial.progress == 1.0
    assert trial.points == sum(point.used for point in recorded.points)
    assert trial.result is not None
