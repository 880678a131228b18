"""The session: queue in, journal and readings out, whatever the disk does."""

from __future__ import annotations

import threading

import pytest

from acquire import acts
from acquire.acts import Act
from acquire.clocks import ManualClock
from acquire.decisions import Decisions
from acquire.finding_words import told_refusal
from acquire.plan import RunPlan
from acquire.rehearsal import QueueSource
from acquire.run import ActRefused, Run
from acquire.runfile.errors import WriteFailedError
from acquire.session import Session, SessionRunner
from analysis.liquids import load_liquid
from drivers.readings import DeviceNotice, Received, SourceStopped
from tests.acquire.formula_bench import FormulaBench


class Sink:
    """Keeps what it is given, until it is told to fail."""

    def __init__(self) -> None:
        self.rows, self.entries, self.bytes, self.flushed = 0, [], b"", 0
        self.broken = False

    def _maybe(self) -> None:
        if self.broken:
            raise WriteFailedError("run.h5", "writing", "No space left on device")

    def append(self, readings, device) -> None:
        self._maybe()
        self.rows += len(readings)

    def append_entries(self, entries) -> None:
        self._maybe()
        self.entries += entries

    def append_received(self, received, device) -> None:
        self._maybe()
        self.bytes += received.data

    def flush(self) -> None:
        self._maybe()
        self.flushed += 1


def make(sink: Sink | None = None) -> tuple[Session, QueueSource, ManualClock, FormulaBench]:
    clock, source, real = ManualClock(), QueueSource(), ManualClock()
    run = Run(RunPlan(), load_liquid("n-heptane"))
    session = Session(run, {"box": source}, clock=clock, sink=sink, path="run.h5", real_time=real)
    session.start()
    return session, source, clock, FormulaBench()


def live(session: Session, source: QueueSource, clock: ManualClock, bench: FormulaBench, seconds: int) -> None:
    for _ in range(seconds):
        for block in bench.readings(1.0):
            source.events.put(block)
        clock.advance_to(bench.time)
        session.step()


def test_everything_that_came_is_written_and_shown() -> None:
    sink = Sink()
    session, source, clock, bench = make(sink)
    source.events.put(DeviceNotice(0.0, "opened", "box", "open"))
    source.events.put(Received(0.0, b"$SAT"))
    live(session, source, clock, bench, 10)
    assert sink.rows == 2 * 10 * 5
    assert sink.bytes == b"$SAT"
    assert [entry.kind for entry in sink.entries] == ["device"]
    snapshot = session.snapshot()
    assert snapshot.file.readings == 100
    assert snapshot.file.writing
    assert snapshot.channels["pressure"].silent < 1.0
    assert snapshot.devices == (("box", "open", "open"),)
    times, values = session.trace("temperature", 40)
    assert len(times) == len(values) == 10


def test_an_act_is_on_the_disk_at_once() -> None:
    sink = Sink()
    session, source, clock, bench = make(sink)
    live(session, source, clock, bench, 2)
    session.act(Act(acts.BEGIN))
    assert [entry.kind for entry in sink.entries] == ["act", "stage"]
    assert sink.flushed == 1


def test_a_refused_act_changes_and_writes_nothing() -> None:
    sink = Sink()
    session, *_ = make(sink)
    with pytest.raises(ActRefused):
        session.act(Act(acts.CHARGED))
    assert sink.entries == []


def test_a_full_disk_is_told_and_the_run_goes_on() -> None:
    sink = Sink()
    session, source, clock, bench = make(sink)
    live(session, source, clock, bench, 3)
    sink.broken = True
    live(session, source, clock, bench, 3)
    assert "No space left on device" in session.snapshot().file.trouble
    assert not session.snapshot().file.writing
    assert session.store.count("pressure") == 30
    session.act(Act(acts.BEGIN))
    assert session.run.stage == "room baseline"


