"""A source: everything that arrives comes out in order, and there is always a last word."""

import os
import queue
import threading
import tty

import numpy as np
import pytest

from drivers.checksums import xor8
from drivers.errors import PortMissingError
from drivers.gathering import PatientDecoder
from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Readings, Received, SourceStopped
from drivers.source import ReadingSource
from tests.drivers.scripted import ManualClock, ScriptedTransport

BENCH = load_profile("simulated-bench")


def sentence(milliseconds: int, temperature: float = 21.5, pressure: float = 101.325) -> bytes:
    body = f"SAT,{milliseconds},{temperature:.3f},{pressure:.3f}".encode()
    return b"$%s*%02X\r\n" % (body, xor8(body))


def events_of(source: ReadingSource) -> list:
    events = []
    while not events or not isinstance(events[-1], SourceStopped):
        events.append(source.events.get(timeout=5))
    return events


def played(*scripts, clock=None, give_up_after=1.0, profile=BENCH):
    """Run a source over scripted lines, one after another, until it ends by itself or the last is through."""
    clock = clock or ManualClock()
    lines = [ScriptedTransport(script) for script in scripts]
    waiting = list(lines)

    def open_port(url, profile, now):
        if not waiting:
            clock.move(10.0)
            raise PortMissingError(url, "gone")
        return waiting.pop(0)

    source = ReadingSource(
        profile, "scripted", now=clock, give_up_after=give_up_after, open_port=open_port, queue=queue.Queue()
    )
    source.start()
    while source.running and not lines[-1].finished:
        pass
    source.stop()
    return events_of(source), lines


def readings(events, channel="temperature"):
    blocks = [event for event in events if isinstance(event, Readings) and event.channel == channel]
    return np.concatenate([block.value for block in blocks]) if blocks else np.zeros(0)


def test_readings_come_out_in_kelvin_and_pascal():
    events, _ = played([b"", sentence(0, 21.5, 101.325), sentence(100, 21.6, 101.4)])
    np.testing.assert_allclose(readings(events), [294.65, 294.75])
    np.testing.assert_allclose(readings(events, "pressure"), [101325.0, 101400.0])


def test_the_bytes_go_out_before_what_was_made_of_them():
    events, _ = played([b"", sentence(0)])
    kinds = [type(event) for event in events]
    assert kinds == [DeviceNotice, Received, Readings, Readings, SourceStopped]


def test_the_last_word_says_that_it_was_asked_to_stop():
    events, (line,) = played([sentence(0)])
    assert events[-1].reason == "asked"
    assert line.closed


def test_a_stream_that_began_before_us_loses_its_torn_first_line_silently():
    events, _ = played([sentence(0)[9:] + sentence(100)])
    assert len(readings(events)) == 1
    assert [event.kind for event in events if isinstance(event, DeviceNotice)] == ["opened"]


def test_a_pulled_cable_is_told_and_the_first_reading_after_it_is_marked():
    events, lines = played([sentence(0), OSError(5, "Input/output error")], [b"", sentence(500)])
    told = [event.kind for event in events if isinstance(event, DeviceNotice)]
    assert told == ["opened", "lost", "reconnected"]
    assert len(readings(events)) == 2
    after = [event for event in events if isinstance(event, Readings)][-1]
    assert after.quality[0] == 16
    assert all(line.closed for line in lines)


def test_a_device_that_stays_away_ends_the_source():
    events, _ = played([sentence(0), OSError(5, "Input/output error")])
    assert events[-1].reason == "lost"


def test_silence_is_told_once():
    clock = ManualClock()
    events, _ = played([sentence(0)] + [lambda: clock.move(0.3), b""] * 30, clock=clock)
    silent = [event for event in events if isinstance(event, DeviceNotice) and event.kind == "silent"]
    assert len(silent) == 1
    assert silent[0].text.startswith("simulated-bench has said nothing for 3.0 s; expected readings;")


def test_a_port_that_cannot_be_opened_is_told_at_once_and_leaves_no_thread():
    source = ReadingSource(BENCH, "/dev/there-is-none", now=ManualClock())
    with pytest.raises(PortMissingError, match="there is no port '/dev/there-is-none'; expected"):
        source.start()
    assert not source.running
    assert isinstance(source.events.get_nowait(), SourceStopped)


