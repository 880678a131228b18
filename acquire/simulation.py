"""A whole simulated run as fast as the machine allows: the same bytes, decoder, session and file as at a bench."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from acquire.clocks import ManualClock
from acquire.rehearsal import OperatorLink, QueueSource
from acquire.run import Run
from acquire.session import Session, Sink
from drivers.decoding import make_decoder
from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Received
from sim.device import SimulatedBench
from sim.operator import ScriptedOperator
from sim.scenario import Scenario

SLICE = 0.5  # [s] of simulated time between two steps; decisions fall on whole seconds whatever it is
LONGEST = 4 * 3600.0  # [s] a scripted run that is not done by then never will be
DEVICE = "bench"


@dataclass
class SimulatedRun:
    """A session on a simulated bench, stepped by hand."""

    session: Session
    bench: SimulatedBench
    clock: ManualClock

    def until_closed(self, progress: Callable[[Session], None] | None = None) -> None:
        """Advance until the run is closed or `LONGEST` has passed, then end the session."""
        while self.session.alive and self.clock() < LONGEST:
            self.advance(SLICE)
            if progress is not None:
                progress(self.session)
        self.session.end()

    def advance(self, seconds: float) -> None:
        """Let the bench live for these seconds and take what it sent."""
        now = self.clock() + seconds
        data = self.bench.advance(now)
        self.clock.advance_to(now)
        if data:
            self._source.events.put(Received(now, data))
            for event in [*self._decoder.feed(data, now), *self._decoder.fell_silent()]:
                self._source.events.put(event)
        self.session.step()

    def __post_init__(self) -> None:
        self._source: QueueSource = self.session.source(DEVICE)  # type: ignore[assignment]
        self._decoder = make_decoder(load_profile(self.bench.profile), DEVICE)
        self._source.events.put(DeviceNotice(0.0, "opened", DEVICE, "simulated bench, bytes handed over directly"))


def simulated_run(
    scenario: Scenario, seed: int, run: Run, *, sink: Sink | None = None, path: str = "", operated: bool = True
) -> SimulatedRun:
    """A simulated bench, a session on it, and, if wanted, the scripted operator at it."""
    clock = ManualClock()
    bench = SimulatedBench(scenario, seed)
    link = OperatorLink(ScriptedOperator(bench.act, scenario, seed), clock) if operated else None
    session = Session(run, {DEVICE: QueueSource()}, clock=clock, sink=sink, path=path, after_step=link)
    return SimulatedRun(session, bench, clock)
