"""The truth for a debrief: early points are early, lag is lag, and each mishap is seen when it shows."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from sim.attended import AttendedBench, play
from sim.debrief_truth import (
    clear_difference,
    costs,
    debrief_data,
    mishap_truths,
    point_truth,
    replayed,
)
from sim.scenario import load_scenario
from tests.sim.runs import play as play_acts
from tests.sim.runs import quiet

CALM = load_scenario("calm")


@pytest.fixture(scope="module")
def calm() -> AttendedBench:
    return play(CALM, 2)[0]


def test_playing_again_gives_the_same_course(calm: AttendedBench) -> None:
    again = replayed(CALM, calm.truth, 1500.0)
    for time in (60, 160, 700, 1499):
        assert again.state_at(time).pressure == calm.truth.state_at(time).pressure
        assert again.state_at(time).bath == calm.truth.state_at(time).bath


def point(bench: AttendedBench, step: int, after: float, length: float = 40.0) -> Any:
    """A point `after` seconds after the person was told the step, with perfect sensors."""
    start = bench.steps[step].time + after
    state = bench.truth.state_at(start + length / 2)
    return point_truth(CALM, bench.truth, (start, start + length), state.bath, state.pressure)


def test_a_point_taken_a_minute_after_the_water_is_early(calm: AttendedBench) -> None:
    early, late = point(calm, 3, 40.0), point(calm, 3, 255.0)
    assert early.early
    assert not late.early
    assert early.left_of_step < -0.3  # the pressure had still to rise
    assert abs(late.left_of_step) < 0.05
    assert early.waited < 0 < late.waited
    assert early.level_at == late.level_at


def test_what_waiting_does_not_cure_is_called_lag(calm: AttendedBench) -> None:
    last = point(calm, 6, 255.0)
    # The warmest plateau drifts most; its pressure belongs to a bath of a minute or so ago.
    assert 0.1 < last.lag_error < 0.5
    assert last.pair_error == pytest.approx(last.lag_error, abs=0.05)
    assert last.lag_error > point(calm, 3, 255.0).lag_error


def test_equilibrium_is_where_a_bath_that_is_kept_warm_arrives() -> None:
    scenario = quiet(bath={"loss_W_per_K": 0.0})
    bench, _ = play_acts(scenario, end=499.0)
    alone = replayed(scenario, bench.truth, 3000.0)
    state = alone.states[-1]
    assert alone.pair_error(state.time, state.bath, state.pressure) == pytest.approx(0.0, abs=2e-3)


def test_a_point_before_anything_happened_has_nothing_left_to_come(calm: AttendedBench) -> None:
    found = point(calm, 0, -60.0)
    assert math.isnan(found.level_at)
    assert found.left_of_step == 0.0
    assert not found.early


def test_sensor_errors_are_what_was_read_less_what_was_true(calm: AttendedBench) -> None:
    truth = calm.truth
    start = calm.steps[4].time + 250.0
    state = truth.state_at(start + 20.0)
    found = point_truth(CALM, truth, (start, start + 40.0), state.shown_temperature, state.shown_pressure)
    drawn = truth.drawn
    assert found.pressure_error == pytest.approx(drawn.pressure.offset + drawn.pressure.gain * state.pressure, abs=5.0)
    assert found.temperature_error == pytest.approx(drawn.temperature.offset, abs=0.03)


def seen(*mishaps: dict[str, Any], end: float = 960.0) -> list[Any]:
    scenario = quiet(*mishaps).model_copy(
        update={"temperature": CALM.temperature, "pressure": CALM.pressure, "device": CALM.device}
    )
    bench, _ = play_acts(scenario, 1, end=end)
    return mishap_truths(scenario, bench.truth)


@pytest.mark.parametrize(
    ("mishap", "channel", "earliest", "latest"),
    [
        ({"kind": "leak", "efold_h": 3.0}, "pressure", 100, 400),
        ({"kind": "air_with_charge", "volume_mL": 0.5}, "pressure", 100, 102),
        ({"kind": "plunger_left_in"}, "pressure", 100, 102),
        ({"kind": "valve_left_open", "when": "close_valve"}, "pressure", 100, 110),
        ({"kind": "cell_not_soaked"}, "temperature", 0, 1),
        ({"kind": "small_charge", "volume_mL": 0.06}, "pressure", 100, 600),
        ({"kind": "wet_liquid", "mole_percent": 5.0}, "pressure", 100, 130),
        ({"kind": "impure_liquid", "other": "n-hexane"}, "pressure", 100, 115),
        ({"kind": "stopper_lifts", "over_kPa": 6.0}, "pressure", 101, 400),
        ({"kind": "cell_lifted", "when": "start", "after_s": 650}, "pressure", 650, 690),
        ({"kind": "probe_out", "when": "start", "after_s": 650}, "temperature", 650, 653),
        ({"kind": "probe_in_inflow"}, "temperature", 300, 303),
        ({"kind": "bath_overheated", "when": "pour"}, "temperature", 300, 303),
        ({"kind": "stirrer_stops"}, "temperature", 300, 304),
        ({"kind": "cable_pulled", "after_s": 200}, "line", 200, 200),
        ({"kind": "device_restarts", "after_s": 200}, "line", 200, 200),
        ({"kind": "power_cut", "after_s": 200}, "line", 200, 200),
        ({"kind": "noisy_line", "after_s": 200}, "line", 200, 200),
        ({"kind": "coarse_sensor", "after_s": 200}, "temperature", 200, 200),
        ({"kind": "stuck_sensor", "after_s": 200}, "pressure", 201, 330),
        ({"kind": "sensors_swapped"}, "line", 0, 0),
        ({"kind": "wrong_unit"}, "line", 0, 0),
    ],
    ids=lambda value: value["kind"] if isinstance(value, dict) else None,
)
def test_each_mishap_is_seen_when_its_readings_differ(
    mishap: dict[str, Any], channel: str, earliest: float, latest: float
) -> None:
    (found,) = seen(mishap)
    assert found.kind == mishap["kind"]
    assert found.channel == channel
    assert found.visible_from is not None
    assert earliest <= found.visible_from <= latest


def test_every_kind_stands_in_the_table_above() -> None:
    from tests.sim.test_mishaps import KINDS

    marks = test_each_mishap_is_seen_when_its_readings_differ.pytestmark  # type: ignore[attr-defined]
    assert {row[0]["kind"] for row in marks[0].args[1]} == set(KINDS)


def test_a_mishap_that_never_began_cannot_be_seen() -> None:
    (found,) = seen({"kind": "bath_overheated", "when": "pour", "count": 9})
    assert found.began is None
    assert found.visible_from is None


def test_of_several_mishaps_each_is_judged_alone() -> None:
    leak, air = seen({"kind": "leak", "efold_h": 3.0}, {"kind": "air_with_charge", "volume_mL": 0.5})
    assert air.visible_from < leak.visible_from
    assert air.largest == pytest.approx(370.0, rel=0.2)


def test_a_clear_difference_is_a_few_hundredths() -> None:
    kelvin, pascal = clear_difference(CALM)
    assert 0.005 < kelvin < 0.05
    assert 5.0 < pascal < 60.0


def test_lag_costs_enthalpy_and_haste_costs_more(calm: AttendedBench) -> None:
    first = point(calm, 1, 255.0)
    patient = costs([first, *(point(calm, step, 255.0) for step in range(2, 7))])
    hasty = costs([first, *(point(calm, step, 60.0) for step in range(2, 7))])
    assert patient is not None
    assert hasty is not None
    # Cooling k of some 0.9 W/K over 2.5 kJ/K, times 1.1 and a lag of a minute, is 2.4 % (analysis of such runs).
    assert 0.005 < patient["lag"] < 0.035
    assert abs(patient["haste"]) < 0.005
    assert abs(hasty["haste"]) > 4 * abs(patient["haste"]) + 0.005
    assert patient["both"] == pytest.approx(patient["lag"] + patient["haste"], abs=1e-3)


def test_one_temperature_has_no_cost(calm: AttendedBench) -> None:
    assert costs([point(calm, 2, 255.0)]) is None


def test_the_true_course_can_be_drawn(calm: AttendedBench) -> None:
    course = calm.truth.course(10.0)
    assert len(course) == pytest.approx(calm.end / 10, abs=2)
    assert course[150]["equilibrium_pressure"] == pytest.approx(course[150]["pressure"], abs=6000)


def test_dry_gas_at_the_baseline_is_the_whole_pressure(calm: AttendedBench) -> None:
    state = calm.truth.state_at(100.0)
    assert calm.truth.air_pressure(100.0, state.bath) == pytest.approx(state.pressure, abs=2.0)


def test_a_debrief_is_plain_data(calm: AttendedBench) -> None:
    points = []
    for step in (2, 3, 4, 5):
        start = calm.steps[step].time + 200.0
        state = calm.truth.state_at(start)
        points.append(((start, start + 60.0), state.shown_temperature, state.shown_pressure))
    data = debrief_data(CALM, calm.truth, points)
    assert json.loads(json.dumps(data))["early"] == data["early"]
    assert len(data["points"]) == 4
    assert data["waiting"] > 0
    assert data["truth"]["enthalpy_vap"] == pytest.approx(36585.0, abs=1.0)
