"""What goes into a run file comes back equal; files are looked at with plain h5py too, never only by our reader."""

from __future__ import annotations

import os
from pathlib import Path

import h5py
import numpy as np
import pytest

from acquire.journal import Journal
from acquire.runfile.editing import append_to_closed
from acquire.runfile.errors import DamagedFileError, FileInUseError, RunFileError, RunFileExistsError, WriteFailedError
from acquire.runfile.layout import RunHeader
from acquire.runfile.reader import RunFile, read_run
from acquire.runfile.writer import RunFileWriter
from drivers.readings import BAROMETER, PRESSURE, TEMPERATURE
from tests.acquire.runfile.sample_run import (
    BASELINES,
    END,
    HEADER,
    POINTS,
    RESULT,
    START,
    TRUTH,
    block,
    closed_run,
    entry,
    joined,
    record_run,
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "run.h5"


def assert_same_trace(trace, blocks):
    for name, column in (("time", "time"), ("value", "value"), ("raw", "raw"), ("quality", "quality")):
        stored, given = getattr(trace, name), joined(blocks, column)
        assert stored.dtype == given.dtype
        assert stored.tobytes() == given.tobytes()  # bit for bit, NaN included


def test_a_closed_run_reads_back_equal(path):
    given, journal = closed_run(path)
    run = read_run(path)
    for channel, blocks in given.items():
        assert_same_trace(run.traces[channel], blocks)
    assert set(run.traces) == {TEMPERATURE, PRESSURE}
    assert run.journal == tuple(journal)
    assert run.points == POINTS
    assert run.baselines == BASELINES
    assert run.results == (RESULT,)
    assert run.truth == TRUTH
    assert (run.title, run.plan, run.plan_text) == (HEADER.title, HEADER.plan, HEADER.plan_text)
    assert (run.profile_texts, run.devices, run.versions) == (HEADER.profile_texts, HEADER.devices, HEADER.versions)
    assert (run.start_time, run.end_time, run.program) == (START, END, "satline 0.1.0")
    assert run.traces[PRESSURE].device == "bench"
    assert run.integrity == "sealed"


def test_an_unclosed_run_reads_back_equal_while_it_is_written(path):
    writer = RunFileWriter(path, HEADER)
    given, journal = record_run(writer)
    run = read_run(path)
    writer.abandon()
    for channel, blocks in given.items():
        assert_same_trace(run.traces[channel], blocks)
    assert run.journal == tuple(journal)
    assert run.end_time is None
    assert run.integrity == "open"


def test_an_empty_run_closes_and_reads_back(path):
    RunFileWriter(path, RunHeader("", START, "satline 0.1.0")).close(END, (), (), ())
    run = read_run(path)
    assert run.traces == {}
    assert run.journal == run.points == run.baselines == run.results == ()
    assert run.truth is None


def test_plain_h5py_finds_names_units_and_values(path):
    given, _ = closed_run(path)
    with h5py.File(path, "r") as file:
        log = file["entry/instrument/manometer/value_log"]
        assert log["value"].attrs["units"] == b"Pa"
        assert log["time"].attrs["units"] == b"s"
        assert log["time"].attrs["start"] == START.encode()
        assert file["entry/instrument/thermometer/value_log/value"].attrs["units"] == b"K"
        np.testing.assert_array_equal(log["value"][()], joined(given[PRESSURE], "value"))
        np.testing.assert_array_equal(file["entry/trace_pressure/pressure"][()], log["value"][()])
        assert file["entry/satline/schema_version"][()] == b"2.0"
        assert file["entry/instrument/manometer/recording/row"][()].tolist() == [0, 500]
        assert file["entry/instrument/manometer/recording/u_time"][()].tolist() == [0.001, 0.002]
        assert file["entry/journal/text"][2].decode() == ("Wasser nachgegossen, " * 40)[:400]
        assert all(log[name].fletcher32 and log[name].compression == "gzip" for name in log if log[name].ndim)


def test_a_live_file_has_everything_created_and_uncompressed(path):
    writer = RunFileWriter(path, HEADER)
    with h5py.File(path, "r", swmr=True) as file:
        for group in ("thermometer", "manometer", "barometer", "room_thermometer"):
            column = file[f"entry/instrument/{group}/value_log/value"]
            assert column.shape == (0,)
            assert column.compression is None
            assert column.fletcher32
    writer.abandon()


def test_a_channel_that_appears_late_is_kept(path):
    writer = RunFileWriter(path, HEADER)
    writer.append(block(BAROMETER, 0.0), "second")
    writer.append(block(BAROMETER, 1.0), "third")
    writer.close(END, (), (), ())
    trace = read_run(path).traces[BAROMETER]
    assert len(trace.time) == 20
    assert trace.device == "second + third"


def test_an_existing_file_is_refused_and_left_alone(path):
    path.write_bytes(b"precious")
    with pytest.raises(RunFileExistsError, match="exists already; nothing is ever overwritten"):
        RunFileWriter(path, HEADER)
    assert path.read_bytes() == b"precious"
    assert os.listdir(path.parent) == ["run.h5"]


def test_what_was_not_flushed_is_in_memory_only_and_what_was_flushed_is_in_the_file(path):
    writer = RunFileWriter(path, HEADER)
    writer.append(block(PRESSURE, 0.0), "bench")
    assert read_run(path).traces == {}
    writer.flush()
    assert len(read_run(path).traces[PRESSURE].time) == 10
    assert writer.readings_written == 10
    writer.abandon()


def test_a_closed_writer_refuses_more(path):
    writer = RunFileWriter(path, HEADER)
    writer.close(END, (), (), ())
    with pytest.raises(RunFileError, match="is closed; nothing can be appended"):
        writer.append(block(PRESSURE, 0.0), "bench")


def test_the_closed_file_is_smaller_than_the_live_one(path):
    writer = RunFileWriter(path, HEADER)
    record_run(writer, 1000, flush=False)
    writer.flush()
    live = path.stat().st_size
    writer.close(END, POINTS, BASELINES, [RESULT], TRUTH)
    assert path.stat().st_size < live
    assert os.listdir(path.parent) == ["run.h5"]


def test_a_failed_close_leaves_the_recorded_file_complete(path, monkeypatch):
    writer = RunFileWriter(path, HEADER)
    given, _ = record_run(writer, 20)

    def full(*_):
        raise RuntimeError("Can't write: errno = 28, No space left on device")

    monkeypatch.setattr("acquire.runfile.closing.write_points", full)
    with pytest.raises(WriteFailedError, match=r"closing .* failed: Can't write: errno = 28"):
        writer.close(END, POINTS, BASELINES, [RESULT], TRUTH)
    run = read_run(path)
    assert_same_trace(run.traces[PRESSURE], given[PRESSURE])
    assert run.integrity == "unsealed"
    assert os.listdir(path.parent) == ["run.h5"]


def test_after_one_failed_write_the_file_is_given_up(path, monkeypatch):
    writer = RunFileWriter(path, HEADER)
    record_run(writer, 3)

    def full(*_):
        raise RuntimeError("errno = 28")

    monkeypatch.setattr(writer._channels[PRESSURE], "write", full)
    writer.append(block(PRESSURE, 3.0), "bench")
    with pytest.raises(WriteFailedError):
        writer.flush()
    monkeypatch.undo()
    with pytest.raises(WriteFailedError, match="after an earlier failure: errno = 28"):
        writer.append(block(PRESSURE, 4.0), "bench")
    assert len(read_run(path).traces[PRESSURE].time) == 30


def test_results_and_entries_are_added_to_a_closed_run_and_nothing_is_lost(path):
    given, journal = closed_run(path)
    before = read_run(path)
    other = {**RESULT, "note": "other settings"}
    append_to_closed(path, [entry(journal, 200, text="reviewed")], [other], sealed_at=END)
    run = read_run(path)
    assert run.results == (RESULT, other)
    assert run.journal == tuple(journal)
    assert run.journal[:-1] == before.journal
    assert_same_trace(run.traces[PRESSURE], given[PRESSURE])
    assert run.integrity == "sealed"
    with h5py.File(path) as file:
        assert file["entry"].attrs["default"] == b"result_2"
        assert len(file["entry/seal/earlier"]) == 1


def test_adding_to_a_run_that_is_still_recorded_is_refused(path):
    writer = RunFileWriter(path, HEADER)
    with pytest.raises(FileInUseError, match="is being recorded by another program"):
        append_to_closed(path, [], [RESULT], sealed_at=END)
    writer.abandon()


def test_adding_to_an_altered_run_is_refused(path):
    closed_run(path, 10)
    with h5py.File(path, "r+") as file:
        file["entry/instrument/manometer/value_log/value"][3] += 1.0
    with pytest.raises(DamagedFileError, match="was altered after it was sealed"):
        append_to_closed(path, [], [RESULT], sealed_at=END)


def test_entries_must_go_on_numbering(path):
    _, journal = closed_run(path, 10)
    entry(journal, 200)
    skipped = entry(journal, 201)
    with pytest.raises(ValueError, match="numbered on from there"):
        append_to_closed(path, [skipped], [], sealed_at=END)


def test_the_whole_canonical_line_is_kept_whatever_its_length(path):
    writer = RunFileWriter(path, HEADER)
    journal = Journal()
    writer.append_entries([entry(journal, 0, text="ä" * 70_000, numbers=list(range(500)))])
    writer.append_entries([entry(journal, 1, text="two\nlines")])
    writer.close(END, (), (), ())
    assert read_run(path).journal == tuple(journal)


def test_a_follower_sees_what_is_added_after_it_opened(path):
    writer = RunFileWriter(path, HEADER)
    with RunFile(path) as run:
        assert run.rows(PRESSURE) == 0
        given, journal = record_run(writer, 30)
        run.refresh()
        assert run.live
        assert_same_trace(run.trace(PRESSURE), given[PRESSURE])
        assert run.entries(since=1) == tuple(journal)[1:]
    writer.abandon()


def test_what_the_library_keeps_of_a_column_does_not_grow_with_the_run(path):
    writer = RunFileWriter(path, HEADER)
    growing = []

    def note(name, item):
        if isinstance(item, h5py.Dataset) and item.maxshape[:1] == (None,):
            growing.append(item.id.get_access_plist().get_chunk_cache()[1])

    writer._file.visititems(note)
    writer.abandon()
    assert len(growing) > 8  # at least time and value of each channel
    assert max(growing) <= 1 << 18
