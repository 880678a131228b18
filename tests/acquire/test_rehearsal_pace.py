"""Pace of a rehearsal: steps, pause, what the journal says of it, and that a real bench refuses."""

from __future__ import annotations

import pytest

from acquire import clocks
from acquire.clocks import RunClock
from acquire.feed import GRACE
from acquire.rehearsal import plan_of
from acquire.rehearsal_pace import FASTER, LADDER, PAUSE, SLOWER, Pace, PaceError, next_speed
from acquire.replay import Replay, differences
from acquire.run import Run
from acquire.session import Session
from acquire.simulation import simulated_run
from sim.scenario import load_scenario


class HandMoved:
    """Real seconds, moved by the test."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = 100.0
        monkeypatch.setattr(clocks.time, "monotonic", lambda: self.now)

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def real(monkeypatch):
    return HandMoved(monkeypatch)


@pytest.fixture
def clock(real):
    return RunClock(1.0)


@pytest.fixture
def session(clock):
    scenario = load_scenario("calm")
    return Session(Run(plan_of(scenario), None), {}, clock=clock)


@pytest.fixture
def pace(session, clock, real):
    return Pace(session, clock, changeable=True, real_time=real)


def notes(session) -> list[str]:
    return [entry.data["text"] for entry in session.run.journal if entry.data.get("act") == "note"]


@pytest.mark.parametrize(
    ("speed", "change", "new"),
    [(1.0, FASTER, 2.0), (1.0, SLOWER, 1.0), (30.0, FASTER, 50.0), (30.0, SLOWER, 20.0), (LADDER[-1], FASTER, 500.0)],
)
def test_steps_of_the_ladder(speed, change, new):
    assert next_speed(speed, change) == new


def test_run_time_goes_on_at_the_new_speed_from_where_it_was(pace, clock, real):
    real.now += 10.0
    assert pace(FASTER) == 2.0
    real.now += 10.0
    assert clock() == pytest.approx(30.0)


def test_a_pause_stops_run_time_and_the_journal_tells_how_long_it_was(pace, clock, real, session):
    pace(FASTER)
    assert pace(PAUSE) == 0.0
    before = clock()
    real.now += 34.0
    assert clock() == before
    assert pace(PAUSE) == 2.0
    real.now += 1.0
    assert clock() == pytest.approx(before + 2.0)
    assert notes(session) == [
        "time of the rehearsal runs at 2 times real time, before at 1",
        "the rehearsal is paused: no reading comes until it goes on",
        "the rehearsal goes on after a pause of 34 s, at 2 times real time",
    ]
    assert {entry.actor for entry in session.run.journal} == {"program"}, "nobody counts it as a reaction of a person"


def test_faster_in_a_pause_changes_how_it_goes_on_and_does_not_end_it(pace, clock):
    pace(PAUSE)
    assert pace(FASTER) == 0.0
    assert pace(PAUSE) == 2.0


def test_at_the_end_of_the_ladder_nothing_happens_and_nothing_is_noted(pace, session):
    assert pace(SLOWER) == 1.0
    assert notes(session) == []


def test_a_real_bench_has_no_pace(session, clock):
    pace = Pace(session, clock, changeable=False)
    assert pace() is None
    with pytest.raises(PaceError, match="time at a real bench cannot be changed or stopped"):
        pace(FASTER)
    assert clock.speed == 1.0


def test_an_unknown_change_is_refused_with_those_there_are(pace):
    with pytest.raises(PaceError, match="the change is 'backwards'; expected one of faster, slower, pause"):
        pace("backwards")


def test_a_run_whose_pace_changed_replays_to_the_same_journal():
    scenario = load_scenario("calm")
    simulated = simulated_run(scenario, 1, Run(plan_of(scenario), None))
    pace = Pace(simulated.session, RunClock(1.0), changeable=True)
    for change in (FASTER, PAUSE, PAUSE, SLOWER):
        simulated.advance(40.0)
        pace(change)
    simulated.advance(40.0)
    header = dict.fromkeys(("plan_text", "start_time", "end_time", "program"), "") | {
        "profile_texts": {},
        "devices": {},
    }
    record = simulated.session.record(header)
    replayed = Replay(record, None).to()
    assert len([e for e in replayed.journal if "rehearsal" in e.data.get("text", "")]) == 4
    assert differences(record, replayed) == []


def test_channels_may_be_further_apart_the_faster_time_runs(pace, clock, session, monkeypatch):
    # A fast clock bunches the readings of a channel: what would be late at one speed is in time at another.  The bound
    # is that of the faster of both speeds, for what is still on the line was sent at the old one.
    allowed = []
    monkeypatch.setattr(session.run, "allow", allowed.append)
    for change in (FASTER, FASTER, SLOWER, PAUSE):
        pace(change)
    assert allowed == [GRACE * speed for speed in (2.0, 5.0, 5.0, 2.0)]
