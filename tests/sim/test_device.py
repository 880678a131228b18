"""The bench as a device: the same bytes from the same seed, however time is cut; acts, clock, refusals."""

from __future__ import annotations

import hashlib
import math
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.device import BenchAct, SimulatedBench
from sim.errors import BenchActError
from sim.scenario import load_scenario
from tests.sim.runs import ACTS, END, play, quiet, rows

CALM = load_scenario("calm")


@cache
def whole_run(seed: int) -> bytes:
    return play(CALM, seed)[1]


def test_the_first_bytes_are_the_banner_and_then_a_line_every_tenth_of_a_second() -> None:
    lines = SimulatedBench(CALM, 1).advance(1.0).split(b"\r\n")
    assert lines[0] == b"# simulated bench, firmware 1"
    assert len(lines) == 1 + 10 + 1
    assert lines[-1] == b""
    assert all(line.startswith(b"$SAT,") for line in lines[1:-1])


def test_every_line_carries_a_right_checksum_and_readings_near_the_room() -> None:
    found = rows(SimulatedBench(CALM, 1).advance(30.0))
    assert len(found) == 300
    assert all(abs(celsius - 21.5) < 0.6 for _, celsius, _ in found)
    assert all(abs(kilopascal - 100.9) < 4.0 for *_, kilopascal in found)


def test_the_same_seed_gives_the_same_bytes_and_another_seed_others() -> None:
    assert whole_run(4) == play(CALM, 4)[1]
    assert whole_run(4) != whole_run(5)


def test_the_bytes_of_a_seed_are_the_same_on_every_machine() -> None:
    digest = hashlib.sha256(play(CALM, 11, end=400.0)[1]).hexdigest()
    assert digest == "67cb3e2235d5c65c9e37fb09d719bdf725a26609826a77fd7f3b681f30d2961c"


@pytest.mark.slow
@given(st.lists(st.floats(0.001, 40.0), max_size=60))
@settings(max_examples=8, deadline=None, derandomize=True)
def test_the_bytes_do_not_depend_on_how_time_is_cut(pauses: list[float]) -> None:
    bench = SimulatedBench(CALM, 2)
    pieces, times = [], list(pauses)
    for due, act in (*ACTS, (END, None)):
        while times and bench.time + times[0] < due:
            pieces.append(bench.advance(bench.time + times.pop(0)))
        pieces.append(bench.advance(due))
        if act is not None:
            bench.act(act)
    assert b"".join(pieces) == whole_run(2)


def test_an_act_takes_effect_with_the_step_after_it_and_not_before() -> None:
    early, late = SimulatedBench(quiet(), 0), SimulatedBench(quiet(), 0)
    early.advance(10.1)
    late.advance(10.4)
    for bench in (early, late):
        bench.act(BenchAct("pour", 100e-6, 343.15))
    assert early.advance(60.0)[-400:] == late.advance(60.0)[-400:]


def test_time_does_not_go_back() -> None:
    bench = SimulatedBench(CALM)
    bench.advance(5.0)
    with pytest.raises(ValueError, match="time cannot go back from 5 s to 4 s"):
        bench.advance(4.0)


def test_switching_off_and_on_sends_the_banner_and_starts_the_clock_at_zero() -> None:
    bench = SimulatedBench(quiet(), 0)
    bench.advance(20.0)
    bench.power_on()
    data = bench.advance(21.0)
    assert data.startswith(b"# simulated bench, firmware 1\r\n")
    assert [ms for ms, *_ in rows(data)] == [500, 1000]


def test_the_device_clock_runs_at_its_own_rate() -> None:
    data = CALM.model_dump()
    data["device"]["clock_ppm"] = 500.0
    bench = SimulatedBench(type(CALM).model_validate(data), 3)
    last = rows(bench.advance(1000.0))[-1][0]
    rate = bench.truth.drawn.clock_rate
    assert abs(rate - 1.0) > 1e-5
    assert last == math.floor(1000.0 * rate * 1000.0 + 1e-6)


