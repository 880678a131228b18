"""A stored run as a rehearsal: its traces come again, its bench acts are marked as they came, a person decides anew."""

from __future__ import annotations

import contextlib
import math
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from acquire import acts, stages
from acquire.acts import Act
from acquire.feed import GRACE
from acquire.journal import PROGRAM, Entry
from acquire.live import RECORDED
from acquire.record import RunRecord, Trace
from acquire.run import ActRefused, Run
from acquire.runfile.errors import RunFileError
from acquire.session import Session
from acquire.session_face import SessionFace
from acquire.snapshot import Snapshot
from drivers.readings import PRESSURE, TEMPERATURE, UNUSABLE
from sim.device import OWN_PROFILE
from sim.recorded import Column, RecordedBench, encoded

STORED = "stored run"  # who does what was done at the bench then
MOST_READINGS = 2_000_000  # of a channel; two days at 10 Hz
_AFTER = 5.0  # [s] after the last reading, before the end is told
_AT_LAST = 60.0  # [s] after it, whatever has not been decided by then

#: What was done at the bench then happens again by itself; the rest is for the trainee to decide.
AT_THE_BENCH = frozenset(
    {acts.BEGIN, acts.VALVE_CLOSED, acts.VALVE_OPENED, acts.CHARGED, acts.WARMED, acts.COOLED, acts.VENTED}
)
START = (
    "a stored run is played again: what was done at the bench then happens as it did then and is marked as it comes; "
    "your acts move nothing there. You decide when a plateau is taken and what is set aside"
)


class StoredRunRefusedError(RunFileError):
    """A run file that cannot be rehearsed on; it stays as it is."""


@dataclass(frozen=True)
class StoredRehearsal:
    """A stored run with the bench that plays it."""

    record: RunRecord
    bench: RecordedBench


def stored_run(path: str) -> RunRecord:
    """A run that can be rehearsed on.

    Raises
    ------
    RunFileError
        It is no run file, or has no traces or no charge.
    """
    from acquire.runfile.reader import read_run

    record = read_run(path)
    for channel in (TEMPERATURE, PRESSURE):
        trace = record.traces.get(channel)
        if trace is None or not len(_usable(trace)[0]):
            raise StoredRunRefusedError(
                f"{path} holds no {channel} readings; expected a run with traces of temperature and pressure. "
                "Choose another run file, or a scenario (see 'satline scenarios').",
                path,
            )
        if len(trace) > MOST_READINGS:
            raise StoredRunRefusedError(
                f"{path} holds {len(trace)} {channel} readings; expected at most {MOST_READINGS}. "
                "Choose a shorter run, or look at this one with 'satline review'.",
                path,
            )
    if not any(entry.kind == "act" and entry.data.get("act") == acts.CHARGED for entry in record.journal):
        raise StoredRunRefusedError(
            f"{path} is a run without a charge; expected one in which the liquid went in, for only then there are "
            "plateaus to decide on. Choose another run file, or a scenario (see 'satline scenarios').",
            path,
        )
    return record


def _usable(trace: Trace) -> tuple[Column, Column]:
    """Times and values of what decided then."""
    there = (trace.quality & UNUSABLE) == 0
    return trace.time[there], trace.value[there]


def recorded_bench(record: RunRecord) -> RecordedBench:
    """The bench that says again what the traces hold."""
    lines = encoded(_usable(record.traces[TEMPERATURE]), _usable(record.traces[PRESSURE]))
    return RecordedBench(lines, OWN_PROFILE)


def stored_rehearsal(devices: Sequence[str]) -> StoredRehearsal | None:
    """The stored run among some devices; None where there is none.

    Raises
    ------
    RunFileError
        It cannot be rehearsed on, or is not the only device.
    """
    named = [device for device in devices if device.startswith(RECORDED)]
    if not named:
        return None
    if len(devices) > 1:
        raise StoredRunRefusedError(
            f"found {len(devices)} devices with a stored run among them; expected the stored run alone. "
            "Leave the others out."
        )
    record = stored_run(named[0][len(RECORDED) :])
    return StoredRehearsal(record, recorded_bench(record))


class StoredActs:
    """Marks what was done at the bench when its readings come again, and ends the run with them.

    After every step, and where it watches a run, after every second of it: a fast clock brings many in one step.
    """

    def __init__(self, record: RunRecord, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._end = record.duration
        self._due = deque(e for e in record.journal if e.kind == "act" and e.data.get("act") in AT_THE_BENCH)
        self._stages = [e for e in record.journal if e.kind == "stage"]
        self._told = False

    def watch(self, run: Run) -> None:
        """Give each act at its second from now on."""
        run.after_block = partial(self._give_due, run)

    def _give_due(self, run: Run) -> None:
        decided = run.blocks[-1].index + 1.0
        while self._due and self._due[0].time <= decided and not run.closed:
            self._give(run, self._due.popleft())

    def __call__(self, session: Session) -> None:
        run = session.run
        if run.closed or not run.blocks:
            return
        if not self._told:
            self._told = True
            session.act(Act(acts.NOTE, PROGRAM, {"text": START}))
        self._give_due(run)
        if not run.closed and self._over(run.blocks[-1].index + 1.0):
            session.act(Act(acts.NOTE, PROGRAM, {"text": "the stored run ends here: no more readings will come"}))
            session.act(Act(acts.FINISH, PROGRAM))

    def _over(self, decided: float) -> bool:
        now = self._clock()
        return now >= self._end + (_AFTER if decided >= math.floor(self._end - GRACE) else _AT_LAST)

    def _give(self, run: Run, entry: Entry) -> None:
        name = entry.data["act"]  # stamped with the readings' time: a fast clock is ahead of them
        if name in (acts.VALVE_CLOSED, acts.CHARGED) and run.stage in stages.BASELINES:
            # The bench does not wait for a baseline that nobody took.
            with contextlib.suppress(ActRefused):
                run.act(Act(acts.TAKE, PROGRAM))
        if run.stage == stages.PLATEAUS and self._stage_at(entry) == stages.RETURN:
            run.act(Act(acts.NEXT, STORED))
        try:
            run.act(Act(name, STORED, {key: value for key, value in entry.data.items() if key != "act"}))
        except ActRefused as refused:
            run.act(Act(acts.NOTE, STORED, {"text": f"{name.replace('_', ' ')}: {refused}"}))

    def _stage_at(self, entry: Entry) -> str:
        """Stage of the stored run when this was done."""
        return next((e.data["to"] for e in reversed(self._stages) if e.number < entry.number), stages.SET_UP)


def decisions_of(possible: Sequence[str]) -> tuple[str, ...]:
    """What of these acts is left to the trainee."""
    return tuple(name for name in possible if name not in AT_THE_BENCH and name != acts.NEXT)


class OnlyDecisions(SessionFace):
    """A session whose bench acts are those of the stored run: the person decides, takes, sets aside and notes.

    Threads: as the session.
    """

    def snapshot(self) -> Snapshot:
        snapshot = super().snapshot()
        return replace(snapshot, possible_acts=decisions_of(snapshot.possible_acts), replayed=True)

    def act(self, act: Act) -> None:
        """The act, where it is a decision.

        Raises
        ------
        acquire.run.ActRefused
            It is work at the bench, or the run refused it.
        """
        if act.name in AT_THE_BENCH or act.name == acts.NEXT:
            run = self._session.run
            raise ActRefused(
                act.name,
                run.stage,
                decisions_of(run.possible_acts),
                "it comes by itself as it was done in the stored run",
            )
        self._session.act(act)
