"""Listening: the form, the columns and their units are found; the proposal reads the stream back."""

import contextlib
import struct

import numpy as np
import pytest
from cobs import cobs
from hypothesis import given, settings
from hypothesis import strategies as st

from drivers.checksums import crc16_ccitt, xor8
from drivers.decoding import make_decoder
from drivers.listen import ListenError, listen, propose_profile, understand
from drivers.profile import DeviceProfile
from drivers.readings import Readings
from drivers.tomlfile import load_model
from tests.drivers.scripted import ManualClock, ScriptedTransport

RNG = np.random.default_rng(11)
N = 50
T = 21.4 + 0.02 * RNG.standard_normal(N)
P = 99.2 + 0.03 * RNG.standard_normal(N)
RATE = 10.0
SECONDS = (N - 1) / RATE


def _with(checksum, body):
    return b"%s*%s\n" % (body, checksum(body))


def packed(n):
    body = struct.pack("<HIff", n, 1000 + 100_000 * n, T[n], 1e3 * P[n])
    return body + struct.pack("<H", crc16_ccitt(body))


STREAMS = {
    "comma": lambda n: b"%.2f,%.2f\r\n" % (T[n], P[n]),
    "pressure first, hPa": lambda n: b"%.1f;%.2f\n" % (10 * P[n], T[n]),
    "spaces, kelvin, mbar": lambda n: b"%8.2f %8.1f\r" % (T[n] + 273.15, 10 * P[n]),
    "tab, Fahrenheit, psi": lambda n: b"%.2f\t%.3f\n" % (T[n] * 1.8 + 32, P[n] / 6.894757),
    "decimal comma": lambda n: (b"%.2f;%.2f\n" % (T[n], P[n])).replace(b".", b","),
    "clock and counter": lambda n: b"%d,%d,%.2f,%.2f\n" % (n, 5000 + 100 * n, T[n], P[n]),
    "names": lambda n: b"n=%d T=%.2f p=%.2f\n" % (n, T[n], P[n]),
    "names and units": lambda n: b"T: %.2f C, p: %.2f kPa\n" % (T[n], P[n]),
    "json": lambda n: b'{"ms": %d, "air": {"T": %.2f, "p": %.1f}, "ok": true}\n' % (100 * n, T[n], 1e3 * P[n]),
    "sentence": lambda n: (lambda body: b"$%s*%02X\r\n" % (body, xor8(body)))(
        b"AB1,%d,%.3f,%.3f" % (100 * n, T[n], P[n])
    ),
    "crc text": lambda n: _with(lambda body: b"%04X" % crc16_ccitt(body), b"%d,%.2f,%.2f" % (100 * n, T[n], P[n])),
    "cobs": lambda n: cobs.encode(packed(n)) + b"\0",
    "sync and crc": lambda n: b"\xa5\x5a" + packed(n),
}


def stream(name):
    # listening begins in the middle of a frame
    return b"".join(STREAMS[name](n) for n in range(N))[5:]


@pytest.mark.parametrize("name", STREAMS)
def test_the_proposal_reads_the_stream_back(name):
    heard = understand(stream(name), SECONDS, 115200)
    profile = load_model(propose_profile(heard, "heard-device"), DeviceProfile)
    decoder = make_decoder(profile, joined_midway=True)
    events = decoder.feed(stream(name), 0.0) + decoder.fell_silent()
    values: dict[str, list[float]] = {}
    for event in events:
        if isinstance(event, Readings):
            values.setdefault(event.channel, []).extend(event.value)
    # the torn first frame, and in a fixed-length form what follows it, are not readings
    np.testing.assert_allclose(values["temperature"][-40:], T[-40:] + 273.15, atol=0.011)
    np.testing.assert_allclose(values["pressure"][-40:], 1e3 * P[-40:], atol=51)


@pytest.mark.parametrize(
    ("name", "units"),
    [
        ("comma", {"degC", "kPa"}),
        ("pressure first, hPa", {"hPa", "degC"}),
        ("spaces, kelvin, mbar", {"K", "hPa"}),
        ("tab, Fahrenheit, psi", {"degF", "psi"}),
        ("cobs", {"degC", "Pa"}),
    ],
)
def test_units_are_told_from_what_a_room_has(name, units):
    columns = understand(stream(name), SECONDS, 9600).columns
    assert {column.unit for column in columns if column.role in ("temperature", "pressure")} == units


