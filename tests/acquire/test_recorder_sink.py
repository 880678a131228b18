"""Whatever the disk does, what the sink accepted comes back, and the person is told in a sentence."""

from __future__ import annotations

import os
import queue
import shutil
import subprocess
from dataclasses import asdict

import numpy as np
import pytest

from acquire.journal import Journal
from acquire.raw_frames import Chunk, Header, Reading, items
from acquire.raw_journal import RawJournal
from acquire.record import Trace
from acquire.recorder_sink import RecordingSink
from acquire.runfile.errors import RunFileExistsError, WriteFailedError
from acquire.runfile.integrity import repair, verify
from acquire.runfile.reader import read_run
from acquire.runfile.writer import RunFileWriter
from drivers.readings import CHANNEL_UNIT, PRESSURE, TEMPERATURE, DeviceNotice, Received
from tests.acquire.runfile.sample_run import BASELINES, END, HEADER, POINTS, RESULT, TRUTH, block, entry, joined

SMALL = 1 << 16  # bytes of reserve, so that tests stay fast


class Bench:
    """Feeds a sink like a session and remembers what it gave."""

    def __init__(self, sink):
        self.sink = sink
        self.given = {TEMPERATURE: [], PRESSURE: []}
        self.journal = Journal()
        self.second = 0
        sink.remember_with(self.memory)

    def feed(self, seconds=10, *, n=10, flush=True):
        for _ in range(seconds):
            self.sink.append_received(Received(float(self.second), b"$SAT\r\n"), "bench")
            for channel, blocks in self.given.items():
                blocks.append(block(channel, float(self.second), n))
                self.sink.append(blocks[-1], "bench")
            self.sink.append_entries([entry(self.journal, self.second)])
            if flush:
                self.sink.flush()
            self.second += 1

    def memory(self):
        traces = {
            channel: Trace(
                channel,
                CHANNEL_UNIT[channel],
                *(joined(blocks, name) for name in ("time", "value", "raw", "quality")),
                device="bench",
            )
            for channel, blocks in self.given.items()
        }
        return traces, list(self.journal)

    def close(self):
        return self.sink.close(END, POINTS, BASELINES, [RESULT], TRUTH)

    def assert_complete(self, path):
        run = read_run(path)
        for channel, blocks in self.given.items():
            for name in ("time", "value", "raw", "quality"):
                assert getattr(run.traces[channel], name).tobytes() == joined(blocks, name).tobytes()
        assert run.journal == tuple(self.journal)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "runs" / "run.h5"


@pytest.fixture
def bench(path, tmp_path):
    return Bench(RecordingSink(path, HEADER, fallbacks=[tmp_path / "elsewhere"], ballast=SMALL))


def test_a_run_without_trouble_leaves_the_closed_run_file_and_nothing_else(bench, path):
    bench.feed()
    assert bench.close() == path
    assert bench.sink.trouble == ""
    assert os.listdir(path.parent) == ["run.h5"]
    assert verify(path).intact
    bench.assert_complete(path)


def test_every_reading_is_in_the_raw_journal_before_any_flush(bench):
    bench.feed(3, flush=False)
    stored = [item.readings for item in items(bench.sink.raw_path) if isinstance(item, Reading)]
    assert sum(map(len, stored)) == 60
    bench.sink.abandon()


def test_bytes_are_in_the_raw_journal_before_the_session_can_take_them(bench):
    events = bench.sink.queue_for("probe")
    events.put(Received(1.0, b"abc"))
    events.put(DeviceNotice(1.0, "opened", "probe", "open"))
    assert [item for item in items(bench.sink.raw_path) if isinstance(item, Chunk)] == [
        Chunk("probe", Received(1.0, b"abc"))
    ]
    bench.sink.append_received(events.get_nowait(), "probe")
    assert len([item for item in items(bench.sink.raw_path) if isinstance(item, Chunk)]) == 1  # not kept twice
    assert isinstance(events.get_nowait(), DeviceNotice)
    with pytest.raises(queue.Empty):
        events.get_nowait()
    bench.sink.abandon()


