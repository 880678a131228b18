"""A stored run as a rehearsal: its traces come again, a person decides anew, three sets of points side by side."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from acquire import acts
from acquire.acts import Act
from acquire.clocks import ManualClock
from acquire.commands import main, rehearse
from acquire.commands.simulate import simulate
from acquire.live import RECORDED
from acquire.record import RunRecord
from acquire.rehearsal import QueueSource
from acquire.rehearsal_plan import own_plan
from acquire.report.debrief_content import debrief_content
from acquire.run import ActRefused, Run
from acquire.runfile.reader import read_run
from acquire.session import Session
from acquire.simulation import DEVICE, SimulatedRun
from acquire.stored_debrief import bench_again, truth_of_stored
from acquire.stored_rehearsal import STORED, OnlyDecisions, StoredActs, recorded_bench, stored_rehearsal
from analysis.liquids import load_liquid
from sim.scenario import load_scenario

HEADER = {
    "plan_text": "", "profile_texts": {}, "devices": {}, "start_time": "2026-01-01T10:00:00+00:00", "end_time": "",
    "program": "",
}  # fmt: skip


@pytest.fixture(scope="module")
def path(tmp_path_factory) -> Path:
    """A short stored run: two plateaus and a return."""
    scenario = load_scenario("calm")
    targets = {"targets_degC": scenario.procedure.targets_degC[:2]}
    short = scenario.model_copy(update={"procedure": scenario.procedure.model_copy(update=targets)})
    path = tmp_path_factory.mktemp("stored") / "stored.h5"
    simulate(short, 1, path)
    return path


@pytest.fixture(scope="module")
def stored(path) -> RunRecord:
    return read_run(path)


def rehearsed(stored: RunRecord, path: Path, *, take: bool) -> SimulatedRun:
    """The whole rehearsal, on a clock that is moved by hand; the trainee takes what is offered, or nothing."""
    run = Run(own_plan(f"{RECORDED}{path}", automatic=False), load_liquid("n-heptane"))
    clock = ManualClock()
    session = Session(run, {DEVICE: QueueSource()}, clock=clock, after_step=StoredActs(stored, clock))
    rehearsal = SimulatedRun(session, recorded_bench(stored), clock)
    hands = OnlyDecisions(session)

    def trainee(session: Session) -> None:
        if take and run.proposal is not None:
            hands.act(Act(acts.TAKE))

    rehearsal.until_closed(trainee)
    return rehearsal


@pytest.fixture(scope="module")
def rehearsal(stored, path) -> SimulatedRun:
    return rehearsed(stored, path, take=True)


def bench_acts(journal) -> list[tuple[str, float]]:
    return [
        (e.data["act"], e.time) for e in journal
        if e.kind == "act" and e.data["act"] in (acts.VALVE_CLOSED, acts.CHARGED, acts.WARMED, acts.COOLED)
    ]  # fmt: skip


def test_the_same_readings_come_again(stored, rehearsal):
    for channel, trace in rehearsal.session.store.traces().items():
        was = stored.traces[channel]
        there = np.isfinite(trace.value)
        assert there.sum() == (was.time <= trace.time[-1] + 0.1).sum()
        # the line carries a millionth of a degree and of a kilopascal
        np.testing.assert_allclose(trace.value[there], was.value[: there.sum()], rtol=0, atol=2e-3)
        assert np.abs(trace.time[there] - was.time[: there.sum()]).max() < 0.6  # one step of the hand-moved clock


def test_bench_acts_come_by_themselves_when_they_came(stored, rehearsal):
    again, then = bench_acts(rehearsal.session.run.journal), bench_acts(stored.journal)
    assert [name for name, _ in again] == [name for name, _ in then]
    assert max(abs(a - b) for (_, a), (_, b) in zip(again, then, strict=True)) < 3.0
    assert {e.actor for e in rehearsal.session.run.journal if e.data.get("act") == acts.CHARGED} == {STORED}
    assert "happens as it did then" in rehearsal.session.run.journal.of_kind("act")[0].data["text"]


def test_the_trainee_cannot_work_at_the_bench(stored, path):
    run = Run(own_plan(f"{RECORDED}{path}"), None)
    session = Session(run, {}, clock=ManualClock())
    with pytest.raises(ActRefused, match="comes by itself as it was done in the stored run"):
        OnlyDecisions(session).act(Act(acts.BEGIN))
    assert not len(run.journal)
    seen = OnlyDecisions(session).snapshot()
    assert seen.replayed
    assert acts.BEGIN in session.snapshot().possible_acts
    assert not {acts.BEGIN, acts.NEXT, acts.VENTED, acts.CHARGED} & set(seen.possible_acts)
    OnlyDecisions(session).act(Act(acts.NOTE, data={"text": "odd"}))
    assert run.journal[0].data["text"] == "odd"


def test_who_takes_what_is_offered_gets_the_points_of_the_stored_run(stored, rehearsal):
    points = rehearsal.session.run.points
    assert len(points) == len(stored.points)
    for mine, theirs in zip(points, stored.points, strict=True):
        assert mine.taken_by == "person"
        assert mine.temperature == pytest.approx(theirs.temperature, abs=0.05)
        assert mine.pressure == pytest.approx(theirs.pressure, abs=100.0)


def test_the_debrief_without_a_truth_claims_none(stored, rehearsal):
    session = rehearsal.session
    truth = truth_of_stored(session.record(HEADER), session.run, replace(stored, truth=None))
    assert set(truth) == {"replayed", "debrief"}
    content = debrief_content(session.record({**HEADER, "truth": truth}))
    said = " ".join((*content.lines, *(value for _, value in content.results), content.banner))
    assert "nobody knows" in said
    assert "true value" not in said
    (table,) = content.tables
    assert {row[0] for row in table.rows} == {"you", "the stored run", "the program alone"}
    assert len(table.rows) == 3 * len(stored.points)


def test_the_debrief_of_a_stored_simulated_run_uses_its_truth(stored, rehearsal):
    session = rehearsal.session
    truth = truth_of_stored(session.record(HEADER), session.run, stored)
    data = truth["debrief"]
    assert truth["enthalpy_vap"] == stored.truth["enthalpy_vap"]
    assert [m["began"] for m in data["mishaps"]] == [m["began"] for m in stored.truth["mishaps"]]
    assert len(data["points"]) == len(session.run.points)
    content = debrief_content(session.record({**HEADER, "truth": truth}))
    assert [name for name, _ in content.results][:3] == ["true value", "your points", "the stored run's points"]
    assert "Points on the same traces" in [table.heading for table in content.tables]


def test_a_changed_scenario_is_not_taken_for_the_same_bench(stored):
    assert bench_again({**stored.truth, "cell_volume": 1e-4}, 10.0) is None
    assert bench_again({**stored.truth, "scenario": "no-such-bench"}, 10.0) is None


def test_who_takes_nothing_still_sees_the_run_to_its_end(stored, path):
    quiet = rehearsed(stored, path, take=False).session.run
    assert quiet.closed
    assert not quiet.points
    assert [name for name, _ in bench_acts(quiet.journal)] == [name for name, _ in bench_acts(stored.journal)]
    assert len(quiet.baselines) == 2, "the bench did not wait, so they were taken as it went on"


def test_what_cannot_be_rehearsed_on_is_told_in_a_sentence(tmp_path, stored, monkeypatch, capsys):
    wrong = tmp_path / "wrong.h5"
    wrong.write_text("no run")

    def said(record: RunRecord | None = None) -> str:
        if record is not None:
            monkeypatch.setattr("acquire.runfile.reader.read_run", lambda path: record)
        assert main.main(["rehearse", str(wrong), "--no-window"]) == 1
        return capsys.readouterr().err

    assert "wrong.h5" in said()
    assert "holds no temperature readings" in said(replace(stored, traces={}))
    uncharged = tuple(e for e in stored.journal if e.data.get("act") != acts.CHARGED)
    assert "without a charge" in said(replace(stored, journal=uncharged))


def test_a_stored_run_stands_alone(path):
    assert stored_rehearsal(["sim:calm"]) is None
    with pytest.raises(Exception, match="expected the stored run alone"):
        stored_rehearsal([f"{RECORDED}{path}", "sim:calm"])


@pytest.mark.slow
def test_from_the_command_to_the_page(path, tmp_path, capsys):
    out = tmp_path / "again.h5"
    assert main.main(["rehearse", str(path), "--no-window", "--speed", "500", "--out", str(out)]) == 0
    told = capsys.readouterr().out
    assert "Points on the same traces" in told
    assert "decided again" in told
    record = read_run(out)
    assert record.truth["replayed"] == "stored.h5"
    assert (tmp_path / "again-debrief.html").is_file()
    assert "the stored run ends here" in " ".join(str(e.data.get("text")) for e in record.journal) or any(
        e.data.get("act") == acts.VENTED for e in record.journal
    )


def test_a_plan_with_only_a_mark_keeps_what_the_bench_says(tmp_path):
    plan = tmp_path / "mark.toml"
    plan.write_text('[mark]\nnames = ["good", "not yet"]\nleast = ["60 %"]\n')
    merged, text = rehearse._plan("sim:brisk", str(plan))
    own = own_plan("sim:brisk", automatic=False)
    assert merged.mark is not None
    assert merged.model_copy(update={"mark": None}) == own
    assert "names" in text
    assert merged.liquid == "ethanol"


def test_a_plan_that_contradicts_its_bench_is_told(tmp_path, capsys):
    plan = tmp_path / "limit.toml"
    plan.write_text('[limits]\ntemperature = "39 degC"\n')
    hot = tmp_path / "hot.toml"
    hot.write_text('name = "hot"\ntitle = "Hot"\n[procedure]\ntargets_degC = [25, 39.5]\n')
    assert main.main(["rehearse", str(hot), "--no-window", "--plan", str(plan)]) == 1
    assert "does not fit the bench" in capsys.readouterr().err


def test_marks_stand_where_they_stood_though_a_fast_clock_brings_a_minute_at_a_time(stored, path):
    run = Run(own_plan(f"{RECORDED}{path}", automatic=False), load_liquid("n-heptane"), grace=200.0)
    clock = ManualClock()
    marks = StoredActs(stored, clock)
    marks.watch(run)
    session = Session(run, {DEVICE: QueueSource()}, clock=clock, after_step=marks)
    playing = SimulatedRun(session, recorded_bench(stored), clock)
    while not run.closed:
        playing.advance(60.0)
    then, again = bench_acts(stored.journal), bench_acts(run.journal)
    assert [name for name, _ in again] == [name for name, _ in then]
    assert max(abs(a - b) for (_, a), (_, b) in zip(again, then, strict=True)) <= 1.0
