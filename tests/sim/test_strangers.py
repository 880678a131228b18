"""Programs that know nothing of us talk with the served bench: a Modbus library's own clients, and socat."""

from __future__ import annotations

import itertools
import os
import select
import shutil
import struct
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from pymodbus.client import ModbusSerialClient, ModbusTcpClient

from drivers.profile import profile_path
from sim.device import BenchAct
from sim.lines import TcpLine
from sim.virtual_port import VirtualPort
from tests.sim.runs import quiet
from tests.sim.test_virtual_port import HandClock, playing


def modbus_profile(folder: Path, wire: str) -> str:
    """The shipped Modbus profile, for one kind of wire."""
    shipped = profile_path("modbus-registers")
    assert shipped is not None
    text = shipped.read_text(encoding="utf-8")
    text = text.replace('name = "modbus-registers"', 'name = "own-modbus"')
    text = text.replace("unit = 1\n", f'unit = 1\nwire = "{wire}"\n', 1)
    path = folder / "own-modbus.toml"
    path.write_text(text.split("[[sample]]")[0], encoding="utf-8")
    return str(path)


@contextmanager
def serving(profile: str, kind: str) -> Iterator[VirtualPort]:
    from sim.device import SimulatedBench

    clock = HandClock()
    port = VirtualPort(SimulatedBench(quiet(), 1, profile=profile), clock, kind=kind)
    port.start()
    try:
        clock.now = 20.0
        port.act(BenchAct("swirl"))
        yield port
    finally:
        port.stop()


def as_float(registers: list[int]) -> float:
    return float(struct.unpack(">f", struct.pack(">HH", *registers))[0])


def test_a_modbus_tcp_client_reads_the_bench(tmp_path: Path) -> None:
    with serving(modbus_profile(tmp_path, "tcp"), "tcp") as port:
        assert isinstance(port.line, TcpLine)
        client = ModbusTcpClient(port.line.host, port=port.line.port, timeout=5)
        try:
            assert client.connect()
            words = client.read_input_registers(0, count=3, device_id=1).registers
            missing = client.read_holding_registers(0, count=1, device_id=1)
        finally:
            client.close()
        state = port.bench.truth.state_at(20.0)  # type: ignore[union-attr]
    assert words[0] / 100 + 273.15 == pytest.approx(state.shown_temperature, abs=0.006)
    assert as_float(words[1:]) == pytest.approx(state.shown_pressure, rel=1e-6)
    assert missing.exception_code == 2


def test_a_modbus_rtu_client_reads_the_bench_on_a_pseudo_terminal(tmp_path: Path) -> None:
    with serving(modbus_profile(tmp_path, "rtu"), "pty") as port:
        client = ModbusSerialClient(port.url, baudrate=19200, timeout=5)
        try:
            assert client.connect()
            words = client.read_input_registers(0, count=3, device_id=1).registers
        finally:
            client.close()
        state = port.bench.truth.state_at(20.0)  # type: ignore[union-attr]
    assert words[0] / 100 + 273.15 == pytest.approx(state.shown_temperature, abs=0.006)
    assert as_float(words[1:]) == pytest.approx(state.shown_pressure, rel=1e-6)


@pytest.mark.skipif(shutil.which("socat") is None, reason="socat is not installed here")
def test_socat_copies_what_the_bench_says_to_a_file(tmp_path: Path) -> None:
    with playing("tcp") as (port, clock):
        assert isinstance(port.line, TcpLine)
        address = f"TCP:{port.line.host}:{port.line.port}"
        with subprocess.Popen(["socat", "-u", address, "-"], stdout=subprocess.PIPE) as copy:
            assert copy.stdout is not None
            first = b""
            for _ in range(500):
                # What is sent before it has connected is lost, so time goes on until something arrives.
                clock.now += 0.1
                if select.select([copy.stdout], [], [], 0.02)[0]:
                    first = os.read(copy.stdout.fileno(), 4096)
                    break
            assert first
            clock.now += 60.0
            port.act(BenchAct("swirl"))
            port.stop()
            rest = copy.stdout.read()
    lines = (first + rest).split(b"\r\n")
    counts = [int(line.split(b",")[1]) for line in lines if line.startswith(b"$SAT,")]
    assert len(counts) > 590
    assert all(99 <= b - a <= 101 for a, b in itertools.pairwise(counts))
