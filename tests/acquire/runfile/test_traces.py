"""What is drawn of a long trace is what is in it: minimum, maximum and mean agree with a slow count over all rows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acquire.runfile.overview import FACTORS, LEFT_OUT, buckets_of_buckets, buckets_of_rows
from acquire.runfile.reader import RunFile
from acquire.runfile.traces import Overview
from acquire.runfile.writer import RunFileWriter
from drivers.readings import PRESSURE, TEMPERATURE, Quality, Readings
from tests.acquire.runfile.sample_run import END, HEADER

N = 301_000  # rows: more than the coarsest bucket, and no multiple of any


def column(n, seed=0):
    rng = np.random.default_rng(seed)
    time = np.cumsum(rng.uniform(0.0005, 0.0015, n))
    value = 101325.0 + np.cumsum(rng.normal(0, 1, n))
    quality = np.zeros(n, np.uint8)
    value[1000:1200] = np.nan
    quality[1000:1200] = Quality.NOT_A_NUMBER
    quality[5000:5003] = Quality.OUT_OF_RANGE
    value[5000:5003] = 9.9e9
    quality[7000:7100] = Quality.AFTER_GAP
    return Readings(PRESSURE, time, value, value, quality)


@pytest.fixture(scope="module")
def readings():
    return column(N)


@pytest.fixture(scope="module", params=["closed", "live"])
def run(request, tmp_path_factory, readings):
    path = tmp_path_factory.mktemp("run") / "run.h5"
    writer = RunFileWriter(path, HEADER)
    for start in range(0, N, 1777):
        writer.append(cut(readings, start, 1777), "bench")
    writer.flush()
    if request.param == "closed":
        writer.close(END, (), (), ())
    with RunFile(path) as run:
        yield run
    writer.abandon()


def cut(readings, start, n):
    part = slice(start, start + n)
    return Readings(PRESSURE, readings.time[part], readings.value[part], readings.raw[part], readings.quality[part])


def expected(readings, first, last):
    """The slow way."""
    value, quality = readings.value[first:last], readings.quality[first:last]
    good = value[np.isfinite(value) & ((quality & LEFT_OUT) == 0)]
    if not len(good):
        return np.nan, np.nan, np.nan, 0
    return good.min(), good.max(), good.mean(), len(good)


@pytest.mark.parametrize(
    ("start", "end"), [(-10.0, 1e6), (0.9, 1.3), (4.9, 9.0), (100.0, 250.0), (299.0, 302.0), (50.0, 50.5)]
)
@pytest.mark.parametrize("most", [10, 300, 2000])
def test_every_bucket_agrees_with_a_count_over_its_rows(run, readings, start, end, most):
    found = Overview(run, PRESSURE).fetch(start, end, most)
    first = int(np.searchsorted(readings.time, found.time[0]))
    step = found.rows_per_bucket
    assert len(found) <= most + 3
    assert step == 1 or step in FACTORS
    for k in range(len(found)):
        begin = first + k * step
        assert found.time[k] == readings.time[begin]
        low, high, mean, good = expected(readings, begin, min(N, begin + step))
        assert found.good[k] == good
        if good:
            assert found.minimum[k] == pytest.approx(low, rel=1e-7)
            assert found.maximum[k] == pytest.approx(high, rel=1e-7)
            assert found.mean[k] == pytest.approx(mean, rel=3e-7)
        else:
            assert np.isnan([found.minimum[k], found.maximum[k], found.mean[k]]).all()
    covered = first + len(found) * step
    assert found.time[0] <= max(start, readings.time[0])
    assert covered >= min(N, np.searchsorted(readings.time, end))


def test_close_up_the_readings_are_the_stored_ones_to_the_last_bit(run, readings):
    found = Overview(run, PRESSURE).fetch(100.0, 100.5)
    first = int(np.searchsorted(readings.time, found.time[0]))
    np.testing.assert_array_equal(found.mean, readings.value[first : first + len(found)])


@pytest.mark.parametrize("time", [-1.0, 0.0, 0.001, 7.3, 150.0, 300.99, 1e9])
def test_a_row_is_found_by_its_time(run, readings, time):
    assert Overview(run, PRESSURE).row_at(time) == np.searchsorted(readings.time, time)


@pytest.mark.parametrize(("start", "end", "most"), [(0.5, 300.0, 40), (20.0, 280.0, 100), (100.0, 160.0, 500)])
def test_a_long_stretch_is_found_and_read_in_few_reads(run, readings, monkeypatch, start, end, most):
    overview = Overview(run, PRESSURE)
    overview.row_at(5.0)  # the guide is read once
    read = []
    rows_of = run.rows_of
    monkeypatch.setattr(run, "rows_of", lambda path, first, last: read.append(path) or rows_of(path, first, last))
    found = overview.fetch(start, end, most)
    assert found.time[0] <= start
    assert most / 10 < len(found) <= most + 3
    ends = readings.time[min(N - 1, np.searchsorted(readings.time, found.time[-1]) + found.rows_per_bucket)]
    assert ends >= end
    # Times and figures; where buckets are finer than the guide, both ends besides; the rest behind the last bucket.
    rest = 2 * FACTORS.index(found.rows_per_bucket) + 6 if end > 299.0 else 0
    assert len(read) <= (2 if found.rows_per_bucket >= 4096 else 4) + rest, read


def test_a_channel_without_readings_gives_nothing(run):
    overview = Overview(run, TEMPERATURE)
    assert np.isnan(overview.span).all()
    assert len(overview.fetch(0.0, 10.0)) == 0


def test_the_span_is_that_of_the_readings(run, readings):
    assert Overview(run, PRESSURE).span == (readings.time[0], readings.time[-1])


def test_a_follower_sees_the_overview_grow(tmp_path, readings):
    path = tmp_path / "run.h5"
    writer = RunFileWriter(path, HEADER)
    with RunFile(path) as run:
        overview = Overview(run, PRESSURE)
        for n, start in ((30, 0), (5000, 30), (50_000, 5030)):
            writer.append(cut(readings, start, n), "bench")
            writer.flush()
            run.refresh()
            found = overview.fetch(0.0, 1e9, 500)
            assert found.good.sum() == expected(readings, 0, start + n)[3]
    writer.abandon()


@settings(max_examples=60)
@given(st.lists(st.one_of(st.floats(-1e6, 1e6), st.just(float("nan"))), min_size=1, max_size=90), st.integers(1, 9))
def test_buckets_of_buckets_are_the_buckets_of_the_rows(values, factor):
    value = np.array(values)
    time = np.arange(len(value), dtype=float)
    quality = np.zeros(len(value), np.uint8)
    once = buckets_of_rows(time, value, quality, 3 * factor)
    twice = buckets_of_buckets(buckets_of_rows(time, value, quality, 3), factor)
    np.testing.assert_array_equal(once.time, twice.time)
    np.testing.assert_allclose(once.figures, twice.figures, rtol=1e-5, atol=0.5)
