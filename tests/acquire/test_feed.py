"""Blocks close the same however readings are bunched."""

from __future__ import annotations

import numpy as np
import pytest

from acquire.feed import GRACE, BlockFeed
from drivers.readings import PRESSURE, TEMPERATURE, Quality, Readings


def readings(channel: str, times, quality: int = 0) -> Readings:
    times = np.asarray(times, float)
    return Readings(channel, times, 300.0 + times, times, np.full(len(times), quality, np.uint8))


def take(feed: BlockFeed, block: Readings) -> list:
    feed.take(block)
    return feed.close()


def test_a_second_closes_when_both_channels_have_passed_it() -> None:
    feed = BlockFeed()
    assert take(feed, readings(TEMPERATURE, [0.1, 0.6, 1.1])) == []
    blocks = take(feed, readings(PRESSURE, [0.2, 0.7, 1.2]))
    assert [b.index for b in blocks] == [0]
    assert blocks[0].n_temperature == blocks[0].n_pressure == 2


def test_a_silent_channel_is_waited_for_only_so_long() -> None:
    feed = BlockFeed()
    blocks = take(feed, readings(TEMPERATURE, np.arange(0.0, 10.0, 0.5)))
    assert blocks[-1].index == int(9.5 - GRACE) - 1
    assert np.isnan(blocks[0].pressure)


def test_a_reading_for_a_closed_second_is_marked_late_and_left_out() -> None:
    feed = BlockFeed()
    take(feed, readings(TEMPERATURE, np.arange(0.0, 10.0, 0.5)))
    marked = feed.take(readings(PRESSURE, [1.0, 9.0]))
    blocks = feed.close()
    assert marked.quality.tolist() == [Quality.LATE, 0]
    assert all(np.isnan(b.pressure) for b in blocks if b.index < 9)


@pytest.mark.parametrize("bad", [Quality.NOT_A_NUMBER, Quality.OUT_OF_RANGE])
def test_unusable_readings_take_no_part(bad: Quality) -> None:
    feed = BlockFeed()
    feed.take(readings(TEMPERATURE, [0.1, 1.1]))
    blocks = take(feed, readings(PRESSURE, [0.2, 1.2], quality=bad))
    assert blocks[0].n_pressure == 0


@pytest.mark.parametrize("bunch", [1, 7, 11])
def test_the_blocks_do_not_depend_on_the_bunching(bunch: int) -> None:
    times = np.arange(0.0, 12.0, 0.25)
    cut = BlockFeed()
    got = []
    for start in range(0, len(times), bunch):
        for channel in (TEMPERATURE, PRESSURE):
            got += take(cut, readings(channel, times[start : start + bunch]))
    complete = [b for b in got if b.n_temperature and b.n_pressure]
    assert [(b.index, b.temperature, b.pressure) for b in complete] == [
        (i, pytest.approx(300.375 + i), pytest.approx(300.375 + i)) for i in range(11)
    ]


def test_other_channels_pass_through() -> None:
    feed = BlockFeed()
    given = readings("barometer", [1.0])
    assert feed.take(given) is given
    assert feed.close() == []


def test_a_chunk_longer_than_the_grace_makes_nothing_late() -> None:
    feed, times = BlockFeed(), np.arange(0.0, 20.0, 0.5)
    feed.take(readings(TEMPERATURE, times))
    assert not feed.take(readings(PRESSURE, times)).quality.any()
    assert all(b.n_pressure == 2 for b in feed.close())
