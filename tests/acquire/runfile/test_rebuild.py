"""A run file made from the raw journal equals the one recorded, also for bytes nobody had decoded yet."""

from __future__ import annotations

import numpy as np
import pytest

from acquire.raw_journal import RawJournal, frame
from acquire.recorder_sink import RecordingSink
from acquire.runfile.errors import DamagedFileError, RunFileExistsError
from acquire.runfile.integrity import verify
from acquire.runfile.layout import RunHeader
from acquire.runfile.reader import read_run
from acquire.runfile.rebuild import rebuild
from drivers.decoding import make_decoder
from drivers.profile import load_profile, profile_path
from drivers.readings import PRESSURE, TEMPERATURE, Quality, Readings, Received
from sim.device import SimulatedBench
from sim.scenario import load_scenario
from tests.acquire.runfile.sample_run import END, HEADER, START

PROFILE = "simulated-bench"
TEXT = profile_path(PROFILE).read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def stream():
    """Two minutes of a simulated bench: chunks with their arrivals, and what the decoder makes of each."""
    bench = SimulatedBench(load_scenario("calm"), 3)
    decoder = make_decoder(load_profile(PROFILE), "bench", joined_midway=True)
    out = []
    for step in range(1, 2401):
        now = step * 0.05
        data = bench.advance(now)
        if data:
            decoded = [event for event in decoder.feed(data, now) if isinstance(event, Readings)]
            out.append((Received(now, data), decoded))
    return out


def feed(raw, stream, *, undecoded=0):
    for number, (received, decoded) in enumerate(stream):
        raw.received("bench", received)
        if number < len(stream) - undecoded:
            for readings in decoded:
                raw.readings("bench", readings)


def columns(stream, channel, name):
    blocks = [getattr(b, name) for _, decoded in stream for b in decoded if b.channel == channel]
    return np.concatenate(blocks)


def raw_journal(tmp_path, **header):
    raw = RawJournal(
        tmp_path / "run.h5.raw", RunHeader("t", START, "satline 0.1.0", profile_texts={"bench": TEXT}).__dict__ | header
    )
    return raw


def test_what_was_stored_comes_back_bit_for_bit(tmp_path, stream):
    raw = raw_journal(tmp_path)
    feed(raw, stream)
    raw.close()
    path = rebuild(raw.path, tmp_path / "made.h5", now_iso=END)
    run = read_run(path)
    for channel in (TEMPERATURE, PRESSURE):
        for mine, name in (("time", "time"), ("value", "value"), ("raw", "raw"), ("quality", "quality")):
            assert getattr(run.traces[channel], mine).tobytes() == columns(stream, channel, name).tobytes()
    assert run.end_time is None
    assert verify(path).state == "incomplete"


@pytest.mark.parametrize("undecoded", [1, 2, 37])
def test_bytes_that_were_not_decoded_before_the_end_are_decoded_from_the_raw_journal(tmp_path, stream, undecoded):
    raw = raw_journal(tmp_path)
    feed(raw, stream, undecoded=undecoded)
    raw.close()
    run = read_run(rebuild(raw.path, tmp_path / "made.h5", now_iso=END))
    stored = len(columns(stream[: len(stream) - undecoded], PRESSURE, "value"))
    for channel in (TEMPERATURE, PRESSURE):
        trace = run.traces[channel]
        np.testing.assert_array_equal(trace.value, columns(stream, channel, "value"))
        np.testing.assert_allclose(trace.time, columns(stream, channel, "time"), atol=0.02)
        assert np.all(np.diff(trace.time) >= 0)
        uncertain = (trace.quality & Quality.UNCERTAIN_TIME) != 0
        assert not uncertain[:stored].any()
        assert uncertain[stored:].all()


def test_when_nothing_was_decoded_all_of_it_is(tmp_path, stream):
    raw = raw_journal(tmp_path)
    feed(raw, stream, undecoded=len(stream))
    raw.close()
    run = read_run(rebuild(raw.path, tmp_path / "made.h5", now_iso=END))
    np.testing.assert_array_equal(run.traces[PRESSURE].value, columns(stream, PRESSURE, "value"))


