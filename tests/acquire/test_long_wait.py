"""A plateau that never comes: window and terminal say where to look, after the same time and in the same words."""

from __future__ import annotations

import dataclasses
from io import StringIO
from types import SimpleNamespace

import pytest
from rich.console import Console

from acquire.commands.live import live_view
from acquire.commands.simulate import simulate
from acquire.commands.stopping import StopRequest
from acquire.commands.watch import _plain
from acquire.journal import Journal
from acquire.long_wait import LONG_WAIT, LOOK_AT, LongWaitHint, long_wait
from acquire.rehearsal import plan_of
from acquire.run import Run
from acquire.simulation import simulated_run
from acquire.snapshot import Instruction, ProposalView
from analysis.liquids import load_liquid
from sim.scenario import load_scenario


@pytest.fixture(scope="module")
def snapshot():
    scenario = load_scenario("calm")
    plan = plan_of(scenario)
    run = simulated_run(scenario, 3, Run(plan, load_liquid(plan.liquid)), operated=False)
    run.advance(5.0)
    return dataclasses.replace(
        run.session.snapshot(),
        time=2000.0,
        stage="plateaus",
        instruction=Instruction("wait"),
        gates=(("leak", "the pressure changes and the temperature does not explain it"),),
    )


def since(snapshot, start, **changes):
    forming = ProposalView(changes.pop("offered", False), start, start + 10.0, 309.73, 116_520.0, 3)
    return dataclasses.replace(snapshot, proposal=forming, **changes)


def test_only_a_long_wait_for_a_plateau_that_something_stands_against_is_one(snapshot):
    assert long_wait(since(snapshot, 2000.0 - LONG_WAIT)) is None
    assert long_wait(since(snapshot, 1999.0 - LONG_WAIT)) == LONG_WAIT + 1.0
    assert long_wait(since(snapshot, 10.0, offered=True)) is None
    assert long_wait(since(snapshot, 10.0, gates=())) is None
    assert long_wait(since(snapshot, 10.0, instruction=Instruction("warm", 310.0))) is None
    assert long_wait(dataclasses.replace(snapshot, proposal=None)) is None


def test_the_hint_comes_once_for_each_plateau(snapshot):
    hint = LongWaitHint("Press a key.")
    told = hint.new(since(snapshot, 1000.0))
    assert told == (
        "the pressure changes and the temperature does not explain it. "
        "Not level for 17 min: look at valve, stopper and bath. Press a key."
    )
    assert hint.new(since(snapshot, 1000.0, time=2300.0)) == ""
    assert hint.new(since(snapshot, 2100.0, time=2300.0)) == ""
    assert hint.new(since(snapshot, 2100.0, time=3300.0)).startswith("the pressure changes")


def test_the_live_picture_says_so_as_long_as_it_lasts(snapshot):
    def lines(shown):
        return [str(part) for part in live_view(shown).renderables]

    assert not any("Not level" in line for line in lines(since(snapshot, 1200.0)))
    (line,) = (line for line in lines(since(snapshot, 800.0)) if "Not level for 20 min" in line)
    assert line.endswith("Space takes it as it is, s goes on.")


def test_the_window_uses_the_same_words(snapshot):
    pytest.importorskip("PyQt5.QtWidgets", exc_type=ImportError)
    from acquire.window.next_act import next_act

    assert LOOK_AT.format("17\N{NO-BREAK SPACE}min") in next_act(since(snapshot, 1000.0)).detail


@pytest.mark.slow
def test_a_simulated_run_tells_it_beside_its_result(capsys, monkeypatch):
    monkeypatch.setattr("acquire.long_wait.LONG_WAIT", 100.0)
    simulate(load_scenario("calm"), 6, None)
    said = capsys.readouterr()
    told = [line for line in said.err.splitlines() if "Not level for 2 min: look at valve, stopper and bath." in line]
    assert 1 <= len(told) <= 8, "once for each plateau"
    assert len(set(told)) == len(told)
    assert said.out == ""


def test_a_log_without_a_terminal_gets_it_as_one_line(snapshot, monkeypatch):
    monkeypatch.setattr("acquire.commands.watch.wait", lambda seconds: None)
    shown = iter([since(snapshot, 1500.0), *[since(snapshot, 800.0)] * 3])
    left = iter([True, True, True, False])
    session = SimpleNamespace(run=SimpleNamespace(journal=Journal()), trouble="")
    kind = type("Live", (), {"running": property(lambda _self: next(left)), "session": session})
    live = kind()
    live.snapshot = lambda: next(shown)
    page = StringIO()
    _plain(live, Console(file=page, width=200), None, StopRequest())
    assert page.getvalue().count("hint: the pressure changes") == 1
    assert "Space" not in page.getvalue(), "nobody is there to press a key"