def test_a_real_pseudo_terminal_gives_every_reading_and_its_end_ends_the_source():
    ours, theirs = os.openpty()
    tty.setraw(theirs)
    clock = ManualClock()
    source = ReadingSource(BENCH, os.ttyname(theirs), now=clock, give_up_after=0.0, queue=queue.Queue())
    source.start()
    os.write(ours, b"# simulated bench, firmware 1\r\n")
    for number in range(200):
        os.write(ours, sentence(100 * number, 20 + number / 1000))
    os.close(theirs)
    events = []
    while len(readings(events)) < 200:  # a line that is hung up drops what nobody has read yet
        events.append(source.events.get(timeout=5))
    clock.move(20.0)
    os.close(ours)
    while not isinstance(events[-1], SourceStopped):
        event = source.events.get(timeout=5)
        clock.move(1.0 if isinstance(event, DeviceNotice) else 0.0)
        events.append(event)
    source.stop()
    np.testing.assert_allclose(readings(events), 293.15 + np.arange(200) / 1000)


def test_a_slow_device_is_not_called_silent_between_its_readings():
    clock = ManualClock()
    slow = [item for n in range(6) for item in [sentence(10_000 * n), *[lambda: clock.move(0.5), b""] * 20]]
    events, _ = played(slow, clock=clock, profile=BENCH.model_copy(update={"rate": None}))
    assert [event.kind for event in events if isinstance(event, DeviceNotice)] == ["opened", "silent"]


def test_a_mistake_of_ours_still_ends_with_a_last_word(monkeypatch):
    seen = []
    monkeypatch.setattr(threading, "excepthook", seen.append)

    def broken():
        raise ZeroDivisionError("a mistake")

    events, (line,) = played([b"", sentence(0), broken])
    assert events[-1].reason == "something unforeseen: ZeroDivisionError: a mistake"
    assert line.closed
    assert len(seen) == 1


def test_two_sources_share_one_queue_and_each_has_its_last_word():
    shared = queue.Queue()
    clock = ManualClock()
    scripts = {"one": [b"", sentence(0, 20.0)], "two": [b"", sentence(0, 30.0)]}
    lines = {name: ScriptedTransport(script) for name, script in scripts.items()}
    sources = [
        ReadingSource(BENCH, name, now=clock, queue=shared, device=name, open_port=lambda url, *_: lines[url])
        for name in scripts
    ]
    for source in sources:
        source.start()
    while not all(line.finished for line in lines.values()):
        pass
    for source in sources:
        source.stop()
    events = list(shared.queue)
    assert sorted(readings(events).tolist()) == [pytest.approx(293.15), pytest.approx(303.15)]
    assert {event.device for event in events if isinstance(event, SourceStopped)} == {"one", "two"}


def test_the_start_and_stop_commands_are_sent():
    line = BENCH.line.model_copy(update={"start": "GO\r", "stop": "HALT\r"})
    _, (port,) = played([b"", sentence(0)], profile=BENCH.model_copy(update={"line": line}))
    assert bytes(port.written) == b"GO\rHALT\r"


def test_a_stopped_source_stays_stopped_while_the_device_is_away():
    clock = ManualClock()

    def open_port(url, profile, now):
        if lines:
            return lines.pop()
        raise PortMissingError(url, "gone")

    lines = [ScriptedTransport([OSError(5, "gone")])]
    source = ReadingSource(BENCH, "scripted", now=clock, give_up_after=None, open_port=open_port, queue=queue.Queue())
    source.start()
    while source.events.qsize() < 2:
        pass
    source.stop()
    assert events_of(source)[-1].reason == "asked"


@pytest.mark.parametrize("mistakes", [1, 2])
def test_one_mistake_of_the_decoder_costs_one_chunk_and_two_running_end_the_source(mistakes, monkeypatch):
    feed, left = PatientDecoder.feed, [mistakes]

    def stumbling(self, chunk, arrival):
        if b"22.000" in chunk or left[0] == 1 < mistakes:
            left[0] -= 1
            raise IndexError("deque index out of range")
        return feed(self, chunk, arrival)

    monkeypatch.setattr(PatientDecoder, "feed", stumbling)
    monkeypatch.setattr(threading, "excepthook", lambda args: None)  # what ends the source is told by its last word
    script = [b"", sentence(0), sentence(100, 22.0), sentence(200), sentence(300, 23.0)]
    events, _ = played(script)
    told = [event for event in events if isinstance(event, DeviceNotice) and event.kind == "rejected"]
    assert [event.count for event in told] == [1]
    assert "IndexError: deque index out of range" in told[0].text
    received = b"".join(event.data for event in events if isinstance(event, Received))
    if mistakes == 1:
        assert received == b"".join(script)  # every byte is kept
        assert readings(events)[-1] == pytest.approx(296.15)
        assert events[-1].reason == "asked"
    else:
        assert received == b"".join(script[:4])
        assert events[-1].reason == "something unforeseen: IndexError: deque index out of range"