def test_only_the_last_bytes_are_decoded_again(tmp_path, stream, monkeypatch):
    monkeypatch.setattr("acquire.runfile.tail.TAIL_BYTES", 4000)
    monkeypatch.setattr("acquire.runfile.rebuild.TAIL_BYTES", 4000)
    raw = raw_journal(tmp_path)
    feed(raw, stream, undecoded=2)
    raw.close()
    run = read_run(rebuild(raw.path, tmp_path / "made.h5", now_iso=END))
    np.testing.assert_array_equal(run.traces[PRESSURE].value, columns(stream, PRESSURE, "value"))


def test_a_reading_that_repeats_itself_is_placed_by_its_time(tmp_path):
    """A coarse, steady gauge: every stretch of readings looks like every other."""
    decoder = make_decoder(load_profile(PROFILE), "bench", joined_midway=True)
    out = []
    for step in range(1, 601):
        body = f"SAT,{step * 100},21.500,101.300"
        check = 0
        for character in body.encode():
            check ^= character
        received = Received(step * 0.1, f"${body}*{check:02X}\r\n".encode())
        out.append((received, [e for e in decoder.feed(received.data, received.arrival) if isinstance(e, Readings)]))
    raw = raw_journal(tmp_path)
    feed(raw, out, undecoded=3)
    raw.close()
    run = read_run(rebuild(raw.path, tmp_path / "made.h5", now_iso=END))
    assert len(run.traces[PRESSURE].time) == len(columns(out, PRESSURE, "value"))


def test_a_device_without_a_profile_text_keeps_what_was_stored(tmp_path, stream):
    raw = raw_journal(tmp_path, profile_texts={})
    feed(raw, stream[:100], undecoded=1)
    raw.close()
    run = read_run(rebuild(raw.path, tmp_path / "made.h5", now_iso=END))
    np.testing.assert_array_equal(run.traces[PRESSURE].value, columns(stream[:99], PRESSURE, "value"))


def test_the_journal_of_a_killed_sink_makes_the_run_file(tmp_path, stream):
    sink = RecordingSink(tmp_path / "run.h5", HEADER, ballast=1 << 16)
    for received, decoded in stream[:200]:
        sink.append_received(received, "bench")
        for readings in decoded:
            sink.append(readings, "bench")
    sink.abandon()
    run = read_run(rebuild(sink.raw_path, tmp_path / "made.h5", now_iso=END))
    np.testing.assert_array_equal(run.traces[PRESSURE].value, columns(stream[:200], PRESSURE, "value"))


def test_without_a_header_nothing_is_made(tmp_path):
    raw = tmp_path / "x.raw"
    raw.write_bytes(frame(5, 0, b"{}"))
    with pytest.raises(DamagedFileError):
        rebuild(raw, tmp_path / "made.h5", now_iso=END)
    raw.write_bytes(b"")
    with pytest.raises(DamagedFileError, match="does not begin with the header of a run"):
        rebuild(raw, tmp_path / "made.h5", now_iso=END)
    assert not (tmp_path / "made.h5").exists()


def test_a_header_of_a_newer_program_is_refused_in_words(tmp_path):
    raw = RawJournal(tmp_path / "x.raw", {"title": "x", "novelty": 1})
    raw.close()
    with pytest.raises(DamagedFileError, match=r"has a header that this program does not know.*Update satline"):
        rebuild(raw.path, tmp_path / "made.h5", now_iso=END)


def test_an_existing_target_is_refused(tmp_path):
    raw = raw_journal(tmp_path)
    raw.close()
    (tmp_path / "made.h5").write_bytes(b"precious")
    with pytest.raises(RunFileExistsError):
        rebuild(raw.path, tmp_path / "made.h5", now_iso=END)
