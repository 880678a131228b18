"""What the person is told at each stage, and the steps with their states."""

from __future__ import annotations

import pytest

from acquire import acts, stages
from acquire.acts import Act
from acquire.guidance import instruction, steps
from tests.acquire.formula_bench import FormulaBench, feed_until
from tests.acquire.test_run import TARGETS, make_run


def kinds(run) -> dict[str, str]:
    return {step.key: step.state for step in steps(run)}


def test_the_instructions_lead_through_the_run() -> None:
    run, bench = make_run(), FormulaBench()
    assert instruction(run).kind == "begin"
    run.act(Act(acts.BEGIN))
    assert instruction(run).kind == "wait"
    assert kinds(run)["room baseline"] == "current"
    feed_until(run, bench, lambda: run.stage == stages.SOAK)
    left = instruction(run)
    assert left.kind == "wait"
    assert left.seconds_left == pytest.approx(10.0)
    feed_until(run, bench, lambda: run.time - run.stage_since >= 10.0)
    assert instruction(run).kind == "close_valve"
    bench.shut = True
    run.act(Act(acts.VALVE_CLOSED))
    assert (kinds(run)["leak check"], kinds(run)["sealed baseline"]) == ("current", "to do")
    feed_until(run, bench, lambda: run.time - run.stage_since >= 60.0)
    feed_until(run, bench, lambda: run.stage == stages.CHARGE)
    told = instruction(run)
    assert told.kind == "charge"
    # By hand: n-heptane 7.2e-6 m2/s (from memory); a sphere of 140 mL is 64 mm wide; 4 L2 / (pi2 D) ln 100.
    assert told.saturates_in == pytest.approx(1070.0, rel=0.1)
    shown = {step.key: step for step in steps(run)}
    assert shown["leak check"].state == shown["sealed baseline"].state == "done"
    assert abs(shown["leak check"].detail["leak_rate"]) < 1.0  # [Pa/s] the bench by formula does not leak
    bench.charged = True
    run.act(Act(acts.CHARGED))
    assert instruction(run).kind == "wait"
    feed_until(run, bench, lambda: len(run.points) == 1)
    told = instruction(run)
    assert told.kind == "warm"
    assert told.target == TARGETS[0]
    assert told.water_volume == pytest.approx(41e-6, rel=0.1)  # by hand: 2115 J/K over 3.5 K, water 45 K warmer
    assert 106e3 < told.expected_pressure < 110e3
    assert kinds(run)["plateau-2"] == "current"
    run.act(Act(acts.NEXT))
    cooled = instruction(run)
    assert cooled.kind == "wait" or cooled.target == run.plan.bath.return_to
    run.act(Act(acts.NEXT))
    assert instruction(run).kind == "vent"
    run.act(Act(acts.VENTED))
    assert instruction(run).kind == "none"
    assert kinds(run)["plateau-2"] == "skipped"
