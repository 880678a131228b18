"""The person's acts on a simulated bench: what is said to be done is done there, and nothing else."""

from __future__ import annotations

import pytest

from acquire import acts
from acquire.acts import Act
from acquire.commands.hands import HandsOnBench
from acquire.rehearsal import plan_of
from acquire.run import ActRefused, Run
from acquire.simulation import SimulatedRun, simulated_run
from analysis.liquids import load_liquid
from sim.device import BenchAct
from sim.scenario import load_scenario


@pytest.fixture
def simulated() -> SimulatedRun:
    scenario = load_scenario("calm")
    plan = plan_of(scenario)
    run = simulated_run(scenario, 3, Run(plan, load_liquid(plan.liquid)), operated=False)
    run.advance(5.0)
    return run


@pytest.fixture
def done(simulated) -> list[BenchAct]:
    return []


@pytest.fixture
def hands(simulated, done) -> HandsOnBench:
    return HandsOnBench(simulated.session, done.append)


def until(simulated, stage):
    for _ in range(400):
        if simulated.session.run.stage == stage:
            return
        simulated.advance(5.0)
    raise AssertionError(f"still {simulated.session.run.stage}, never {stage}")


def to_the_plateaus(simulated, hands):
    hands.act(Act(acts.BEGIN))
    until(simulated, "soak")
    hands.act(Act(acts.VALVE_CLOSED))
    until(simulated, "charge")
    hands.act(Act(acts.CHARGED))


def test_valve_and_charge_are_moved(simulated, hands, done):
    to_the_plateaus(simulated, hands)
    assert [act.kind for act in done] == ["close_valve", "charge", "swirl"]


def test_a_refused_act_moves_nothing(hands, done):
    with pytest.raises(ActRefused):
        hands.act(Act(acts.CHARGED))
    assert done == []


def test_water_is_poured_as_it_was_entered(simulated, hands, done):
    to_the_plateaus(simulated, hands)
    done.clear()
    hands.act(Act(acts.WARMED, data={"volume": 62e-6, "temperature": 343.15}))
    assert done[0] == BenchAct("pour", 62e-6, 343.15)


def test_without_an_amount_as_much_is_poured_as_reaches_the_target(simulated, hands, done):
    to_the_plateaus(simulated, hands)
    while simulated.session.snapshot().instruction.kind != "warm":
        simulated.advance(5.0)
    done.clear()
    snapshot = simulated.session.snapshot()
    bath, now, target = simulated.session.run.plan.bath, snapshot.channels["temperature"].value, None
    target = snapshot.instruction.target
    hands.act(Act(acts.WARMED))
    pour = done[0]
    # The balance of heat: what the water gives up, the bath takes.
    assert pour.amount * (pour.temperature - target) == pytest.approx(bath.volume * (target - now))
    told = simulated.session.run.journal.of_kind("act")[-1].data
    assert told["volume"] == pytest.approx(pour.amount)


def test_water_on_the_wrong_side_of_the_target_is_not_poured(simulated, hands, done):
    to_the_plateaus(simulated, hands)
    done.clear()
    hands.act(Act(acts.COOLED, data={"temperature": 353.15}))
    assert done == []


def test_a_note_moves_nothing(hands, done):
    hands.act(Act(acts.NOTE, data={"text": "x"}))
    assert done == []