def test_the_millisecond_count_wraps_after_thirty_two_bits() -> None:
    from sim.wire import sample_line

    assert sample_line((1 << 32) + 5, 21.5, 101.325) == sample_line(5, 21.5, 101.325)
    assert sample_line((1 << 32) - 1, -0.125, 0.0) == b"$SAT,4294967295,-0.125,0.000*4C\r\n"


def test_a_second_charge_is_refused_with_the_way_out() -> None:
    bench = SimulatedBench(CALM)
    bench.act(BenchAct("charge"))
    with pytest.raises(BenchActError, match="found a cell that is charged already; expected an empty one; start a new"):
        bench.act(BenchAct("charge"))


def test_a_charge_that_does_not_fit_is_refused() -> None:
    with pytest.raises(BenchActError, match="expected less than 80 % of the cell"):
        SimulatedBench(CALM).act(BenchAct("charge", 200e-6))


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (("boil",), "found act 'boil'; expected one of close_valve, open_valve, charge"),
        (("pour", -1e-6, 343.0), "found amount -1e-06; expected a number from 0"),
        (("pour", math.nan, 343.0), "found amount nan"),
        (("pour", 1e-6, 80.0), "found 80 K; expected 250 K to 380 K"),
    ],
)
def test_a_wrong_act_says_what_was_expected(act: tuple[str | float, ...], words: str) -> None:
    with pytest.raises(BenchActError, match=words):
        BenchAct(*act)  # type: ignore[arg-type]


def test_sensors_are_wrong_by_what_was_drawn_and_the_truth_says_so() -> None:
    drawn = []
    for seed in range(40):
        bench = SimulatedBench(CALM, seed)
        truth = bench.truth.as_dict()
        drawn.append(truth["pressure_offset"] / 1e3)
        shown = [kilopascal for *_, kilopascal in rows(bench.advance(20.0))]
        expected = 100.9 + truth["pressure_offset"] * 1e-3 + truth["pressure_gain"] * 100.9
        assert sum(shown) / len(shown) == pytest.approx(expected, abs=0.02)
    spread = math.sqrt(sum(x * x for x in drawn) / len(drawn))
    # The standard deviation of 40 draws is known to 11 %; four times that.
    assert spread == pytest.approx(CALM.pressure.u_offset_kPa, rel=0.45)


def test_readings_come_in_steps_of_the_resolution_and_flicker_by_the_noise() -> None:
    found = rows(SimulatedBench(CALM, 6).advance(60.0))
    hundredths = [celsius * 100 for _, celsius, _ in found]
    assert all(abs(value - round(value)) < 1e-6 for value in hundredths)
    mean = sum(hundredths) / len(hundredths)
    deviation = math.sqrt(sum((value - mean) ** 2 for value in hundredths) / len(hundredths)) / 100
    part = CALM.temperature
    expected = math.sqrt(part.noise_K**2 + part.wander_K**2 + part.resolution_K**2 / 12)
    assert deviation == pytest.approx(expected, rel=0.15)


def test_a_gauge_sensor_shows_the_weather_and_an_absolute_one_does_not() -> None:
    shown = {}
    for against in (True, False):
        weather = {"pressure_drift_kPa_per_h": 1.0}
        bench, _ = play(quiet(room=weather, pressure={"against_air": against}), end=900.0)
        shown[against] = bench.truth.state_at(890.0).shown_pressure
    # The air rises by 1 kPa an hour for 880 s (it is looked at every ten seconds); the closed cell does not feel it.
    assert shown[False] - shown[True] == pytest.approx(1000.0 * 880 / 3600, abs=5.0)


def test_a_sensor_may_shift_with_the_rooms_temperature() -> None:
    room = {"drift_K_per_h": 4.0}
    bench, _ = play(quiet(room=room, pressure={"room_kPa_per_K": 0.05}), end=59.0)
    plain, _ = play(quiet(room=room), end=59.0)
    shift = bench.truth.state_at(59.0).shown_pressure - plain.truth.state_at(59.0).shown_pressure
    assert shift == pytest.approx(50.0 * 4.0 * 50 / 3600, rel=0.05)
