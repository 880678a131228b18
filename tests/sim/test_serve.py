"""Serving a bench: what is announced, what is refused, who may connect."""

from __future__ import annotations

import pytest
import serial

from sim.device import BenchAct
from sim.errors import PortUnavailableError
from sim.scenario import load_scenario
from sim.serve import BenchServer, TimeFactorError, checked_time_factor, is_loopback
from tests.sim.test_virtual_port import HandClock, read_until

CALM = load_scenario("calm")


@pytest.mark.parametrize("kind", ["pty", "tcp"])
def test_any_serial_program_can_talk_with_a_served_bench(kind: str) -> None:
    clock = HandClock()
    server = BenchServer(CALM, clock, kind=kind, profile="json-lines")
    server.start()
    try:
        with serial.serial_for_url(server.url, timeout=0.02) as device:
            clock.now = 5.0
            got = read_until(device, lambda data: data.count(b"\n") >= 40)
        assert got.startswith(b'{"ms": ')
    finally:
        server.stop()


def test_a_device_that_is_asked_answers_over_the_line() -> None:
    clock = HandClock()
    server = BenchServer(CALM, clock, kind="pty", profile="text-questions")
    server.start()
    try:
        with serial.Serial(server.url, timeout=0.02) as device:
            clock.now = 5.0
            server.act(BenchAct("swirl"))  # now the device has started up, however busy the machine
            device.write(b"*IDN?\n")
            assert read_until(device, lambda data: data.endswith(b"\n")).count(b",") == 3
    finally:
        server.stop()


def test_an_attended_bench_runs_its_procedure_and_is_finished_then() -> None:
    clock = HandClock()
    server = BenchServer(CALM, clock, kind="tcp", hold=60.0)
    server.start()
    try:
        assert not server.finished
        clock.now = 5000.0
        server.act(BenchAct("swirl"))
        assert server.finished
        assert "open_valve" in [kind for _, kind, *_ in server.bench.truth.acts]
    finally:
        server.stop()


def test_without_a_person_nothing_happens_by_itself() -> None:
    clock = HandClock()
    server = BenchServer(CALM, clock, kind="tcp", attended=False)
    server.start()
    try:
        clock.now = 3000.0
        server.act(BenchAct("pour", 50e-6, 343.15))
        assert [kind for _, kind, *_ in server.bench.truth.acts] == ["pour"]
        assert server.time == 3000.0
        assert not server.finished
    finally:
        server.stop()


def test_the_announcement_says_how_to_connect_and_that_nothing_is_real() -> None:
    server = BenchServer(CALM, HandClock(), kind="tcp")
    try:
        text = "\n".join(server.announcement())
        assert f"--device simulated-bench@{server.url}" in text
        assert "A calm first run" in text
        assert "This bench does not exist" in text
    finally:
        server.stop()


@pytest.mark.parametrize("factor", [0.5, 1000.1, 0.0, -1.0, float("nan")])
def test_a_time_factor_outside_its_range_is_refused(factor: float) -> None:
    with pytest.raises(TimeFactorError, match="expected 1 to 1000"):
        checked_time_factor(factor)


@pytest.mark.parametrize("factor", [1.0, 60.0, 1000.0])
def test_a_time_factor_within_its_range_is_taken(factor: float) -> None:
    assert checked_time_factor(factor) == factor


def test_the_network_is_not_let_in_unless_it_is_said() -> None:
    with pytest.raises(PortUnavailableError, match=r"found host '0\.0\.0\.0', which others can reach"):
        BenchServer(CALM, HandClock(), kind="tcp", host="0.0.0.0")


def test_who_says_so_may_open_it_to_the_network() -> None:
    server = BenchServer(CALM, HandClock(), kind="tcp", host="0.0.0.0", open_to_network=True)
    assert server.url.startswith("socket://0.0.0.0:")
    server.stop()


@pytest.mark.parametrize(
    ("host", "own"), [("127.0.0.1", True), ("::1", True), ("localhost", True), ("192.0.2.1", False), ("bench", False)]
)
def test_loopback_is_told_from_other_hosts(host: str, own: bool) -> None:
    assert is_loopback(host) is own