def test_when_the_run_file_fails_it_is_made_from_the_raw_journal_at_the_close(bench, path, monkeypatch):
    bench.feed()

    def full(self, readings, device):
        raise WriteFailedError(self.path, "writing to", "errno = 28")

    monkeypatch.setattr(RunFileWriter, "append", full)
    bench.feed(5)
    assert "Recording goes on in the raw journal" in bench.sink.trouble
    monkeypatch.undo()
    bench.feed(5)
    assert bench.close() == path
    assert verify(path).intact
    bench.assert_complete(path)
    run = read_run(path)
    assert (run.points, run.baselines, run.results, run.truth) == (POINTS, BASELINES, (RESULT,), TRUTH)
    assert run.end_time == END
    assert os.listdir(path.parent) == ["run.h5"]


def test_when_closing_the_run_file_fails_it_is_made_from_the_raw_journal(bench, path, monkeypatch):
    bench.feed()

    def full(self, *_):
        self.abandon()
        raise WriteFailedError(self.path, "closing", "errno = 28")

    monkeypatch.setattr(RunFileWriter, "close", full)
    bench.close()
    assert verify(path).intact
    bench.assert_complete(path)
    assert os.listdir(path.parent) == ["run.h5"]


def test_when_no_run_file_can_be_made_the_raw_journal_stays_and_repair_makes_it_later(bench, path, monkeypatch):
    bench.feed()

    def full(*_, **__):
        raise WriteFailedError(path, "writing", "errno = 28")

    monkeypatch.setattr("acquire.recorder_sink.rebuild", full)
    monkeypatch.setattr(RunFileWriter, "close", full)
    assert bench.close() == bench.sink.raw_path
    assert f"Everything is in {path}.raw" in bench.sink.trouble
    assert "--repair" in bench.sink.trouble
    monkeypatch.undo()
    mended = repair(path, now_iso=END)
    bench.assert_complete(mended)
    assert read_run(mended).points == POINTS
    assert verify(mended).intact


def refuse_below(monkeypatch, folder):
    """The disk of this folder takes nothing any more."""
    write = RawJournal.write

    def full(self, *contents):
        if self.path.parent == folder:
            raise WriteFailedError(self.path, "writing to", "no space left on the device")
        write(self, *contents)

    monkeypatch.setattr(RawJournal, "write", full)


def test_a_full_disk_uses_the_reserve_first(bench, path, monkeypatch):
    bench.feed()
    reserve = path.with_name("run.h5.reserve")
    assert reserve.stat().st_size == SMALL
    write = RawJournal.write

    def full_until_reserve_is_gone(self, *contents):
        if reserve.exists():
            raise WriteFailedError(self.path, "writing to", "no space left on the device")
        write(self, *contents)

    monkeypatch.setattr(RawJournal, "write", full_until_reserve_is_gone)
    bench.feed(3)
    assert "The last reserve is in use: free some room now" in bench.sink.trouble
    assert bench.close() == path
    assert bench.sink.trouble == (
        f"the disk of {path.parent} was full (no space left on the device) while this run was recorded. "
        "Everything was kept all the same."
    ), "what to do at a full disk is no advice any more when the run is closed"
    bench.assert_complete(path)


def test_a_disk_that_stays_full_moves_the_recording_to_the_fallback_folder(bench, path, tmp_path, monkeypatch):
    bench.feed()
    refuse_below(monkeypatch, path.parent)
    bench.feed(5)
    assert bench.sink.raw_path == tmp_path / "elsewhere" / "run.h5.raw"
    assert f"Recording goes on in {bench.sink.raw_path.parent}; nothing was lost." in bench.sink.trouble
    target = bench.close()
    assert target == tmp_path / "elsewhere" / "run.h5"
    bench.assert_complete(target)
    assert verify(target).intact
    assert len(read_run(path).traces[PRESSURE].time) == 100  # what was written before is unhurt


