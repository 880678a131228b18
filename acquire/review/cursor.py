"""What was known at any second of a run, found by deciding again on its stored readings."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from acquire.journal import Entry
from acquire.plan import RunPlan
from acquire.record import PointRecord, RunRecord
from acquire.replay import BEHIND, Replay
from acquire.run import Run
from analysis.liquids import Liquid
from analysis.settling import Block, Judgement
from drivers.readings import PRESSURE, TEMPERATURE


@dataclass(frozen=True)
class ChannelThen:
    """One channel at the cursor.  SI."""

    value: float  # mean of that second, NaN without a good reading
    readings: int
    state: str  # "level" | "easing" | "moving" | "unknown"
    still_to_come: float
    u_still_to_come: float
    level_in: tuple[float, float, float] | None


@dataclass(frozen=True)
class Known:
    """What the run knew when a second had closed; nothing that came later is in it."""

    time: float  # [s] centre of the second
    stage: str
    channels: Mapping[str, ChannelThen]
    ready: bool
    window: tuple[float, float] | None  # [s]
    gates: tuple[tuple[str, str], ...]  # (code, sentence) of what stood against a plateau
    proposal: tuple[float, float] | None  # window of the plateau on offer [s]
    lag: float  # [K]
    u_lag: float
    drift: float  # [K/s]
    tolerance: float  # [K-equivalent]
    tolerance_reason: str
    points: tuple[PointRecord, ...]
    result: Mapping[str, Any] | None
    entries: int  # of the journal until then


@dataclass(frozen=True)
class _Moment:
    """What is kept of each second; points and result only where they changed."""

    block: Block
    judgement: Judgement
    stage: str
    proposal: tuple[float, float] | None
    entries: int
    points: tuple[PointRecord, ...]
    result: Mapping[str, Any] | None


def _before(record: RunRecord) -> float:
    starts = [trace.first_time for trace in record.traces.values() if len(trace)]
    return math.floor(min(starts, default=0.0)) - 1.0


class History:
    """Every second of a run as it was known then.

    Seconds that closed together, after a gap, share the judgement that followed the last of them.

    The run is decided again from its start up to the latest second asked for, and each second is kept, so that a
    cursor moves freely afterwards.

    Parameters
    ----------
    record
        The stored run; also one that is still being written.
    liquid
        Its liquid, as for the run itself.
    plan
        Other settings ("what if"); the stored ones where not given.
    take_given
        Whether the answers that people gave are given again; without them the settings decide.
    growing
        Somebody is writing the record: it is decided again up to a few seconds before its end; see `follow`.
    """

    def __init__(
        self,
        record: RunRecord,
        liquid: Liquid | None,
        *,
        plan: RunPlan | None = None,
        take_given: bool = True,
        growing: bool = False,
    ) -> None:
        self._replay = Replay(record, liquid, plan=plan, take_given=take_given)
        self._record, self._growing = record, growing
        self._moments: list[_Moment] = []
        self._ends: list[float] = []  # end of each kept second [s]
        self._complete = False
        self._position = _before(record)  # [s] readings are replayed up to here

    def follow(self, record: RunRecord, *, growing: bool) -> None:
        """Go on with what was written since: a record with the same traces, grown, and a longer journal."""
        if not self._moments:
            self._position = _before(record)
        self._replay.add_given(record.journal[len(self._record.journal) :])
        self._record, self._growing = record, growing

    @property
    def run(self) -> Run:
        """The run as decided again so far."""
        return self._replay.run

    @property
    def complete(self) -> bool:
        """Whether every second of the record was decided again."""
        return self._complete

    @property
    def refused(self) -> tuple[str, ...]:
        """Acts of the record that these settings left no room for, up to the latest second asked for."""
        return tuple(self._replay.refused)

    @property
    def journal(self) -> tuple[Entry, ...]:
        """The journal of the replay, up to the latest second asked for."""
        return tuple(self._replay.run.journal)

    def at(self, time: float) -> Known | None:
        """What was known at this run time [s]: after the last second closed by then; None before the first."""
        self._extend(time)
        index = bisect_right(self._ends, time) - 1
        return None if index < 0 else self._known(self._moments[index])

    def to_end(self) -> Known | None:
        """What was known when the run had been closed, or as far as it has been written."""
        self._extend(math.inf)
        if not self._moments:
            return None
        # Acts after the last second belong to the end of the run: its points and result are the run's own.
        return self._known(self._moment(self._moments[-1].block))

    @property
    def upto(self) -> float:
        """Every second that ends by then was decided again; 0 before the first.  [s]"""
        return self._ends[-1] if self._ends else 0.0

    def times(self) -> tuple[float, ...]:
        """Centres of the seconds looked at so far.  [s]"""
        return tuple(moment.block.time for moment in self._moments)

    def _extend(self, time: float) -> None:
        reach = self._record.duration - BEHIND if self._growing else math.inf
        while not self._complete and (not self._ends or self._ends[-1] <= time) and self._position + 1.0 <= reach:
            self._position += 1.0
            self._complete = self._position > self._record.duration + 2.0
            # One slice of readings at a time, for the state after each second must be seen, not only the last.
            self._replay.to(math.inf if self._complete else self._position)
            self._keep()

    def _keep(self) -> None:
        for block in self._replay.run.blocks[len(self._moments) :]:
            self._moments.append(self._moment(block))
            self._ends.append(block.index + 1.0)

    def _moment(self, block: Block) -> _Moment:
        run = self._replay.run
        assert run.judgement is not None  # a block was closed, so it was judged
        proposal = run.proposal.window if run.proposal is not None else None
        return _Moment(block, run.judgement, run.stage, proposal, len(run.journal), run.points, run.result)

    def _known(self, moment: _Moment) -> Known:
        judgement, block = moment.judgement, moment.block
        counts = {TEMPERATURE: (block.temperature, block.n_temperature), PRESSURE: (block.pressure, block.n_pressure)}
        return Known(
            time=block.time,
            stage=moment.stage,
            channels={
                channel: ChannelThen(
                    value, n, state.state.value, state.still_to_come, state.u_still_to_come, state.level_in
                )
                for channel, (value, n) in counts.items()
                for state in (judgement.channels[channel],)
            },
            ready=judgement.ready,
            window=judgement.window,
            gates=tuple((gate.code, gate.text) for gate in judgement.gates),
            proposal=moment.proposal,
            lag=judgement.lag,
            u_lag=judgement.u_lag,
            drift=judgement.drift,
            tolerance=judgement.tolerance,
            tolerance_reason=judgement.tolerance_reason,
            points=moment.points,
            result=moment.result,
            entries=moment.entries,
        )
