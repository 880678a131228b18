"""The bench with its person: the procedure goes by itself, whole, and the same however time is cut."""

from __future__ import annotations

import itertools

import pytest

from sim.attended import AttendedBench, play, procedure
from sim.device import BenchAct
from sim.scenario import list_scenarios, load_scenario

CALM = load_scenario("calm")


def test_the_procedure_of_a_scenario_is_soak_charge_plateaus_return_and_vent() -> None:
    steps = procedure(CALM, hold=300.0)
    assert [step.instruction for step in steps] == ["close_valve", "charge", *["warm"] * 5, "cool", "vent"]
    assert [step.target for step in steps[2:8]] == [*CALM.targets, CALM.return_target]
    assert [step.time for step in steps][:3] == [105.0, 150.0, 450.0]


def test_a_whole_run_takes_about_half_an_hour_of_bench_time() -> None:
    assert 30 * 60 < AttendedBench(CALM).end < 42 * 60


def test_the_person_does_everything_once_and_in_order() -> None:
    bench, data = play(CALM, 2)
    assert [done.instruction for done in bench.done] == [step.instruction for step in bench.steps]
    assert data.count(b"\n") == pytest.approx(10 * bench.end, abs=2)


def test_bath_and_pressure_climb_and_come_back() -> None:
    bench, _ = play(CALM, 2)
    at = [bench.truth.state_at(step.time - 1.0) for step in bench.steps]
    baths = [state.bath for state in at[2:8]]
    assert all(b > a + 1.5 for a, b in itertools.pairwise(baths))
    assert at[8].bath < baths[-1] - 4.0
    pressures = [state.pressure for state in at[2:8]]
    assert all(b > a + 800.0 for a, b in itertools.pairwise(pressures))
    assert bench.truth.states[-1].pressure == pytest.approx(bench.truth.states[0].pressure, abs=400.0)


def test_the_bytes_do_not_depend_on_how_time_is_cut() -> None:
    whole = AttendedBench(CALM, 5).advance(500.0)
    bench = AttendedBench(CALM, 5)
    pieces = [bench.advance(t) for t in (0.3, 0.5, 17.77, 105.0, 105.01, 112.9, 300.0, 460.25, 461.0, 500.0)]
    assert b"".join(pieces) == whole


@pytest.mark.parametrize("scenario", list_scenarios(), ids=lambda scenario: scenario.name)
def test_every_shipped_scenario_can_be_played_to_its_end(scenario: object) -> None:
    bench, data = play(scenario, 1, hold=120.0)  # type: ignore[arg-type]
    assert bench.time == bench.end
    assert data
    began = [record.began for record in bench.truth.mishaps]
    assert None not in began


def test_what_somebody_else_has_done_already_the_person_leaves() -> None:
    bench = AttendedBench(CALM, 1)
    bench.advance(110.0)
    bench.act(BenchAct("charge"))
    bench.advance(300.0)
    assert bench.refused == ["found a cell that is charged already; expected an empty one; start a new run"]
