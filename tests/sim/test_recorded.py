"""A recording played again: the same bytes at the same times, acts noted and without effect."""

from __future__ import annotations

import pytest

from sim.device import BenchAct, SimulatedBench
from sim.errors import BenchActError
from sim.recorded import RecordedBench
from sim.scenario import load_scenario
from sim.virtual_port import VirtualPort


def recording() -> list[tuple[float, bytes]]:
    bench = SimulatedBench(load_scenario("calm"), 1)
    return [(t, bench.advance(t)) for t in (0.5, 1.0, 1.5, 2.0)]


def test_bytes_come_when_they_came() -> None:
    records = recording()
    bench = RecordedBench(records, "simulated-bench")
    assert bench.advance(1.2) == records[0][1] + records[1][1]
    assert bench.advance(1.4) == b""
    assert bench.advance(9.0) == records[2][1] + records[3][1]
    assert bench.end == 2.0


def test_acts_are_noted_and_change_nothing() -> None:
    bench = RecordedBench(recording(), "simulated-bench")
    bench.advance(0.7)
    bench.act(BenchAct("pour", 60e-6, 343.15))
    assert bench.acts == [(0.7, BenchAct("pour", 60e-6, 343.15))]
    assert bench.advance(2.0) == b"".join(data for _, data in recording()[1:])


def test_a_recording_plays_on_a_virtual_port() -> None:
    port = VirtualPort(RecordedBench(recording(), "simulated-bench"), lambda: 5.0, kind="loop")
    port.start()
    port.act(BenchAct("swirl"))
    port.stop()
    assert port.line.read() == b"".join(data for _, data in recording())  # type: ignore[union-attr]


def test_time_does_not_go_back_in_a_recording() -> None:
    bench = RecordedBench(recording(), "simulated-bench")
    bench.advance(1.0)
    with pytest.raises(ValueError, match="time cannot go back"):
        bench.advance(0.5)


def test_bytes_out_of_order_are_refused() -> None:
    with pytest.raises(BenchActError, match="found bytes of 1 s after those of 2 s; expected the oldest first"):
        RecordedBench([(2.0, b"b"), (1.0, b"a")], "simulated-bench")