def test_a_removed_folder_moves_the_recording_and_loses_nothing(bench, path, tmp_path):
    bench.feed()
    shutil.rmtree(path.parent)
    bench.feed(5)
    assert "its folder was removed or the drive was pulled" in bench.sink.trouble
    target = bench.close()
    assert target == tmp_path / "elsewhere" / "run.h5"
    bench.assert_complete(target)


def test_a_drive_that_cannot_even_be_read_is_replaced_from_memory(bench, path, tmp_path, monkeypatch):
    bench.feed()
    monkeypatch.setattr(os, "pread", lambda *_: (_ for _ in ()).throw(OSError(5, "Input/output error")))
    refuse_below(monkeypatch, path.parent)
    bench.feed(5)
    assert "was written again from memory" in bench.sink.trouble
    target = bench.close()
    bench.assert_complete(target)


def test_without_any_place_left_readings_wait_and_are_written_when_there_is_room_again(path, monkeypatch):
    bench = Bench(RecordingSink(path, HEADER, ballast=SMALL))
    bench.feed()
    refuse_below(monkeypatch, path.parent)
    bench.feed(5)
    assert "Readings wait in memory only" in bench.sink.trouble
    monkeypatch.undo()
    bench.feed(5)
    bench.sink._writer.abandon()  # so that the run file has to come from the raw journal
    bench.close()
    assert bench.sink.trouble.endswith("Everything was kept all the same. The run file was made from the raw journal "
                                       "and is complete.")  # fmt: skip
    bench.assert_complete(path)


def test_a_fallback_never_overwrites_an_earlier_run(path, tmp_path, monkeypatch):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "run.h5").write_bytes(b"precious")
    bench = Bench(RecordingSink(path, HEADER, fallbacks=[elsewhere], ballast=SMALL))
    refuse_below(monkeypatch, path.parent)
    bench.feed(3)
    assert bench.close() == elsewhere / "run-2.h5"
    assert (elsewhere / "run.h5").read_bytes() == b"precious"


def test_an_existing_run_is_refused_and_nothing_is_left_behind(path):
    path.parent.mkdir()
    path.write_bytes(b"precious")
    with pytest.raises(RunFileExistsError):
        RecordingSink(path, HEADER)
    assert os.listdir(path.parent) == ["run.h5"]


def test_the_header_comes_first_in_the_raw_journal(bench):
    first = next(items(bench.sink.raw_path))
    bench.sink.abandon()
    assert isinstance(first, Header)
    assert type(HEADER).from_dict(first.data) == HEADER
    assert asdict(HEADER) == first.data


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 1 MB; only root may mount one."""
    place = tmp_path / "small"
    place.mkdir()
    mounted = shutil.which("mount") and subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)], capture_output=True, check=False
    )
    if not mounted or mounted.returncode:
        pytest.skip("a small disk can only be mounted by root on Linux")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def test_a_disk_that_really_fills_up_loses_nothing(small_disk, tmp_path):
    bench = Bench(RecordingSink(small_disk / "run.h5", HEADER, fallbacks=[tmp_path / "elsewhere"], ballast=SMALL))
    bench.feed(30, n=1000)
    assert bench.sink.trouble
    assert shutil.disk_usage(small_disk).free < 200_000
    target = bench.close()
    assert target == tmp_path / "elsewhere" / "run.h5"
    bench.assert_complete(target)
    assert verify(target).intact
    old = read_run(small_disk / "run.h5").traces[TEMPERATURE]  # unhurt as far as it goes
    np.testing.assert_array_equal(old.value, joined(bench.given[TEMPERATURE], "value")[: len(old.value)])


def test_a_disk_that_fills_up_and_is_freed_goes_on_where_it_is(small_disk):
    filler = small_disk / "filler"
    filler.write_bytes(b"x" * 600_000)
    bench = Bench(RecordingSink(small_disk / "run.h5", HEADER, ballast=SMALL))
    bench.feed(6, n=1000)
    assert "wait in memory only" in bench.sink.trouble
    filler.unlink()
    bench.feed(1)
    stored = [item.readings for item in items(bench.sink.raw_path) if isinstance(item, Reading)]
    assert sum(map(len, stored)) == 12020
    bench.sink.abandon()
