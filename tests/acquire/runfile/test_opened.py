"""A run file kept open: the same readings as when all are read, followed while it grows and across its close."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from acquire.replay import _slices
from acquire.runfile.opened import OpenRun, StoredTrace
from acquire.runfile.reader import RunFile, read_run
from acquire.runfile.writer import RunFileWriter
from drivers.readings import PRESSURE, TEMPERATURE
from tests.acquire.runfile.sample_run import BASELINES, END, HEADER, POINTS, RESULT, block


def written(path: Path, seconds: range, writer: RunFileWriter | None = None) -> RunFileWriter:
    writer = writer or RunFileWriter(path, HEADER)
    for second in seconds:
        for channel in (TEMPERATURE, PRESSURE):
            writer.append(block(channel, float(second), 200), "bench")
    writer.flush()
    return writer


@pytest.fixture
def closed(tmp_path: Path) -> Path:
    path = tmp_path / "run.h5"
    written(path, range(60)).close(END, POINTS, BASELINES, [RESULT])
    return path


def test_a_stored_trace_gives_what_reading_everything_gives(closed: Path) -> None:
    whole = read_run(closed)
    with OpenRun(closed) as opened:
        assert opened.record.points == whole.points
        assert opened.record.duration == whole.duration
        for channel, trace in opened.record.traces.items():
            assert isinstance(trace, StoredTrace)
            known = whole.traces[channel]
            assert (len(trace), trace.first_time, trace.last_time) == (len(known), known.time[0], known.time[-1])
            for start, end in ((-5.0, 2.0), (10.0, 31.5), (59.9, 99.0), (200.0, 300.0)):
                part, expected = trace.between(start, end), known.between(start, end)
                for name in ("time", "value", "raw", "quality"):
                    np.testing.assert_array_equal(getattr(part, name), getattr(expected, name))
                values = trace.values_between(start, end)
                assert (len(values) > 0) == (start < 100.0)
                np.testing.assert_array_equal(values, known.values_between(start, end))


def test_deciding_again_sees_the_same_slices_of_readings(closed: Path) -> None:
    whole = read_run(closed)
    with OpenRun(closed) as opened:
        for (start, blocks), (expected_start, expected) in zip(
            _slices(opened.record.traces), _slices(whole.traces), strict=True
        ):
            assert start == expected_start
            for one, other in zip(blocks, expected, strict=True):
                np.testing.assert_array_equal(one.time, other.time)
                np.testing.assert_array_equal(one.value, other.value)


def test_opening_reads_no_column_of_readings(closed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[int] = []
    trace = RunFile.trace

    def noted(self: RunFile, channel: str, start: int = 0, stop: int | None = None):
        found = trace(self, channel, start, stop)
        read.append(len(found.time))
        return found

    monkeypatch.setattr(RunFile, "trace", noted)
    with OpenRun(closed) as opened:
        assert opened.record.duration > 0
    assert max(read) <= 1


def test_a_run_is_followed_while_it_is_written_and_across_its_close(tmp_path: Path) -> None:
    path = tmp_path / "run.h5"
    writer = written(path, range(10))
    with OpenRun(path) as opened:
        assert opened.live
        first = opened.record.traces[PRESSURE]
        assert len(first) == 2000
        written(path, range(10, 20), writer)
        assert opened.refresh()
        assert len(first) == 4000
        assert first.last_time > 19.0
        writer.close(END, POINTS, BASELINES, [RESULT])
        assert opened.refresh()
        assert not opened.live
        assert opened.record.end_time == END
        assert opened.record.seal
        assert len(first) == 4000, "the trace goes on from the closed file"
        assert not opened.refresh()
