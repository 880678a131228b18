"""The whole job on simulated bytes: decoded, judged, fitted, filed, read back, replayed."""

from __future__ import annotations

from pathlib import Path

import pytest

from acquire.commands.simulate import simulate
from acquire.record import RunRecord
from acquire.rehearsal import plan_of
from acquire.replay import Replay, differences
from acquire.run import Run
from acquire.runfile.reader import read_run
from acquire.simulation import simulated_run
from analysis.liquids import load_liquid
from sim.scenario import load_scenario

# CRC Handbook table (as shipped in `chemicals`); the reference equation of state in CoolProp 8.0.0 gives 36585.
TRUE_ENTHALPY = 36_570.0  # [J/mol] n-heptane at 298.15 K


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> RunRecord:
    path = tmp_path_factory.mktemp("run") / "calm.h5"
    simulate(load_scenario("calm"), 3, path)
    return read_run(path)


@pytest.mark.slow
def test_the_reference_enthalpy_lies_inside_the_interval(record: RunRecord) -> None:
    low, high = record.results[-1]["enthalpy_vap"]["at_298_15"]["interval_95"]
    assert low < TRUE_ENTHALPY < high
    assert high - low < 0.08 * TRUE_ENTHALPY  # an interval that says nothing would hold everything


@pytest.mark.slow
def test_the_program_took_every_planned_point_itself(record: RunRecord) -> None:
    assert [p.branch for p in record.points] == ["up"] * 6 + ["return"]
    assert all(p.used and p.taken_by == "program" for p in record.points)


@pytest.mark.slow
def test_every_reading_that_the_bench_sent_is_in_the_file(record: RunRecord) -> None:
    temperature, pressure = record.traces["temperature"], record.traces["pressure"]
    assert len(temperature.time) == len(pressure.time)
    # Ten lines a second by the bench's own clock, none missing and none twice.
    assert len(temperature.time) == round(10 * (temperature.time[-1] - temperature.time[0])) + 1


@pytest.mark.slow
def test_replay_equals_live_entry_by_entry(record: RunRecord) -> None:
    replayed = Replay(record, load_liquid("n-heptane")).to()
    assert differences(record, replayed) == []


@pytest.mark.slow
@pytest.mark.parametrize("given", [True, False])
def test_points_alone_are_those_of_the_whole_replay(record: RunRecord, given: bool) -> None:
    liquid = load_liquid("n-heptane")
    whole = Replay(record, liquid, take_given=given).to()
    alone = Replay(record, liquid, take_given=given, points_only=True).to()
    assert alone.points == whole.points
    assert alone.baselines == whole.baselines
    assert repr(alone.blocks) == repr(whole.blocks)
    assert not alone.journal.of_kind("result", "caution")  # what was saved


@pytest.mark.slow
def test_a_replay_from_an_altered_reading_is_noticed(record: RunRecord) -> None:
    point = record.points[2]
    value = record.traces["pressure"].value.copy()
    value[(record.traces["pressure"].time > point.start) & (record.traces["pressure"].time < point.end)] += 50.0
    from dataclasses import replace

    altered = replace(record, traces=record.traces | {"pressure": replace(record.traces["pressure"], value=value)})
    assert differences(record, Replay(altered, load_liquid("n-heptane")).to()) != []


@pytest.mark.slow
def test_the_same_seed_gives_the_same_run(tmp_path: Path, record: RunRecord) -> None:
    simulate(load_scenario("calm"), 3, tmp_path / "again.h5")
    again = read_run(tmp_path / "again.h5")
    assert [e.canonical() for e in again.journal] == [e.canonical() for e in record.journal]


@pytest.mark.parametrize("name", ["calm", "brisk"])
def test_the_ways_of_a_charge_are_not_taken_for_a_knock(name: str) -> None:
    # Splashes, films and the warm charge fill the gas unlike any pair of lags: it must not cost a minute of waiting.
    scenario = load_scenario(name)
    plan = plan_of(scenario)
    run = Run(plan, load_liquid(plan.liquid), keep_judgements=True)
    simulated = simulated_run(scenario, 2, run)
    while not run.points:
        simulated.advance(0.5)
    assert run.judgements is not None
    assert any(state.level_in for j in run.judgements for state in j.channels.values())
    assert not [j.time for j in run.judgements if any(gate.code == "pressure_disturbed" for gate in j.gates)]
