"""A run on devices that speak in real time, simulated ones included: made, started and closed in the right order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from acquire import acts, stages
from acquire.acts import Act
from acquire.clocks import RunClock, wait, wall_clock_iso
from acquire.feed import GRACE
from acquire.journal import PROGRAM
from acquire.plan import RunPlan
from acquire.rehearsal import OperatorLink
from acquire.run import Run
from acquire.runfile.errors import RunFileError
from acquire.runfile.layout import RunHeader
from acquire.runfile.writer import RunFileWriter
from acquire.session import Session, SessionRunner
from analysis.liquids import Liquid
from drivers.device_name import parse_device
from drivers.errors import PortError
from drivers.profile import load_profile
from drivers.source import ReadingSource
from sim.device import SimulatedBench
from sim.operator import ScriptedOperator
from sim.scenario import load_scenario
from sim.virtual_port import VirtualPort

SIMULATED = "sim:"


@dataclass
class LiveRun:
    """A session on live devices with its run file.

    `start` begins reading; `finish` ends everything in the right order and always leaves the file as good as the
    disk allows.
    """

    session: Session
    runner: SessionRunner
    clock: RunClock
    writer: RunFileWriter | None
    ports: list[VirtualPort] = field(default_factory=list)
    bench: SimulatedBench | None = None
    debriefed: bool = False  # hold the run against the bench's truth when it is closed

    def start(self) -> None:
        """Begin to read.

        Raises
        ------
        drivers.errors.PortError
            A port cannot be opened; everything is stopped again and the empty run file is gone.
        """
        for port in self.ports:
            port.start()
        try:
            self.runner.start()
        except PortError:
            for port in self.ports:
                port.stop()
            if self.writer is not None:
                self.writer.abandon()
                self.writer.path.unlink(missing_ok=True)
            raise

    @property
    def running(self) -> bool:
        return self.runner.running

    def finish(self) -> str:
        """Close the run and its file.  Returns what was wrong with the file, as a sentence, or nothing."""
        try:
            self.runner.stop()
        finally:
            for port in self.ports:
                port.stop()
        if self.writer is None or self.writer.closed:
            return self.session.trouble
        if self.session.trouble:
            self.writer.abandon()
            return self.session.trouble
        run = self.session.run
        truth = self._truth()
        results = [run.result] if run.result is not None else []
        try:
            self.writer.close(wall_clock_iso(), run.points, run.baselines, results, truth)
        except RunFileError as error:
            return str(error)
        return ""


    def _truth(self) -> dict[str, Any] | None:
        """The truth of a simulated bench, with the debrief where one is wanted."""
        if self.bench is None:
            return None
        truth = self.bench.truth.as_dict()
        if self.debriefed:
            from acquire.debrief import make_debrief

            run = self.session.run
            record = self.session.record(
                {
                    "plan_text": "",
                    "profile_texts": {},
                    "devices": {},
                    "start_time": "",
                    "end_time": "",
                    "program": "",
                }
            )
            truth["debrief"] = make_debrief(record, run, self.bench, run.liquid)
        return truth


def profiles_of(devices: Sequence[str]) -> dict[str, str]:
    """Device name -> profile name or path, for the header of the run file."""
    return {
        _device_name(index, devices): load_scenario(text[len(SIMULATED) :]).device.profile
        if text.startswith(SIMULATED)
        else parse_device(text)[0]
        for index, text in enumerate(devices)
    }


def _device_name(index: int, devices: Sequence[str]) -> str:
    return "device" if len(devices) == 1 else f"device {index + 1}"


def live_run(
    plan: RunPlan,
    liquid: Liquid | None,
    devices: Sequence[str],
    *,
    path: Path | None,
    header: Callable[[str], RunHeader],
    speed: float = 1.0,
    seed: int = 0,
    operated: bool = False,
    begin: bool = False,
    give_up_after: float | None = None,
) -> LiveRun:
    """Make a run on these devices; nothing is opened or started yet, except that the run file is made.

    Parameters
    ----------
    devices
        `PROFILE@PORT`, or `sim:SCENARIO` for a simulated bench on a virtual serial port.
    header
        Makes the header of the run file from the start time.
    speed
        Run seconds per real second; above 1 only with simulated devices.
    operated
        Whether the scripted operator works at the simulated bench; otherwise somebody does it by acts.
    begin
        Leave the set-up by itself as soon as readings come.
    give_up_after
        How long a lost device is waited for; None: for ever.  [s]
    """
    clock = RunClock(speed)
    sources: dict[str, ReadingSource] = {}
    ports: list[VirtualPort] = []
    bench: SimulatedBench | None = None
    link: OperatorLink | None = None

    def source(name: str, profile: str, url: str) -> ReadingSource:
        return ReadingSource(load_profile(profile), url, now=clock, device=name, give_up_after=give_up_after)

    for index, text in enumerate(devices):
        name = _device_name(index, devices)
        if text.startswith(SIMULATED):
            scenario = load_scenario(text[len(SIMULATED) :])
            bench = SimulatedBench(scenario, seed)
            port = VirtualPort(bench, clock)
            ports.append(port)
            sources[name] = ReadingSource(
                load_profile(bench.profile), port.url, now=clock, device=name, give_up_after=give_up_after
            )
            if operated:
                link = OperatorLink(ScriptedOperator(port.act, scenario, seed), clock)
        else:
            profile, url = parse_device(text)
            sources[name] = ReadingSource(
                load_profile(profile), url, now=clock, device=name, give_up_after=give_up_after
            )
    writer = RunFileWriter(path, header(wall_clock_iso())) if path is not None else None
    run = Run(plan, liquid, grace=GRACE * max(speed, 1.0))
    after_step = link if link is not None else begin_by_itself if begin else None
    session = Session(run, sources, clock=clock, sink=writer, path=str(path or ""), after_step=after_step)
    return LiveRun(session, SessionRunner(session, wait), clock, writer, ports, bench)


def begin_by_itself(session: Session) -> None:
    """Leave the set-up once the first readings are there."""
    if session.run.stage == stages.SET_UP and session.run.blocks:
        session.act(Act(acts.BEGIN, PROGRAM))