def test_the_last_word_of_a_source_ends_the_session_and_is_journalled() -> None:
    session, source, _, _ = make()
    source.events.put(SourceStopped(1.0, "box", "lost"))
    assert session.alive
    session.step()
    assert not session.alive
    assert session.run.journal[-1].text == "box stopped: lost"
    session.end()
    assert session.run.closed


def test_where_one_source_cannot_start_the_others_are_stopped() -> None:
    class Stubborn(QueueSource):
        def start(self) -> None:
            raise OSError("no such port")

    class Willing(QueueSource):
        stopped = False

        def stop(self) -> None:
            self.stopped = True

    willing = Willing()
    run = Run(RunPlan(), None)
    session = Session(run, {"a": willing, "b": Stubborn()}, clock=ManualClock())
    with pytest.raises(OSError, match="no such port"):
        session.start()
    assert willing.stopped


def test_the_runner_steps_until_the_run_is_closed_and_leaves_no_thread() -> None:
    session, source, _, _ = make()
    stepped = threading.Event()
    runner = SessionRunner(session, lambda _seconds: stepped.set())
    runner.start()
    assert stepped.wait(5.0)
    source.events.put(SourceStopped(1.0, "box", "end of stream"))
    runner.stop()
    assert not runner.running
    assert session.run.closed


def test_two_boxes_with_one_channel_each_stand_on_one_time_axis() -> None:
    sink, clock, bench = Sink(), ManualClock(), FormulaBench()
    probe, gauge = QueueSource(), QueueSource()
    run = Run(RunPlan(), load_liquid("n-heptane"))
    session = Session(run, {"probe": probe, "gauge": gauge}, clock=clock, sink=sink)
    session.start()
    for _ in range(8):
        temperature, pressure = bench.readings(1.0)
        probe.events.put(temperature)
        gauge.events.put(pressure)
        clock.advance_to(bench.time)
        session.step()
    assert [trace.device for trace in session.store.traces().values()] == ["probe", "gauge"]
    assert all(block.n_temperature == block.n_pressure == 5 for block in run.blocks)
    probe.events.put(SourceStopped(8.0, "probe", "lost"))
    session.step()
    assert session.alive, "the other box goes on"
    assert [(name, state) for name, state, _ in session.snapshot().devices] == [
        ("probe", "closed"),
        ("gauge", "opening"),
    ]


def test_why_a_fit_gave_nothing_is_told_however_much_was_journalled_since(monkeypatch) -> None:
    session, *_ = make()
    monkeypatch.setattr("acquire.decisions.RESULT_FROM", 0)
    Decisions(session.run, concludes=True).refit()  # no point: the fit refuses
    assert session.run.result is None
    told = session.run.journal.of_kind("result")[-1].data["refused"]
    assert told
    for number in range(80):
        session.act(Act(acts.NOTE, data={"text": f"note {number}"}))
    assert all(entry.kind != "result" for entry in session.snapshot().journal_tail)
    assert session.snapshot().refused == told
    facts = session.run.journal.of_kind("result")[-1].data["refusal"]
    assert session.snapshot().refusal == facts
    assert told_refusal(facts) == told
    assert "geschlossene" in told_refusal(facts, "de")


def test_a_session_that_is_stuck_still_lets_its_ports_go(monkeypatch) -> None:
    monkeypatch.setattr("acquire.session.PATIENCE", 0.05)
    stuck, go_on = threading.Event(), threading.Event()

    class Port(QueueSource):
        stopped = 0

        def stop(self) -> None:
            self.stopped += 1

    def hold(session: Session) -> None:
        stuck.set()
        go_on.wait(20.0)

    port = Port()
    session = Session(Run(RunPlan(), None), {"box": port}, clock=ManualClock(), after_step=hold)
    runner = SessionRunner(session, lambda _seconds: None)
    runner.start()
    assert stuck.wait(20.0)
    with pytest.raises(RuntimeError, match="did not end within"):
        runner.stop()
    assert port.stopped == 1
    go_on.set()
    monkeypatch.setattr("acquire.session.PATIENCE", 20.0)
    runner.stop()
    assert session.run.closed
