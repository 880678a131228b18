"""Puts a recorder together from an order: devices, simulated ones included, session, raw journal and run file."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from acquire.acts import Act
from acquire.clocks import RunClock, wait, wall_clock_iso
from acquire.feed import GRACE
from acquire.journal import Entry
from acquire.live import RECORDED, SIMULATED, begin_by_itself, profiles_of
from acquire.own_liquids import find_liquid
from acquire.plan import stored_plan
from acquire.record import RunRecord
from acquire.recorder_messages import Finished, RecorderOrder
from acquire.recorder_room import default_fallbacks
from acquire.recorder_sink import RecordingSink
from acquire.rehearsal import OperatorLink
from acquire.rehearsal_pace import Pace
from acquire.run import Run
from acquire.runfile.layout import RunHeader
from acquire.session import Session, SessionRunner
from acquire.snapshot import Snapshot
from acquire.stored_rehearsal import OnlyDecisions, StoredActs, stored_rehearsal
from drivers.device_name import parse_device
from drivers.errors import PortError
from drivers.profile import load_profile
from drivers.source import ReadingSource
from sim.device import SimulatedBench
from sim.operator import ScriptedOperator
from sim.scenario import load_scenario
from sim.virtual_port import VirtualPort

AfterStep = Callable[[Session], None]
EMPTY: dict[str, Any] = {"profile_texts": {}, "devices": {}}


class RecordedRun:
    """A run that is recorded: from `start` to `finish`, whoever looks on.

    Threads: every method may be called from any thread after `start`.
    """

    def __init__(self, order: RecorderOrder) -> None:
        self._stored = stored_rehearsal(order.devices)  # reading it takes time, which is not of the run
        # Opening a line takes some tenths of a second: a minute of a fast rehearsal, which nobody would have heard.
        self._clock = RunClock(
            order.speed, held=all(device.startswith((SIMULATED, RECORDED)) for device in order.devices)
        )
        header = RunHeader.from_dict({**order.header, "start_time": wall_clock_iso()})
        self.sink = RecordingSink(
            order.path, header, fallbacks=order.fallbacks or default_fallbacks(Path(order.path).parent)
        )
        self._ports: list[VirtualPort] = []
        self._bench: SimulatedBench | None = None
        self._lock = threading.Lock()
        self._finished: Finished | None = None
        self._debriefed = order.debriefed
        link: AfterStep | None = begin_by_itself if order.begin else None
        sources: dict[str, ReadingSource] = {}
        for name, device in zip(profiles_of(order.devices), order.devices, strict=True):
            profile, url, operator = self._device(device, order)
            sources[name] = ReadingSource(
                load_profile(profile),
                url,
                now=self._clock,
                device=name,
                queue=self.sink.queue_for(name),
                give_up_after=order.give_up_after,
            )
            link = operator or link
        plan = stored_plan(order.plan)
        liquid = find_liquid(plan.liquid)
        self.session = Session(
            Run(plan, liquid, grace=GRACE * max(order.speed, 1.0)),
            sources,
            clock=self._clock,
            sink=self.sink,
            path=order.path,
            after_step=self._telling(link),
        )
        if isinstance(link, StoredActs):
            link.watch(self.session.run)
        self.sink.remember_with(lambda: (self.session.store.traces(), list(self.session.run.journal)))
        self._pace = Pace(self.session, self._clock, changeable=len(self._ports) == len(order.devices))
        self._runner = SessionRunner(self.session, wait)
        self._acting: Any = self.session
        if self._stored is not None:
            self._acting = OnlyDecisions(self.session)
        elif order.hands and self._ports:
            from acquire.commands.hands import HandsOnBench

            self._acting = HandsOnBench(self.session, self._ports[0].act)

    def _device(self, device: str, order: RecorderOrder) -> tuple[str, str, AfterStep | None]:
        """Profile and URL of a device, and what follows the steps of a simulated one."""
        if self._stored is not None:
            port = VirtualPort(self._stored.bench, self._clock)
            self._ports.append(port)
            return self._stored.bench.profile, port.url, StoredActs(self._stored.record, self._clock)
        if not device.startswith(SIMULATED):
            return *parse_device(device), None
        scenario = load_scenario(device[len(SIMULATED) :])
        self._bench = SimulatedBench(scenario, order.seed)
        port = VirtualPort(self._bench, self._clock)
        self._ports.append(port)
        operator = None
        if order.operated:
            operator = OperatorLink(ScriptedOperator(port.act, scenario, order.seed), self._clock)
        return self._bench.profile, port.url, operator

    def _telling(self, link: AfterStep | None) -> AfterStep:
        def after_step(session: Session) -> None:
            session.trouble = self.sink.trouble
            if link is not None:
                link(session)

        return after_step

    def start(self) -> None:
        """Begin to read.

        Raises
        ------
        drivers.errors.PortError
            A port cannot be opened; everything is stopped again and no file is left behind.
        """
        for port in self._ports:
            port.start()
        try:
            self._runner.start()
        except PortError:
            for port in self._ports:
                port.stop()
            self.sink.discard()
            raise
        self._clock.begin()

    def pace(self, change: str | None = None) -> float | None:
        """Speed of time, after this change; None where a real device sets the time."""
        return self._pace(change)

    @property
    def running(self) -> bool:
        """Whether anything may still come."""
        return self._runner.running

    def act(self, act: Act) -> None:
        self._acting.act(act)

    def snapshot(self) -> Snapshot:
        return self._acting.snapshot()

    def trace(self, channel: str, since: int = 0) -> tuple[Any, Any]:
        return self._acting.trace(channel, since)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        return self._acting.entries(since)

    def finish(self) -> Finished:
        """Close the run and its file; again and from other threads it gives the same answer."""
        with self._lock:
            if self._finished is None:
                self._finished = self._finish()
            return self._finished

    def _finish(self) -> Finished:
        try:
            self._runner.stop()
        finally:
            for port in self._ports:
                port.stop()
        run = self.session.run
        results = [run.result] if run.result is not None else []
        path = self.sink.close(wall_clock_iso(), run.points, run.baselines, results, self._truth())
        return Finished(str(path), self.sink.trouble)

    def _truth(self) -> dict[str, Any] | None:
        """The truth of a simulated bench, with the debrief where one is wanted."""
        if self._stored is not None:
            from acquire.stored_debrief import truth_of_stored

            return truth_of_stored(self._own_record(), self.session.run, self._stored.record)
        if self._bench is None:
            return None
        truth = self._bench.truth.as_dict()
        if self._debriefed:
            from acquire.debrief import make_debrief

            run = self.session.run
            truth["debrief"] = make_debrief(self._own_record(), run, self._bench, run.liquid)
        return truth

    def _own_record(self) -> RunRecord:
        return self.session.record(dict.fromkeys(("plan_text", "start_time", "end_time", "program"), "") | EMPTY)
