"""The scripted person: water that is about right, delays, one thing after the other, refusals."""

from __future__ import annotations

import pytest

from sim.device import BenchAct, SimulatedBench
from sim.errors import BenchActError
from sim.operator import Done, ScriptedOperator
from sim.scenario import Scenario, load_scenario

CALM = load_scenario("calm")


def exact(**operator: float) -> Scenario:
    """A person who makes no mistakes, unless said."""
    data = CALM.model_dump()
    data["operator"] |= {"reaction_spread_percent": 0.0, "amount_error_percent": 0.0, "water_error_K": 0.0} | operator
    return Scenario.model_validate(data)


class Stage:
    """A bench, its person and the time."""

    def __init__(self, scenario: Scenario, seed: int = 0) -> None:
        self.bench = SimulatedBench(scenario, seed)
        self.person = ScriptedOperator(self.bench.act, scenario, seed)
        self.time = 0.0
        self.done: list[Done] = []

    def until(self, time: float) -> list[Done]:
        new: list[Done] = []
        while self.time < time:
            self.time += 0.5
            self.bench.advance(self.time)
            new += self.person.step(self.time)
        self.done += new
        return new

    @property
    def bath(self) -> float:
        return self.bench.truth.states[-1].bath


def test_a_whole_run_can_be_played_by_asking() -> None:
    stage = Stage(CALM, 3)
    stage.person.ask("close_valve", 0.0)
    stage.until(60)
    stage.person.ask("charge", 60.0)
    stage.until(300)
    for target in CALM.targets:
        stage.person.ask("warm", stage.time, target=target)
        stage.until(stage.time + 240)
    assert CALM.return_target is not None
    stage.person.ask("cool", stage.time, target=CALM.return_target)
    stage.until(stage.time + 240)
    stage.person.ask("vent", stage.time)
    stage.until(stage.time + 60)
    names = [done.instruction for done in stage.done]
    assert names == ["close_valve", "charge", *["warm"] * 5, "cool", "vent"]
    kinds = [kind for _, kind, *_ in stage.bench.truth.acts]
    assert kinds.count("charge") == 1
    assert kinds[-1] == "open_valve"
    assert stage.bench.truth.states[-1].pressure == pytest.approx(stage.bench.scenario.room_pressure, abs=300)
    volume = stage.bench._plant.bath_mass / 997.0
    assert volume <= 1.02 * CALM.bath.capacity_mL * 1e-6


def test_a_person_without_mistakes_brings_the_bath_where_it_was_told() -> None:
    stage = Stage(exact())
    stage.person.ask("warm", 0.0, target=302.15)
    stage.until(90)
    # The person knows nothing of the losses meanwhile and of the cell's liquid: a tenth of the rise.
    assert stage.bath == pytest.approx(302.15, abs=0.6)


def test_a_full_bath_is_emptied_before_hot_water_goes_in() -> None:
    data = exact().model_dump()
    data["bath"] |= {"volume_mL": 480.0, "capacity_mL": 500.0}
    stage = Stage(Scenario.model_validate(data))
    stage.person.ask("warm", 0.0, target=304.15)
    (done,) = stage.until(60)
    acts = [(kind, amount) for _, kind, amount, _ in stage.bench.truth.acts]
    assert acts[0][0] == "draw"
    poured = sum(amount for kind, amount in acts if kind == "pour")
    assert 480e-6 - acts[0][1] + poured == pytest.approx(500e-6, rel=1e-9)
    assert "taken out before" in done.note
    assert done.drawn == pytest.approx(acts[0][1], rel=1e-12)
    assert stage.bath == pytest.approx(304.15, abs=0.8)


def test_the_bath_is_cooled_with_cold_water_for_the_return_point() -> None:
    stage = Stage(exact())
    stage.person.ask("warm", 0.0, target=306.15)
    stage.until(120)
    stage.person.ask("cool", 120.0, target=300.15, reading=stage.bath)
    stage.until(240)
    assert stage.bath == pytest.approx(300.15, abs=0.7)


