"""When mishaps begin and end: turns the acts and the time of a run into beginnings and ends of effects."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sim.mishap_effects import BEGIN, End, Works
from sim.mishap_records import Mishap

LIFTS = "stopper_lifts"
SAME_POUR = 30.0  # s; portions poured closer than this are one pour


@dataclass
class MishapRecord:
    """One mishap of a run, for the truth.

    `began` is when it took effect: with the charge for what is wrong with that, with the lift for a stopper that may
    lift. None where its moment never came (a fourth pour that nobody made, a pressure that was never reached).  [s]
    """

    mishap: Mishap
    began: float | None = None
    ended: float | None = None
    waits: bool = False  # set, and without effect until the charge or the pressure comes

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON; times in s, sizes as the scenario file writes them."""
        return {
            "kind": self.mishap.name,
            "words": self.mishap.words,
            "physical": self.mishap.physical,
            "size": self.mishap.size(),
            "began": self.began,
            "ended": self.ended,
        }


class MishapSchedule:
    """Begins and ends the mishaps of one run at step boundaries."""

    def __init__(self, mishaps: Sequence[Mishap], works: Works) -> None:
        self._works = works
        self.records = [MishapRecord(mishap) for mishap in mishaps]
        self._seen: dict[str, int] = {}
        self._last: dict[str, float] = {}
        self._due: list[tuple[float, int, bool]] = []  # time, number of the mishap, whether it begins
        self._ends: dict[int, End] = {}
        self.note("start", 0.0)

    def note(self, kind: str, time: float) -> None:
        """An act of this kind happens now; what it sets off at once begins before the act is done."""
        last, self._last[kind] = self._last.get(kind), time
        if kind == "pour" and last is not None and time - last < SAME_POUR:
            return
        self._seen[kind] = seen = self._seen.get(kind, 0) + 1
        for number, record in enumerate(self.records):
            if record.mishap.when == kind and record.mishap.count == seen:
                heapq.heappush(self._due, (time + record.mishap.after_s, number, True))
        self.run(time)
        for record in self.records:
            if kind == "charge" and record.waits and record.mishap.with_charge:
                record.began, record.waits = time, False

    def lifted(self, time: float) -> None:
        """The stopper lifts for the first time."""
        for record in self.records:
            if record.waits and record.mishap.name == LIFTS:
                record.began, record.waits = time, False

    def put_right(self, name: str, time: float) -> None:
        """Somebody ended this kind of mishap at the bench."""
        for number, record in enumerate(self.records):
            if record.mishap.name == name and number in self._ends:
                record.ended = time
                self._ends.pop(number)()
                self._due = [due for due in self._due if due[1] != number]
                heapq.heapify(self._due)

    @property
    def next_at(self) -> float:
        """Time of the next beginning or end.  [s]"""
        return self._due[0][0] if self._due else float("inf")

    def run(self, time: float) -> bool:
        """Begin and end what is due by `time`; returns whether anything was."""
        changed = False
        while self._due and self._due[0][0] <= time + 1e-9:
            _, number, begins = heapq.heappop(self._due)
            record = self.records[number]
            if begins:
                record.waits = record.mishap.with_charge or record.mishap.name == LIFTS
                record.began = None if record.waits else time
                self._ends[number] = BEGIN[record.mishap.name](self._works, record.mishap)
                if record.mishap.for_s is not None:
                    heapq.heappush(self._due, (time + record.mishap.for_s, number, False))
            else:
                record.ended = time
                self._ends.pop(number)()
            changed = True
        if changed:
            self._works.plant.refresh()
        return changed
