"""A stored run being reviewed: looked at second by second, edited by acts that only append, and saved into its file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from acquire import acts
from acquire.acts import Act
from acquire.journal import Entry
from acquire.record import PointRecord, RunRecord
from acquire.replay import BEHIND, differences
from acquire.report.language import tr
from acquire.review.cursor import History, Known
from acquire.run import Run
from analysis.liquids import Liquid

NO_OBSTACLE, NEVER_CLOSED = -1, -2  # to editing; else the number of an entry


class EditRefusedError(Exception):
    """An edit that cannot be made: what stands in its way, and the way out."""


class Review:
    """One run under review.

    The run is decided again from its readings (`advance`); once that is complete, and has given the stored journal
    entry by entry, points may be edited.  Edits are acts on that run: they append entries, never change any.

    Parameters
    ----------
    record
        As read from the file; also of a run that is still being written, which cannot be edited.
    liquid
        Its liquid, None for an unknown one.
    reviewer
        Who the edits are by; a name as typed, nothing is checked.
    growing
        Somebody is writing the run now; `follow` goes on with what was written since.
    """

    def __init__(
        self, record: RunRecord, liquid: Liquid | None, *, reviewer: str = "reviewer", growing: bool = False
    ) -> None:
        self.record, self.liquid, self.reviewer, self.growing = record, liquid, reviewer, growing
        self.history = History(record, liquid, growing=growing)
        self._saved = len(record.journal)
        self._obstacle: int | None = None  # the first entry that differs; None before it was looked for

    def follow(self, record: RunRecord, *, growing: bool) -> None:
        """The record as it has grown."""
        self.history.follow(record, growing=growing)
        self.record, self.growing = record, growing
        self._saved = len(record.journal)

    # Looking

    def advance(self, seconds: float) -> bool:
        """Decide these further seconds again; whether all are done."""
        self.history.at(self.history.upto + seconds)
        if self.history.complete and self._obstacle is None:
            self._obstacle = self._obstacle_found()
        return self.history.complete

    def at(self, time: float) -> Known | None:
        """What was known at this run time, None before the first second.  [s]"""
        return self.history.at(time)

    @property
    def progress(self) -> float:
        """Share of the run that was decided again, 0 to 1."""
        end = self.record.duration - (BEHIND if self.growing else 0.0)
        if self.history.complete or end <= 0:
            return 1.0
        return min(self.history.upto / end, 1.0)

    def _obstacle_found(self) -> int:
        if self.record.end_time is None:
            return NEVER_CLOSED
        found = differences(self.record, self.history.run)
        return found[0].number if found else NO_OBSTACLE

    # Editing

    @property
    def _editable(self) -> bool:
        return self._obstacle in (None, NO_OBSTACLE)

    @property
    def why_not_edit(self) -> str:
        """Empty when points may be edited now, else what stands in the way."""
        if self.growing:
            return tr("the run is still being recorded; edit its points when it has been closed")
        if not self.history.complete:
            return tr("the run is still being decided again ({0} %)").format(round(100 * self.progress))
        if self._obstacle is None:
            self._obstacle = self._obstacle_found()
        if self._obstacle == NO_OBSTACLE:
            return ""
        if self._obstacle == NEVER_CLOSED:
            return tr("the run was never closed; 'satline verify --repair' makes a closed copy")
        return tr(
            "deciding again gives another journal from entry {0} on (another version of the program, or altered "
            "readings): 'satline verify' and 'satline replay' say more; asking 'what if' still works"
        ).format(self._obstacle)

    @property
    def run(self) -> Run:
        return self.history.run

    @property
    def points(self) -> tuple[PointRecord, ...]:
        """With the edits so far."""
        return self.run.points if self.history.complete and self._editable else self.record.points

    @property
    def result(self) -> Mapping[str, Any] | None:
        """With the edits so far; the stored one before any."""
        if self.changed:
            return self.run.result
        return self.record.results[-1] if self.record.results else None

    @property
    def changed(self) -> bool:
        """Whether there are edits that are not saved."""
        return self.history.complete and self._editable and len(self.run.journal) > self._saved

    @property
    def journal(self) -> tuple[Entry, ...]:
        """The stored journal with the edits so far."""
        return (
            (*self.record.journal, *self.run.journal.since(len(self.record.journal)))
            if self.changed
            else (self.record.journal)
        )

    def edit(self, name: str, **data: Any) -> None:
        """Do one act of a review.

        Raises
        ------
        EditRefusedError
            The run cannot be edited.
        acquire.run.ActRefused
            This act is not possible.
        """
        if self.why_not_edit:
            raise EditRefusedError(tr("this run cannot be edited now: {0}").format(self.why_not_edit))
        self.run.act(Act(name, self.reviewer, data))

    def split(self, number: int, at: float, reason: str) -> None:
        """Make two points of one: its window ends before this time [s], a new one begins there."""
        point = next((p for p in self.points if p.number == number), None)
        if point is None or not point.start + 3.0 <= at <= point.end - 3.0:
            sentence = tr("point {0} cannot be split there; expected 3 s or more on both sides")
            raise EditRefusedError(sentence.format(number))
        self.edit(acts.WINDOW, point=number, start=point.start, end=at, reason=reason)
        self.edit(acts.TAKE, start=at, end=point.end, reason=reason)

    def save(self, store: Callable[[list[Entry], list[Mapping[str, Any]]], None]) -> int:
        """Append the edits to the file and a result with them; how many entries were written.

        Parameters
        ----------
        store
            Writes entries and results behind those that are there: see `acquire.runfile.editing.append_to_closed`.
        """
        if not self.changed:
            return 0
        entries = self.run.journal.since(self._saved)
        results = [self.run.result] if self.run.result is not None else []
        store(entries, results)
        self._saved = len(self.run.journal)
        return len(entries)
