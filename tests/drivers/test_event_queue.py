"""The way to a consumer that may stand still."""

import queue

import numpy as np
import pytest

from drivers import event_queue
from drivers.event_queue import Outbox, join_readings
from drivers.readings import DeviceNotice, Readings, Received, SourceStopped


def block(start, count=5, channel="temperature"):
    values = np.arange(start, start + count, dtype=float)
    return Readings(channel, values / 1000, values, values, np.zeros(count, dtype=np.uint8))


def taken(target):
    events = []
    while not target.empty():
        events.append(target.get_nowait())
    return events


def test_a_consumer_in_step_gets_every_event_as_it_is():
    target = queue.Queue(maxsize=10)
    outbox = Outbox(target)
    events = [Received(1.0, b"a"), block(0), DeviceNotice(1.0, "gap", "d", "t")]
    outbox.put(events)
    assert taken(target) == events


@pytest.mark.slow
def test_half_an_hour_at_a_kilohertz_waits_for_a_blocked_consumer_and_nothing_is_lost():
    target = queue.Queue(maxsize=event_queue.QUEUE_ITEMS)
    outbox = Outbox(target)
    # 1.8 million readings of two channels in chunks of 60, 26 bytes each
    for n in range(30_000):
        outbox.put([Received(n * 0.06, b"x" * 1560), block(60 * n, 60), block(60 * n, 60, "pressure")])
    assert outbox.lost == 0
    assert len(outbox._waiting) < 100_000
    events = []
    while not (outbox.flush() and target.empty()):
        events += taken(target)
    for channel in ("temperature", "pressure"):
        values = np.concatenate([e.value for e in events if isinstance(e, Readings) and e.channel == channel])
        np.testing.assert_array_equal(values, np.arange(1_800_000))
    assert sum(len(event.data) for event in events if isinstance(event, Received)) == 30_000 * 1560


def drained(outbox, target):
    events = []
    while not (outbox.flush() and target.empty()):
        events += taken(target)
    return events


def test_what_is_too_much_is_dropped_counted_and_told(monkeypatch):
    monkeypatch.setattr(event_queue, "WAITING_BYTES", 10_000)
    target = queue.Queue(maxsize=1)
    outbox = Outbox(target, "board")
    for n in range(100):
        outbox.put([block(5 * n)])
    lost = outbox.lost
    assert lost > 0
    assert sum(len(event) for event in drained(outbox, target)) == 500 - lost
    outbox.put([block(1000)])
    notice, after = drained(outbox, target)
    assert (notice.kind, notice.count) == ("gap", lost)
    assert notice.text.startswith(f"{lost} readings of board were thrown away because nothing took them")
    assert after.value[0] == 1000


def test_joining_keeps_bytes_before_what_was_made_of_them_and_notices_in_their_place():
    notice = DeviceNotice(1.0, "restarted", "d", "t")
    joined = join_readings(
        [Received(1, b"a"), block(0), Received(2, b"b"), block(5), notice, Received(3, b"c"), block(10)]
    )
    assert [type(event) for event in joined] == [Received, Received, Readings, DeviceNotice, Received, Readings]
    np.testing.assert_array_equal(joined[2].value, np.arange(10))


def test_the_last_word_is_last_even_when_nobody_reads():
    target = queue.Queue(maxsize=2)
    outbox = Outbox(target)
    outbox.put([block(0), block(5), block(10)])
    outbox.put_last(SourceStopped(1.0, "d", "asked"), timeout=0.01)
    events = taken(target)
    assert [type(event) for event in events] == [Readings, Readings, Readings, SourceStopped]
