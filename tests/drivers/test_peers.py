"""Sources against programs written by others; a minute against each is in the benchmarks."""

import importlib.util
import os
import shutil
import time

import numpy as np
import pytest

from drivers.checksums import xor8
from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Readings, SourceStopped
from drivers.source import ReadingSource
from tests.drivers.peers import free_port, joined_terminals, program

pytestmark = pytest.mark.slow

# Long enough for twenty questions; the sources run on the machine's clock here, as at a bench.
RATE, QUESTIONS = 50.0, 20


def needs(package):
    return pytest.mark.skipif(importlib.util.find_spec(package) is None, reason=f"{package} is not installed")


needs_socat = pytest.mark.skipif(shutil.which("socat") is None, reason="socat is not installed (apt install socat)")


def listened(source, wanted):
    """Events until so many temperature readings have come, and those that the ending brings."""
    events = []
    source.start()
    while sum(len(event) for event in events if _is(event, "temperature")) < wanted:
        event = source.events.get(timeout=10)
        events.append(event)
    source.stop()
    while not isinstance(events[-1], SourceStopped):
        events.append(source.events.get(timeout=30))
    return events


def _is(event, channel):
    return isinstance(event, Readings) and event.channel == channel


def values(events, channel):
    return np.concatenate([event.raw for event in events if _is(event, channel)])


def trouble(events):
    return [event.text for event in events if isinstance(event, DeviceNotice) and event.kind != "opened"]


def at_rate(name, **decoding):
    profile = load_profile(name)
    return profile.model_copy(update={"rate": RATE, "decoding": profile.decoding.model_copy(update=decoding)})


@needs("pymodbus")
@pytest.mark.parametrize("wire", ["rtu", "tcp"])
def test_a_pymodbus_server_answers_every_question_once(wire):
    port = free_port()
    profile = at_rate("modbus-registers", wire=wire)
    with program("tests.drivers.modbus_peer", wire, str(port), listens=port):
        events = listened(ReadingSource(profile, f"socket://127.0.0.1:{port}", now=time.monotonic), QUESTIONS)
    counts = values(events, "temperature")
    np.testing.assert_array_equal(counts, counts[0] + np.arange(len(counts)))
    assert set(values(events, "pressure")) == {101320.0}
    assert [text for text in trouble(events) if "could not be asked" not in text] == []


@needs("pymodbus")
def test_a_pymodbus_server_refuses_a_register_that_it_has_not():
    port = free_port()
    profile = at_rate("modbus-registers")
    registers = tuple(one.model_copy(update={"address": one.address + 900}) for one in profile.decoding.register_map)
    profile = at_rate("modbus-registers", register_map=registers)
    with program("tests.drivers.modbus_peer", "rtu", str(port), listens=port):
        source = ReadingSource(profile, f"socket://127.0.0.1:{port}", now=time.monotonic)
        source.start()
        texts = []
        while not texts:
            event = source.events.get(timeout=10)
            texts = trouble([event])
        source.stop()
    assert "the device refuses (exception 2, illegal data address) registers from 900" in texts[0]


@needs("pymodbus")
@needs_socat
def test_a_pymodbus_server_on_a_serial_line_answers_every_question_once(tmp_path):
    with joined_terminals(tmp_path) as (left, right), program("tests.drivers.modbus_peer", "rtu", left):
        profile = at_rate("modbus-registers")
        # a pseudo-terminal has no parity
        profile = profile.model_copy(update={"line": profile.line.model_copy(update={"parity": "none"})})
        events = listened(ReadingSource(profile, right, now=time.monotonic), QUESTIONS)
    counts = values(events, "temperature")
    np.testing.assert_array_equal(counts, counts[0] + np.arange(len(counts)))


@needs("scpipy")
def test_a_scpi_server_answers_every_question_once():
    port = free_port()
    with program("tests.drivers.scpi_peer", str(port), listens=port):
        source = ReadingSource(at_rate("text-questions"), f"socket://127.0.0.1:{port}", now=time.monotonic)
        events = listened(source, QUESTIONS)
    np.testing.assert_allclose(values(events, "temperature")[:QUESTIONS], 290 + np.arange(1, QUESTIONS + 1) / 1000)
    assert set(values(events, "pressure")) == {101320.0}
    assert [text for text in trouble(events) if "could not be asked" not in text] == []


@needs("scpipy")
def test_a_scpi_server_tells_what_it_does_not_understand():
    port = free_port()
    ask = load_profile("text-questions").decoding.ask
    wrong = (ask[0].model_copy(update={"text": "MEAS:NONSENSE?"}), ask[1])
    profile = at_rate("text-questions", ask=wrong, timeout=0.2)
    with program("tests.drivers.scpi_peer", str(port), listens=port):
        source = ReadingSource(profile, f"socket://127.0.0.1:{port}", now=time.monotonic)
        source.start()
        texts, pressures = [], 0
        while pressures < 2 or not any("reports" in text for text in texts):
            event = source.events.get(timeout=10)
            texts += trouble([event])
            pressures += _is(event, "pressure")
        source.stop()
    assert any("no answer to MEAS:NONSENSE?" in text or "as the answer to MEAS:NONSENSE?" in text for text in texts)
    # SCPI 1999 volume 2, 21.8.9: -100 to -199 are command errors
    assert any("the device reports -11" in text for text in texts)


def sentences(count):
    bodies = [b"SAT,%d,%.3f,101.325" % (100 * n, 20 + n / 1000) for n in range(count)]
    return [b"$%s*%02X\r\n" % (body, xor8(body)) for body in bodies]


@pytest.mark.skipif(shutil.which("ser2net") is None, reason="ser2net is not installed (apt install ser2net)")
def test_every_line_comes_through_a_network_serial_server():
    from tests.drivers.ser2net import Ser2net

    server = Ser2net()
    source = ReadingSource(load_profile("simulated-bench"), server.url, now=time.monotonic)
    try:
        source.start()
        for line in sentences(400):
            os.write(server.far, line)
        events = []
        while sum(len(event) for event in events if _is(event, "temperature")) < 400:
            events.append(source.events.get(timeout=30))
        source.stop()
    finally:
        server.stop()
    np.testing.assert_allclose(values(events, "temperature"), 20 + np.arange(400) / 1000)


@needs_socat
def test_every_line_comes_through_a_cable_of_socats(tmp_path):
    with joined_terminals(tmp_path) as (left, right):
        source = ReadingSource(load_profile("simulated-bench"), right, now=time.monotonic)
        source.start()
        far = os.open(left, os.O_RDWR | os.O_NOCTTY)
        for line in sentences(400):
            os.write(far, line)
        events = []
        while sum(len(event) for event in events if _is(event, "temperature")) < 400:
            events.append(source.events.get(timeout=30))
        source.stop()
        os.close(far)
    np.testing.assert_allclose(values(events, "temperature"), 20 + np.arange(400) / 1000)
    assert trouble(events) == []
