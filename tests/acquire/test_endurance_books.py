"""The books of the endurance run find each kind of loss, and call no loss what a mishap of the line explains."""

import os
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import pytest

from acquire.journal import Journal
from acquire.record import Trace
from acquire.runfile.reader import CHANNEL_UNIT
from drivers.decoding import make_decoder
from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Readings, Received, joined
from sim.device import SimulatedBench
from sim.scenario import load_scenario

pytest.importorskip("termios")
from tests.benchmarks import endurance_books as books

CALM = Path(__file__).parents[2] / "sim" / "scenarios" / "calm.toml"
MISHAPS = """
[[mishaps]]
kind = "noisy_line"
after_s = 20
for_s = 20
lines_percent = 20

[[mishaps]]
kind = "cable_pulled"
after_s = 60
for_s = 5

[[mishaps]]
kind = "device_restarts"
after_s = 90
for_s = 5
"""


@dataclass
class Recorded:
    sent: list[books.Sent]
    line: books.WatchedLine
    chunks: list[Received] = field(default_factory=list)
    blocks: dict[str, list[Readings]] = field(default_factory=dict)
    journal: Journal = field(default_factory=Journal)

    def take(self, decoded):
        for item in decoded:
            if isinstance(item, DeviceNotice):
                data = {"device": item.device, "event": item.kind, "count": item.count}
                self.journal.append(
                    time=item.time, block=0, kind="device", actor="device", given=True, text="", data=data
                )
            else:
                self.blocks.setdefault(item.channel, []).append(item)

    def traces(self):
        out = {}
        for channel, blocks in self.blocks.items():
            one = joined(blocks)
            out[channel] = Trace(channel, CHANNEL_UNIT[channel], one.time, one.value, one.raw, one.quality)
        return out

    def balance(self, traces=None):
        return books.balance(self.sent, self.line, self.chunks, traces or self.traces(), list(self.journal))


def read(port: int | None) -> bytes:
    try:
        return b"" if port is None else os.read(port, 1 << 16)
    except BlockingIOError:
        return b""


@pytest.fixture(scope="module")
def recorded(tmp_path_factory):
    """Two minutes of a bench whose line is noisy and pulled, read as a recorder does: late after each opening."""
    scenario = tmp_path_factory.mktemp("scenario") / "mishaps.toml"
    scenario.write_text(CALM.read_text(encoding="utf-8") + MISHAPS, encoding="utf-8")
    bench = SimulatedBench(load_scenario(str(scenario)), seed=5)
    run = Recorded(books.watch(bench), books.WatchedLine())
    decoder = make_decoder(load_profile(bench.profile), joined_midway=True)
    port: int | None = None
    opens_at = 3.0
    for step in range(1, 481):
        now = step / 4
        run.line.send(bench.advance(now))
        if not bench.plugged_in and port is not None:  # what has not been read by now is gone
            run.line.hang_up()
            os.close(port)
            port, opens_at = None, now + 10
            run.take(decoder.close(now))
            decoder.begin(joined_midway=True, after_gap=True)
        elif bench.plugged_in:
            run.line.plug_in()
        if port is None and now >= opens_at:
            port = os.open(run.line.url, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
        if step % 2 and (data := read(port)):
            run.chunks.append(Received(now, data))
            run.take(decoder.feed(data, now))
    run.take(decoder.close(now))
    yield run
    if port is not None:
        os.close(port)
    run.line.close()


def test_every_frame_has_a_fate_that_a_mishap_explains(recorded):
    found = recorded.balance()
    assert found.bad == 0, found.examples
    assert found.fates.total() == len(recorded.sent)
    assert found.fates[books.RECORDED] == len(joined(recorded.blocks["temperature"]))
    assert found.fates[books.BEFORE] > 10
    assert found.fates[books.NOBODY] > 10
    assert found.fates[books.DROPPED_LAST] > 0
    assert found.fates[books.SPOILT] > 10
    assert found.holes == 1  # a device that restarts sends nothing that could be missing


def test_the_recorder_tells_how_many_it_refused(recorded):
    found = recorded.balance()
    # Two frames that were joined are one that was refused; a frame cut in two is two.
    refused = found.fates[books.SPOILT] + found.fates[books.NEIGHBOUR]
    assert 0.8 * refused <= found.refused <= 1.2 * refused


def changed(traces, **columns):
    return {name: replace(trace, **{key: make(getattr(trace, key)) for key, make in columns.items()})
            for name, trace in traces.items()}  # fmt: skip


def test_a_reading_that_is_missing_in_the_file_is_found(recorded):
    without = {key: lambda column: np.delete(column, 700) for key in ("time", "value", "raw", "quality")}
    assert recorded.balance(changed(recorded.traces(), **without)).fates[books.LOST] == 1


def test_a_gap_that_is_not_marked_is_found(recorded):
    found = recorded.balance(changed(recorded.traces(), quality=np.zeros_like))
    assert found.fates[books.UNTOLD] == found.fates[books.NOBODY] + found.fates[books.DROPPED_LAST]


def test_a_reading_that_nobody_sent_is_found(recorded):
    added = {key: lambda column: np.append(column, column[-1:]) for key in ("time", "value", "raw", "quality")}
    assert recorded.balance(changed(recorded.traces(), **added)).fates[books.UNSENT] == 1


def test_bytes_that_nobody_sent_are_found(recorded):
    more = [*recorded.chunks, Received(200.0, b"nobody sent this")]
    found = books.balance(recorded.sent, recorded.line, more, recorded.traces(), list(recorded.journal))
    assert found.fates[books.INVENTED] == 16


def test_bytes_that_went_missing_while_the_line_stood_are_found(recorded):
    less = [*recorded.chunks[:150], *recorded.chunks[151:]]
    found = books.balance(recorded.sent, recorded.line, less, recorded.traces(), list(recorded.journal))
    assert found.fates[books.DROPPED_WITHIN] > 0


def test_what_goes_apart_is_joined_again():
    frames = [[float(n % 7), float(n % 5)] for n in range(400)]
    rows = [*frames[:100], [9.0, 9.0], *frames[100:200], *frames[230:]]
    found: list[tuple[int, int]] = []
    strange = list(books.unmatched(rows, frames, lambda row, place: found.append((row, place))))
    assert strange == [(100, [9.0, 9.0])]
    assert [place for _, place in found] == [*range(200), *range(230, 400)]


def test_a_frame_is_read_as_devices_may_write_it():
    assert books.numbers_of(b"$SAT,1100,21.513,101.325*5A\r\n") == [21.513, 101.325]
    assert books.numbers_of(b"$SAT,1100,21.513,101.325*5a\r") == [21.513, 101.325]  # a bit turned in the letter
    assert books.numbers_of(b"$SAT,1100,21.514,101.325*5A\r\n") is None
    assert books.numbers_of(b"AT,1100,21.513,101.325*5A\r\n") is None
