"""Decides again on stored readings and acts: under the same settings the same journal, under others a comparison."""

from __future__ import annotations

import contextlib
import math
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from acquire import acts, stages
from acquire.acts import Act
from acquire.feed import stored_blocks
from acquire.journal import PROGRAM, Entry
from acquire.plan import RunPlan, stored_plan
from acquire.record import RunRecord, Trace
from acquire.run import ActRefused, Run
from analysis.liquids import Liquid
from drivers.readings import DeviceNotice, Readings

AT_ONCE = 4096  # readings of a channel taken from a stored trace together
BEHIND = 5.0  # [s] the end of a growing trace that is not read ahead: channels reach a file one after the other
SLICE = 1.0  # [s] of readings at a time: no act can fall between two seconds that close together


@dataclass(frozen=True)
class Difference:
    """Where a replay and the stored journal part."""

    number: int
    stored: Entry | None
    replayed: Entry | None


class Replay:
    """A new run fed with what a record holds.

    Parameters
    ----------
    record
        The stored run.
    liquid
        Its liquid, as for the run itself.
    plan
        Another plan ("what if"); the stored one where not given.
    take_given
        Whether the answers that people gave to proposals are given again; without them only the marks of the
        bench (valve, charge, water) are, and the settings decide the rest.
    points_only
        Leave out what does not change points and baselines: cautions, fits in between, judgements kept for a review.
    """

    def __init__(
        self,
        record: RunRecord,
        liquid: Liquid | None,
        *,
        plan: RunPlan | None = None,
        take_given: bool = True,
        points_only: bool = False,
    ) -> None:
        plan = plan or stored_plan(record.plan)
        self.run = Run(plan, liquid, keep_judgements=not points_only, concludes=not points_only)
        self.refused: list[str] = []  # acts of the record that other settings leave no room for
        self._faithful = take_given  # then the stored journal must come out
        self._given = deque(e for e in record.journal if e.given and (take_given or not _is_answer(e)))
        self._points_only = points_only
        self._traces = record.traces
        self._slices = _slices(record.traces)

    def to(self, time: float = math.inf) -> Run:
        """Replay up to this run time [s]; the run as it then stood."""
        if self._points_only and math.isinf(time):
            for block in stored_blocks(self._traces):
                self._give()
                self.run.decide(block)
            self._give(last=True)
            return self.run
        for start, blocks in self._slices:
            self._give()
            for readings in blocks:
                self.run.feed(readings)
            self.run.proceed()
            if start >= time:
                return self.run
        self._give(last=True)
        return self.run

    def add_given(self, entries: Iterable[Entry]) -> None:
        """What was given to the recorded run since, where its record goes on growing."""
        self._given.extend(e for e in entries if e.given and (self._faithful or not _is_answer(e)))

    def _give(self, *, last: bool = False) -> None:
        while self._given and (last or self._given[0].block <= len(self.run.blocks)):
            entry = self._given.popleft()
            if entry.kind == "device":
                data = entry.data
                self.run.notice(DeviceNotice(entry.time, data["event"], data["device"], entry.text, data["count"]))
                continue
            details = {key: value for key, value in entry.data.items() if key != "act"}
            act = Act(entry.data["act"], entry.actor, details)
            self._take_baseline_before(act, entry.time)
            try:
                self.run.act(act, entry.time)
            except ActRefused as refused:
                self.refused.append(f"{entry.time:.0f} s: {refused}")

    def _take_baseline_before(self, act: Act, time: float) -> None:
        """Take the baseline that stricter settings were still waiting for when the bench went on.

        Without it no later second of the stored run could be judged: the person closed or charged the cell then.
        """
        goes_on = act.name in (acts.VALVE_CLOSED, acts.CHARGED)
        if goes_on and not self._faithful and self.run.stage in stages.BASELINES and self.run.blocks:
            with contextlib.suppress(ActRefused):
                self.run.act(Act(acts.TAKE, PROGRAM), time)


def _is_answer(entry: Entry) -> bool:
    return entry.kind == "act" and entry.data.get("act") in ("take", "set_aside", "restore", "window", "undo", "redo")


def _slices(traces: Mapping[str, Trace]) -> Iterator[tuple[float, list[Readings]]]:
    """The readings of all channels, one slice of time after the other.

    A long trace is read a stretch at a time; one that is still growing goes on as far as it has grown by then.
    """
    starts = [trace.first_time for trace in traces.values() if len(trace)]
    if not starts:
        return
    begin, end, count = float(math.floor(min(starts))), -math.inf, 1
    while True:
        if begin >= end + SLICE:  # asked for again only where it matters: a growing trace has grown
            end, count = _end(traces), _slices_at_once(traces)
        if begin >= end + SLICE:
            return
        # Never read ahead to where a growing trace may still grow.
        count = min(count, max(1, math.floor((end - BEHIND - begin) / SLICE)))
        edges = begin + SLICE * np.arange(count + 1)
        parts = {channel: trace.between(edges[0], edges[-1]) for channel, trace in traces.items()}
        places = {channel: np.searchsorted(part.time, edges) for channel, part in parts.items()}
        for index, start in enumerate(edges[:-1]):
            blocks = []
            for channel, part in parts.items():
                a, b = places[channel][index], places[channel][index + 1]
                if b > a:
                    columns = (part.time[a:b], part.value[a:b], part.raw[a:b], part.quality[a:b])
                    blocks.append(Readings(channel, *columns))
            if blocks:
                yield float(start), blocks
        begin += SLICE * count


def _end(traces: Mapping[str, Trace]) -> float:
    return max((trace.last_time for trace in traces.values() if len(trace)), default=-math.inf)


def _slices_at_once(traces: Mapping[str, Trace]) -> int:
    """How many slices of the fastest trace hold about `AT_ONCE` readings."""
    spans = [(len(trace), trace.last_time - trace.first_time) for trace in traces.values() if len(trace) > 1]
    rate = max((n / max(span, SLICE) for n, span in spans), default=1.0)
    return max(1, int(AT_ONCE / (rate * SLICE)))


def differences(record: RunRecord, run: Run) -> list[Difference]:
    """Where the journal of a replay is not that of the record, entry by entry."""
    stored, replayed = list(record.journal), list(run.journal)
    found = []
    for number in range(max(len(stored), len(replayed))):
        a = stored[number] if number < len(stored) else None
        b = replayed[number] if number < len(replayed) else None
        if a is None or b is None or a.canonical() != _as_stored_then(a, b).canonical():
            found.append(Difference(number, a, b))
    return found


def _as_stored_then(stored: Entry, replayed: Entry) -> Entry:
    """The replayed entry without the facts of a refusal, where the stored one is from before they were kept."""
    if "refused" not in stored.data or "refusal" in stored.data:
        return replayed
    return replace(replayed, data={key: value for key, value in replayed.data.items() if key != "refusal"})


def with_settings(plan: RunPlan, changes: Mapping[str, str]) -> RunPlan:
    """The plan with other settling settings, given as text with units ("tolerance": "0.05 K").

    Raises
    ------
    drivers.tomlfile.TomlError
        An unknown setting, or a value that does not fit; with the nearest known name.
    """
    from acquire.plan import Settle, load_settle

    kept: dict[str, Any] = plan.settle.model_dump()
    changed = load_settle(changes).model_dump()
    return plan.model_copy(update={"settle": Settle.model_construct(**(kept | {key: changed[key] for key in changes}))})