def test_a_clock_and_a_counter_are_told_apart():
    roles = {
        column.field: (column.role, column.unit)
        for column in understand(stream("clock and counter"), SECONDS, 9600).columns
    }
    assert roles[1] == ("counter", "")
    assert roles[2] == ("clock", "ms")


def test_the_rate_is_told_by_the_devices_own_clock_and_by_nothing_else():
    profile = load_model(propose_profile(understand(stream("sentence"), SECONDS, 9600), "heard"), DeviceProfile)
    assert profile.rate == 10.0
    profile = load_model(propose_profile(understand(stream("comma"), SECONDS, 9600), "heard"), DeviceProfile)
    assert profile.rate is None
    uneven = b"".join(b"%d,%.2f,%.2f\n" % (100 * n + 40 * (n % 3), T[n], P[n]) for n in range(N))
    profile = load_model(propose_profile(understand(uneven, SECONDS, 9600), "heard"), DeviceProfile)
    assert (profile.clock.kind, profile.rate) == ("device", None)


def test_each_column_comes_with_its_reason():
    columns = understand(stream("names"), SECONDS, 9600).columns
    reasons = {column.field: column.reason for column in columns}
    assert reasons["n"] == "goes up by one each time"
    assert reasons["p"].endswith("is what a room has in kPa, and it is called 'p'")


@pytest.mark.parametrize(
    "data", [b"", b"\x00" * 500, RNG.bytes(3000), b"hello\nworld\n" * 20, b"\n" * 100, b"1,2\n" * 3]
)
def test_noise_and_talk_give_no_proposal(data):
    with pytest.raises(ListenError, match="expected a temperature or a pressure of a room"):
        propose_profile(understand(data, 5.0, 9600), "heard")


def test_the_wrong_baud_rate_makes_no_sense_and_the_right_one_is_found():
    opened = []
    clock = ManualClock()

    def open_port(url, profile):
        opened.append(profile.line.baud)
        data = stream("comma") if profile.line.baud == 57600 else RNG.bytes(700)
        half = len(data) // 2
        script = [data[:half], lambda: clock.move(SECONDS), data[half:], lambda: clock.move(9.0), b""]
        return ScriptedTransport(script, url)

    heard = listen("port", now=clock, open_port=open_port)
    assert heard.baud == 57600
    assert opened == [115200, 9600, 57600]


def test_nothing_is_written_to_the_device():
    clock = ManualClock()
    line = ScriptedTransport([stream("comma"), lambda: clock.move(9.0), b""])
    listen("port", now=clock, baud=9600, open_port=lambda url, profile: line)
    assert line.written == b""
    assert line.closed


def test_silence_is_told_with_what_to_try():
    clock = ManualClock()
    with pytest.raises(ListenError, match="nothing arrived at 'port'; expected a device that sends by itself"):
        listen("port", now=clock, open_port=lambda url, profile: ScriptedTransport([lambda: clock.move(9.0), b""]))


def test_only_what_was_asked_for_is_written():
    clock = ManualClock()
    line = ScriptedTransport([b"Invented,Meter,0,1\n", lambda: clock.move(9.0), b""])
    heard = listen("port", now=clock, baud=9600, ask="*IDN?", open_port=lambda url, profile: line)
    assert line.written == b"*IDN?\n"
    assert heard.data == b"Invented,Meter,0,1\n"


PIECES = st.one_of(
    st.binary(max_size=30),
    st.sampled_from(
        [b"21.5,99.2\n", b"T=21.5 p=99.2\n", b'{"T": 21.5}\n', b"$AB,1*00\n", b"\0\0", b"\xa5\x5a" * 9, b"1e999,nan\n"]
    ),
)


@settings(max_examples=40, deadline=None)
@given(pieces=st.lists(PIECES, max_size=12), times=st.integers(1, 12), seconds=st.floats(0, 10))
def test_whatever_arrives_is_understood_or_refused_and_never_ends_in_anything_else(pieces, times, seconds):
    heard = understand(b"".join(pieces) * times, seconds, 9600)
    assert heard.score >= 0
    with contextlib.suppress(ListenError):
        load_model(propose_profile(heard, "heard"), DeviceProfile)
