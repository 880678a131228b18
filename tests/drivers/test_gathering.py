"""Chunks of a fast stream are decoded together; nothing waits for long, nothing is lost, a slow stream never waits."""

import struct

import numpy as np
import pytest

from drivers.checksums import CHECKSUMS, RowChecksum, crc16_ccitt
from drivers.decoding import make_decoder
from drivers.gathering import DENSE, LONGEST, MOST, Gathering, PatientDecoder
from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Readings, Received
from tests.drivers.test_source import BENCH, played, readings, sentence

PACKED = load_profile("packed-binary")


def packed(n: int, temperature: float = 21.5) -> bytes:
    body = struct.pack("<HIff", n % 65536, n * 1000, temperature, 101325.0)
    return b"\xa5\x5a" + body + struct.pack("<H", crc16_ccitt(body))


def count(events) -> int:
    return sum(len(event) for event in events if isinstance(event, Readings) and event.channel == "temperature")


def test_chunks_of_a_fast_stream_wait_for_each_other_but_not_for_long():
    gathering = Gathering()
    due = [gathering.add(b"ab", 10 + 0.005 * n) for n in range(4)]
    assert due == [True, False, False, True]
    assert gathering.take() == (b"ab" * 4, 10.015)
    assert not gathering


def test_a_slow_stream_never_waits():
    gathering = Gathering()
    for n in range(5):
        assert gathering.add(b"ab", 1.1 * DENSE * n)
        gathering.take()


def test_many_bytes_do_not_wait():
    gathering = Gathering()
    gathering.add(b"x", 1.0)
    gathering.take()
    assert not gathering.add(b"x" * (MOST - 1), 1.001)
    assert gathering.add(b"x", 1.002)


def test_readings_are_the_same_as_without_gathering():
    chunks = [(b"".join(sentence(n, 20 + n / 1000) for n in range(k, k + 5)), 5 + k / 1000) for k in range(0, 600, 5)]
    patient, plain = PatientDecoder(BENCH, "one"), make_decoder(BENCH, "one", joined_midway=True)
    one = [event for chunk, at in chunks for event in patient.feed(chunk, at)] + patient.close(6.0)
    two = [event for chunk, at in chunks for event in plain.feed(chunk, at)] + plain.close(6.0)
    assert len(one) < len(two) / 2
    for channel in ("temperature", "pressure"):
        np.testing.assert_array_equal(readings(one, channel), readings(two, channel))


def test_a_clock_of_arrivals_is_left_alone():
    patient = PatientDecoder(load_profile("delimited-text"), "one")
    patient.begin_again()
    patient.began_quietly()
    for n in range(5):
        assert count(patient.feed(b"21.5,101.3\n", 1 + n / 1000)) == 1


def test_what_waits_comes_out_when_the_line_falls_silent_and_when_it_is_lost():
    for ending in (b"", OSError(5, "Input/output error")):
        events, _ = played([b"", *[sentence(n) for n in range(7)], ending])
        assert count(events) == 7
        kinds = [type(event) for event in events if not isinstance(event, DeviceNotice)]
        assert kinds.count(Received) == 7


def test_what_waits_comes_out_as_soon_as_nothing_more_comes():
    patient = PatientDecoder(BENCH, "one")
    patient.began_quietly()
    assert count(patient.feed(sentence(0), 10.0)) == 1
    assert count(patient.feed(sentence(5), 10.005)) == 0
    assert patient.waiting
    assert count(patient.fell_silent()) == 1
    assert not patient.waiting


@pytest.mark.parametrize("clock", ["device", "steady"])
def test_a_frame_that_is_held_for_its_successor_keeps_its_own_time(clock):
    """Each chunk ends with a frame; the times are as if the last of it had been known at once."""
    profile = PACKED
    if clock == "steady":
        profile = PACKED.model_copy(
            update={"rate": 1000.0, "clock": PACKED.clock.model_copy(update={"kind": "steady", "field": None})}
        )
    decoder = make_decoder(profile)
    events = []
    for k in range(1, 1500):
        # five samples, the newest taken a millisecond before the chunk arrives
        events += decoder.feed(b"".join(packed(n) for n in range(5 * k - 4, 5 * k + 1)), 100 + 5e-3 * k + 1e-3)
    events += decoder.fell_silent()
    times = np.concatenate([event.time for event in events if isinstance(event, Readings)][::2])
    assert len(times) == 5 * 1499
    settled = slice(100, None)
    wanted = 100 + 1e-3 * np.arange(1, len(times) + 1) + 1e-3
    np.testing.assert_allclose(times[settled], wanted[settled], atol=2e-5)
    flags = np.concatenate([event.quality for event in events if isinstance(event, Readings)][::2])
    assert not flags[settled].any()
    assert not [event for event in events if isinstance(event, DeviceNotice)]


def test_a_frame_that_is_held_on_a_slow_line_is_given_out_after_a_short_silence_with_its_own_arrival():
    patient = PatientDecoder(PACKED, "one")
    patient.began_quietly()
    out = []
    for n in range(3):
        assert count(patient.feed(packed(100 * n), 10 + 0.1 * n)) == 0
        assert patient.waiting
        out += patient.fell_silent()
        assert not patient.waiting
    assert count(out) == 3
    np.testing.assert_allclose(np.concatenate([one.time for one in out[::2]]), [10.0, 10.1, 10.2])
    assert LONGEST < 0.02


@pytest.mark.parametrize("kind", CHECKSUMS)
@pytest.mark.parametrize("before", [b"", b"\xa5\x5a"])
def test_checksums_of_many_rows_are_those_of_each(kind, before):
    rows = np.random.default_rng(3).integers(0, 256, (50, 14), dtype=np.uint8)
    found = RowChecksum(kind, 14, before).of(rows)
    assert found.tolist() == [CHECKSUMS[kind][0](before + row.tobytes()) for row in rows]
