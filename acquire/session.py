"""The session: sources, run and run file joined on one thread; what a window or a terminal talks to."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Mapping
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from acquire import acts
from acquire.acts import Act
from acquire.clocks import Clock, real_seconds
from acquire.journal import PROGRAM, Entry
from acquire.record import RunRecord
from acquire.run import Run
from acquire.runfile.errors import RunFileError
from acquire.snapshot import Snapshot
from acquire.snapshots import DeviceLife, make_snapshot
from acquire.trace_store import TraceStore
from drivers.readings import DeviceNotice, Readings, Received, SourceStopped

FLUSH_EVERY = 1.0  # [s] of real time: at most this much is lost when the machine stops
STEP_EVERY = 0.02  # [s] of real time between two looks into the queues


class Source(Protocol):
    """What a session reads from: see `drivers.source.ReadingSource`."""

    @property
    def events(self) -> queue.Queue[Any]: ...

    def start(self) -> None: ...

    def stop(self) -> None: ...


class Sink(Protocol):
    """Where a session records: see `acquire.runfile.writer.RunFileWriter`."""

    def append(self, readings: Readings, device: str) -> None: ...

    def append_entries(self, entries: Any) -> None: ...

    def append_received(self, received: Received, device: str) -> None: ...

    def flush(self) -> None: ...


class Session:
    """One run being recorded.

    Parameters
    ----------
    run
        The state machine that decides.
    sources
        Device name -> source.
    clock
        Run time, the same that the sources stamp with.  [s]
    sink
        The run file, or None to keep the run in memory only.
    after_step
        Called at the end of each step with the session, on the session's thread; a scripted operator acts here.

    Threads: `step` is called by one thread at a time (the runner's, or a test's).  `act`, `snapshot`, `trace` and
    `entries` may be called from any thread; one lock makes each of them whole.
    """

    def __init__(
        self,
        run: Run,
        sources: Mapping[str, Source],
        *,
        clock: Clock,
        sink: Sink | None = None,
        path: str = "",
        real_time: Callable[[], float] = real_seconds,
        after_step: Callable[[Session], None] | None = None,
    ) -> None:
        self.run, self.clock, self.path = run, clock, path
        self.store = TraceStore()
        self.devices = {name: DeviceLife() for name in sources}
        self.trouble = ""  # what is wrong with the file, as a sentence
        self.journal_written = 0
        self._sources = dict(sources)
        self._sink = sink
        self._real_time = real_time
        self._after_step = after_step
        self._flushed_at = real_time()
        self._running = set(sources)
        self._lock = threading.RLock()

    # The life of the session

    def start(self) -> None:
        """Start every source, or none: where one cannot start, those before it are stopped again."""
        started: list[Source] = []
        try:
            for source in self._sources.values():
                source.start()
                started.append(source)
        finally:
            if len(started) < len(self._sources):
                for source in started:
                    source.stop()

    def source(self, device: str) -> Source:
        """The source of this device."""
        return self._sources[device]

    @property
    def alive(self) -> bool:
        """Whether anything may still come: a source runs and the run is not closed."""
        return bool(self._running) and not self.run.closed

    def step(self) -> None:
        """Take what the sources have, decide, write."""
        with self._lock:
            for device, source in self._sources.items():
                self._drain(device, source)
            self.run.proceed()
            if self._after_step is not None:
                self._after_step(self)
            self._write_journal()
            if self._real_time() - self._flushed_at >= FLUSH_EVERY:
                self.flush()

    def run_until_done(self, wait: Callable[[float], None], stop: threading.Event | None = None) -> None:
        """Step until the run is closed, every source has stopped, or `stop` is set."""
        while self.alive and not (stop is not None and stop.is_set()):
            self.step()
            wait(STEP_EVERY)
        self.step()

    def stop_sources(self) -> None:
        """No port is read any more; what they had stays to be taken.  Once more does no harm."""
        for source in self._sources.values():
            source.stop()

    def end(self) -> None:
        """Stop the sources, take what they still had, close the run."""
        self.stop_sources()
        with self._lock:
            for device, source in self._sources.items():
                self._drain(device, source)
            self.run.proceed()
            if not self.run.closed:
                self.run.act(Act(acts.FINISH, PROGRAM), self.clock())
            self._write_journal()
            self.flush()

    # What may be asked from any thread

    def act(self, act: Act) -> None:
        """Do what was asked for, now.

        Raises
        ------
        acquire.run.ActRefused
            It is not possible now; nothing has changed.
        """
        with self._lock:
            self.run.act(act, self.clock())
            self._write_journal()
            self.flush()

    def snapshot(self) -> Snapshot:
        with self._lock:
            return make_snapshot(self)

    def trace(self, channel: str, since: int = 0) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Times [s] and values [SI] of a channel's readings from this index on; NaN where a reading is unusable."""
        with self._lock:
            return self.store.since(channel, since)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Journal entries with this number and above."""
        with self._lock:
            return tuple(self.run.journal.since(since))

    def record(self, header: Mapping[str, Any]) -> RunRecord:
        """The run so far as plain data, with these further fields of `RunRecord`."""
        with self._lock:
            run = self.run
            results = (dict(run.result),) if run.result is not None else ()
            return RunRecord(
                title=run.plan.title,
                plan=run.plan.model_dump(mode="json"),
                traces=self.store.traces(),
                journal=tuple(run.journal),
                baselines=run.baselines,
                points=run.points,
                results=results,
                path=self.path,
                **header,
            )

    # Inside

    def _drain(self, device: str, source: Source) -> None:
        while True:
            try:
                event = source.events.get_nowait()
            except queue.Empty:
                return
            self.take(device, event)

    def take(self, device: str, event: Any) -> None:
        """Take one event of a source."""
        life = self.devices[device]
        if isinstance(event, Readings):
            marked = self.run.feed(event)
            self.store.append(marked, device)
            life.last_reading = float(event.time[-1]) if len(event) else life.last_reading
            self._write(lambda sink: sink.append(marked, device))
        elif isinstance(event, Received):
            self._write(lambda sink: sink.append_received(event, device))
        elif isinstance(event, DeviceNotice):
            life.see(event)
            self.run.notice(event)
        elif isinstance(event, SourceStopped):
            life.stopped(event)
            self._running.discard(device)
            self.run.notice(DeviceNotice(event.time, "closed", device, f"{device} stopped: {event.reason}"))

    def _write_journal(self) -> None:
        entries = self.run.journal.since(self.journal_written)
        if entries:
            self.journal_written += len(entries)
            self._write(lambda sink: sink.append_entries(entries))

    def flush(self) -> None:
        """Put everything taken so far on the disk."""
        self._flushed_at = self._real_time()
        self._write(lambda sink: sink.flush())

    def _write(self, doing: Callable[[Sink], None]) -> None:
        """The readings stay in memory whatever the disk does; the trouble is told and recording goes on."""
        if self._sink is None:
            return
        try:
            doing(self._sink)
        except RunFileError as error:
            self.trouble = str(error)
            self._sink = None


#: One step may have minutes of a fast rehearsal to judge, on a machine that is busy with other things.  [s]
PATIENCE = 60.0


class SessionRunner:
    """Steps a session on a thread of its own until it is done.

    Threads: `_loop` is the only code on the runner's thread.  `stop` may be called from any other thread.
    """

    def __init__(self, session: Session, wait: Callable[[float], None]) -> None:
        self._session, self._wait = session, wait
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._loop, name="satline session")

    def start(self) -> None:
        self._session.start()
        self._thread.start()

    def _loop(self) -> None:
        self._session.run_until_done(self._wait, self._stop)

    @property
    def running(self) -> bool:
        return self._thread.is_alive()

    def stop(self) -> None:
        """Stop stepping and close the run.

        Raises
        ------
        RuntimeError
            The thread did not end within `PATIENCE`.
        """
        self._stop.set()
        try:
            # First, whatever the session's thread does: a source that reads on would keep the program from leaving.
            self._session.stop_sources()
        finally:
            self._thread.join(PATIENCE)
        if self._thread.is_alive():
            raise RuntimeError(f"the session's thread did not end within {PATIENCE:.0f} s")
        self._session.end()
