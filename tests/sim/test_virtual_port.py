"""The bench on real lines: pseudo-terminal and TCP opened by pyserial, busy line, pulled cable, orderly end."""

from __future__ import annotations

import itertools
import os
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
import serial

from sim.device import BenchAct, SimulatedBench
from sim.errors import BenchActError, PortUnavailableError
from sim.lines import MemoryLine, TcpLine
from sim.scenario import load_scenario
from sim.virtual_port import VirtualPort
from tests.sim.runs import quiet

CALM = load_scenario("calm")


class HandClock:
    """Moves when told; read from the port's thread."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


@contextmanager
def playing(kind: str, scenario: Any = CALM, seed: int = 1) -> Iterator[tuple[VirtualPort, HandClock]]:
    clock = HandClock()
    port = VirtualPort(SimulatedBench(scenario, seed), clock, kind=kind)
    port.start()
    try:
        yield port, clock
    finally:
        port.stop()


def read_until(device: Any, enough: Callable[[bytes], bool]) -> bytes:
    """Read until enough has come; a hang ends after 200 empty reads of 0.02 s."""
    got, empty = b"", 0
    while not enough(got) and empty < 200:
        chunk = device.read(4096)
        empty = 0 if chunk else empty + 1
        got += chunk
    return got


@pytest.mark.parametrize("kind", ["pty", "tcp"])
def test_pyserial_reads_every_byte_that_the_bench_says(kind: str) -> None:
    expected = SimulatedBench(CALM, 1).advance(200.0)
    with playing(kind) as (port, clock), serial.serial_for_url(port.url, timeout=0.02) as device:
        # What was sent before the program listened is lost, as on a real line; the banner only may be missing.
        clock.now = 200.0
        got = read_until(device, lambda data: expected.endswith(data) and len(data) > len(expected) - 40)
    assert expected.endswith(got)
    assert len(got) >= len(expected) - len(b"# simulated bench, firmware 1\r\n")


def test_a_line_in_memory_holds_everything() -> None:
    with playing("loop") as (port, clock):
        clock.now = 5.0
        port.act(BenchAct("close_valve"))
        assert isinstance(port.line, MemoryLine)
        assert port.line.read() == SimulatedBench(CALM, 1).advance(5.0)


def test_bytes_that_nobody_reads_are_lost_and_not_kept_for_later() -> None:
    with playing("pty") as (port, clock):
        clock.now = 3000.0
        port.act(BenchAct("swirl"))
        with serial.Serial(port.url, timeout=0.02) as device:
            clock.now = 3001.0
            got = read_until(device, lambda data: data.count(b"\n") >= 10)
    assert got.count(b"\n") == 10


def test_a_slow_reader_loses_nothing_and_holds_the_bench_back() -> None:
    with playing("pty") as (port, clock), serial.Serial(port.url, timeout=0.02) as device:
        clock.now = 1.0
        first = read_until(device, lambda data: data.count(b"\n") >= 10)
        times = []
        for target in range(100, 3000, 100):  # some 0.9 MB, far more than the terminal and the port hold
            clock.now = float(target)
            times.append(port.bench.time)
            if target == 2000:
                port.act(BenchAct("swirl"))
                assert port.line.waiting < 80_000
        got = first + read_until(device, lambda data: len(data) > 850_000 and b"$SAT,289" in data)
    lines = [line for line in got.split(b"\r\n") if line.startswith(b"$SAT,")][:-1]
    counts = [int(line.split(b",")[1]) for line in lines]
    assert all(abs(b - a - 100) <= 1 for a, b in itertools.pairwise(counts))


def test_acts_reach_the_bench_at_the_time_of_the_clock() -> None:
    with playing("loop") as (port, clock):
        clock.now = 12.0
        port.act(BenchAct("close_valve"))
        assert [(time, kind) for time, kind, *_ in port.bench.truth.acts] == [(12.0, "close_valve")]


def test_an_act_that_cannot_be_done_is_refused_to_the_one_who_asked() -> None:
    with playing("loop") as (port, _clock):
        port.act(BenchAct("charge"))
        with pytest.raises(BenchActError, match="charged already"):
            port.act(BenchAct("charge"))


def test_a_second_client_is_told_why_it_cannot_listen() -> None:
    with playing("tcp") as (port, clock), serial.serial_for_url(port.url, timeout=0.02) as device:
        clock.now = 1.0
        assert b"$SAT" in read_until(device, lambda data: b"$SAT" in data)
        assert isinstance(port.line, TcpLine)
        with socket.create_connection((port.line.host, port.line.port), timeout=5.0) as other:
            answer = other.recv(4096)
            assert answer.startswith(b"# busy: this bench talks to one program at a time")
            assert other.recv(4096) == b""
        clock.now = 2.0
        assert b"$SAT" in read_until(device, lambda data: b"$SAT" in data)


def test_after_the_first_client_has_left_the_next_is_served() -> None:
    with playing("tcp") as (port, clock):
        for now in (1.0, 2.0):
            with serial.serial_for_url(port.url, timeout=0.02) as device:
                # The port notices a new client at its next look; only then is something worth sending.
                for _ in range(100):
                    clock.now += now / 10
                    if device.read(64):
                        break
                else:
                    pytest.fail("no bytes for a client that came after another")


def test_it_listens_on_this_machine_only_unless_told_otherwise() -> None:
    line = TcpLine()
    assert line.host == "127.0.0.1"
    line.close()


def test_a_pulled_cable_kills_the_line_and_the_same_name_comes_back() -> None:
    scenario = quiet({"kind": "cable_pulled", "after_s": 10.0, "for_s": 5.0})
    with playing("pty", scenario) as (port, clock):
        device = serial.Serial(port.url, timeout=0.02)
        clock.now = 11.0
        port.act(BenchAct("swirl"))
        assert not os.path.exists(port.url)
        with pytest.raises(serial.SerialException):
            read_until(device, lambda _: False)
        device.close()
        clock.now = 16.0
        port.act(BenchAct("swirl"))
        with serial.Serial(port.url, timeout=0.02) as again:
            clock.now = 18.0
            assert b"$SAT," in read_until(again, lambda data: b"$SAT," in data)


def test_stopping_ends_the_thread_and_takes_the_name_away() -> None:
    port = VirtualPort(SimulatedBench(CALM), HandClock(), kind="pty")
    folder = os.path.dirname(port.url)
    port.start()
    port.stop()
    assert not os.path.exists(folder)
    assert "simulated bench" not in [thread.name for thread in threading.enumerate()]


def test_a_port_that_was_never_started_can_be_stopped() -> None:
    port = VirtualPort(SimulatedBench(CALM), HandClock(), kind="tcp")
    host, _, number = port.url.removeprefix("socket://").partition(":")
    port.stop()
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection((host, int(number)), timeout=2.0)


def test_an_unknown_kind_of_line_is_refused() -> None:
    with pytest.raises(PortUnavailableError, match="found kind of line 'usb'; expected one of pty, tcp, loop"):
        VirtualPort(SimulatedBench(CALM), HandClock(), kind="usb")


def test_a_taken_tcp_port_is_named_in_the_refusal() -> None:
    first = TcpLine()
    try:
        with pytest.raises(PortUnavailableError, match=f"cannot listen on 127.0.0.1:{first.port}: .*another one or 0"):
            TcpLine(port=first.port)
    finally:
        first.close()