def test_what_is_read_out_replaces_what_the_person_believed() -> None:
    stage = Stage(exact())
    stage.person.ask("warm", 0.0, volume=100e-6, water=343.15)
    stage.until(120)
    # A person told nonsense pours by the nonsense: this shows that the reading is used.
    stage.person.ask("warm", 120.0, target=303.15, reading=303.15)
    assert stage.until(160)[0].note == "nothing to pour, the bath is there"


def test_a_stated_volume_of_stated_water_is_poured_in_portions() -> None:
    stage = Stage(exact())
    stage.person.ask("warm", 0.0, volume=60e-6, water=333.15)
    (done,) = stage.until(60)
    pours = [(amount, temperature) for _, kind, amount, temperature in stage.bench.truth.acts if kind == "pour"]
    assert len(pours) == 4
    assert sum(amount for amount, _ in pours) == pytest.approx(60e-6)
    assert {temperature for _, temperature in pours} == {333.15}
    assert (done.amount, done.temperature) == (pytest.approx(60e-6), 333.15)


def test_things_told_together_are_done_one_after_the_other() -> None:
    stage = Stage(exact(reaction_s=5.0))
    stage.person.ask("close_valve", 0.0)
    stage.person.ask("charge", 0.0)
    assert stage.person.busy
    stage.until(60)
    assert [(done.instruction, done.time) for done in stage.done] == [("close_valve", 5.0), ("charge", 10.0)]
    assert not stage.person.busy


def test_reactions_take_their_time_and_differ() -> None:
    scenario = exact(reaction_s=6.0, reaction_spread_percent=40.0)
    times = []
    for seed in range(30):
        stage = Stage(scenario, seed)
        stage.person.ask("vent", 0.0)
        times.append(stage.until(60)[0].time)
    assert len(set(times)) > 10
    # The median of 30 log-normal draws with a spread of 0.4 is known to about 9 %.
    assert sorted(times)[15] == pytest.approx(6.0, rel=0.36)


def test_amounts_are_wrong_by_the_stated_error() -> None:
    scenario = exact(amount_error_percent=10.0)
    amounts = []
    for seed in range(30):
        stage = Stage(scenario, seed)
        stage.person.ask("warm", 0.0, volume=100e-6)
        amounts.append(stage.until(40)[0].amount * 1e6)
    mean = sum(amounts) / 30
    deviation = (sum((a - mean) ** 2 for a in amounts) / 29) ** 0.5
    assert mean == pytest.approx(100.0, abs=4 * 10 / 30**0.5)
    assert deviation == pytest.approx(10.0, rel=4 * 0.13)


def test_the_same_seed_gives_the_same_person() -> None:
    def acts(seed: int) -> list[BenchAct]:
        done: list[BenchAct] = []
        person = ScriptedOperator(done.append, CALM, seed)
        person.ask("warm", 0.0, target=300.15)
        person.step(60.0)
        return done

    assert acts(1) == acts(1)
    assert acts(1) != acts(2)


def test_an_unknown_instruction_is_refused() -> None:
    with pytest.raises(BenchActError, match="found instruction 'dance'; expected one of close_valve, charge, warm"):
        Stage(CALM).person.ask("dance", 0.0)


def test_warming_without_target_or_volume_is_refused() -> None:
    with pytest.raises(BenchActError, match="found 'warm' without target or volume; expected one of them"):
        Stage(CALM).person.ask("warm", 0.0)


def test_a_bath_that_is_beyond_the_target_gets_nothing() -> None:
    stage = Stage(exact())
    stage.person.ask("warm", 0.0, target=290.15)
    (done,) = stage.until(30)
    assert done.note == "nothing to pour, the bath is there"
    assert [kind for _, kind, *_ in stage.bench.truth.acts] == []
