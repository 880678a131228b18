"""Blocks of whole stored traces are those that the same readings give one after the other."""

from __future__ import annotations

import numpy as np
import pytest

from acquire.feed import BlockFeed, stored_blocks
from acquire.record import Trace
from analysis.settling.blocks import Blocker
from analysis.settling.stored import blocks_of
from drivers.readings import Quality, Readings


def readings(seed: int, rate: float, seconds: float, *, step: float, level: float):
    """Coarse codes with wild values, gaps, repeats and NaN."""
    rng = np.random.default_rng(seed)
    time = np.sort(np.round(rng.uniform(3.0, seconds, int(rate * seconds)), 2))
    time = time[(time < 20.0) | (time > 24.0)]
    value = np.round((level + rng.normal(0.0, 2.0 * step, len(time))) / step) * step
    value[rng.random(len(value)) < 0.03] += 500.0 * step
    value[rng.random(len(value)) < 0.02] = np.nan
    again = rng.random(len(time)) < 0.05
    return np.concatenate([time, time[again]]), np.concatenate([value, value[again]])


@pytest.mark.parametrize("rate", [0.7, 2.0, 5.0, 10.0, 23.0])
def test_whole_traces_give_the_blocks_of_single_readings(rate: float) -> None:
    traces = {
        "temperature": readings(1, rate, 60.0, step=0.01, level=300.0),
        "pressure": readings(2, 10.0, 55.0, step=10.0, level=1e5),
    }
    single = Blocker()
    for name, (time, value) in traces.items():
        for when, what in zip(time, value, strict=True):
            single.add(name, when, what)
    expected = single.close(58)
    assert len(expected) > 50
    assert repr(blocks_of(traces, 58)) == repr(expected)


def test_nothing_comes_of_nothing() -> None:
    empty = (np.empty(0), np.empty(0))
    assert blocks_of({"temperature": empty, "pressure": empty}, 10) == []
    assert stored_blocks({}) == []


def test_stored_traces_end_where_the_feed_would_have_closed_its_last_second() -> None:
    feed = BlockFeed()
    closed, traces = [], {}
    marked: dict[str, list[Readings]] = {"temperature": [], "pressure": []}
    for second in range(30):
        for name, last, level in (("temperature", 30, 300.0), ("pressure", 17, 1e5)):
            if second >= last:
                continue
            time = second + np.arange(0.0, 1.0, 0.25)
            quality = np.zeros(4, np.uint8)
            quality[second % 4] = Quality.OUT_OF_RANGE
            marked[name].append(feed.take(Readings(name, time, level + time, time, quality)))
        if second == 25:  # what comes for seconds that are closed is marked as late
            marked["pressure"].append(
                feed.take(Readings("pressure", np.array([20.5]), np.array([9e4]), np.zeros(1), np.zeros(1, np.uint8)))
            )
        closed += feed.close()
    for name, parts in marked.items():
        columns = (np.concatenate([getattr(part, c) for part in parts]) for c in ("time", "value", "raw", "quality"))
        traces[name] = Trace(name, "", *columns)
    assert len(closed) > 20
    assert repr(stored_blocks(traces)) == repr(closed)


@pytest.mark.parametrize("seed", range(12))
def test_sparse_analogue_or_late_channels_give_the_same_blocks_too(seed: int) -> None:
    rng = np.random.default_rng(seed)
    traces = {}
    for name, level in (("temperature", 300.0), ("pressure", 1e5)):
        count = int(rng.integers(0, 45 * rng.choice([0.3, 1.0, 3.0, 12.0]) + 2))
        time = np.sort(np.round(rng.uniform(rng.choice([0.0, 10.0]), 45.0, count), 2))
        step = level * rng.choice([0.0, 1e-7, 3e-5])  # none: every value is new
        value = level * (1.0 + 1e-4 * rng.normal(size=count))
        traces[name] = (time, np.round(value / step) * step if step else value)
    single = Blocker()
    for name, (time, value) in traces.items():
        single.add(name, time, value)
    upto = int(rng.integers(5, 48))
    assert repr(blocks_of(traces, upto)) == repr(single.close(upto))


@pytest.mark.parametrize("fine_first", [True, False])
def test_the_step_stays_as_it_was_when_the_memory_of_codes_was_full(fine_first: bool) -> None:
    rng = np.random.default_rng(5)
    time = np.arange(0.0, 40.0, 0.1)
    fine = 300.0 + rng.normal(0.0, 1.0, len(time))
    coarse = np.round(fine, 2) if not fine_first else np.full(len(time), 300.0)
    early = time < 8.0 if fine_first else time > 30.0
    traces = {"temperature": (time, np.where(early, fine, coarse)), "pressure": (time, 1e5 + np.round(fine))}
    single = Blocker()
    for name, (when, what) in traces.items():
        single.add(name, when, what)
    assert repr(blocks_of(traces, 39)) == repr(single.close(39))
