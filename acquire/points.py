"""The points of a run as a fold over its journal: taking, editing, setting aside and undoing only ever append."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, replace
from typing import Any

from acquire.journal import Entry
from acquire.record import Baseline, PointRecord

#: Entries that change the points, and can be undone.
UNDOABLE = ("point", "point window", "point set aside", "point restored")


def point_data(point: PointRecord) -> dict[str, Any]:
    """A point as journal data."""
    return asdict(point)


class PointBook:
    """Points as they stand after the entries seen so far.

    Feed it every journal entry in order; entries that do not concern points are ignored.
    """

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self._changes: list[Entry] = []
        self._undone: list[int] = []  # numbers of undone entries, the latest last
        self._highest = 0  # point number ever used
        self._folded: tuple[PointRecord, ...] | None = None  # of the changes seen so far
        for entry in entries:
            self.see(entry)

    def see(self, entry: Entry) -> None:
        if entry.kind in UNDOABLE or entry.kind in ("undone", "redone"):
            self._folded = None
        if entry.kind in UNDOABLE:
            self._changes.append(entry)
            # A new change ends the chance to redo what was undone before it.
            undone = set(self._undone)
            self._changes = [change for change in self._changes if change.number not in undone]
            self._undone.clear()
            self._highest = max(self._highest, entry.data["number"])
        elif entry.kind == "undone":
            self._undone.append(entry.data["entry"])
        elif entry.kind == "redone":
            self._undone.remove(entry.data["entry"])

    @property
    def to_undo(self) -> Entry | None:
        """The change that an undo would take back."""
        undone = set(self._undone)
        return next((change for change in reversed(self._changes) if change.number not in undone), None)

    @property
    def to_redo(self) -> int | None:
        """Number of the entry that a redo would bring back."""
        return self._undone[-1] if self._undone else None

    @property
    def points(self) -> tuple[PointRecord, ...]:
        """In the order of their numbers; points set aside stay in the list with `used` false."""
        if self._folded is None:
            self._folded = self._fold()
        return self._folded

    def _fold(self) -> tuple[PointRecord, ...]:
        undone = set(self._undone)
        book: dict[int, PointRecord] = {}
        for change in self._changes:
            if change.number in undone:
                continue
            if change.kind in ("point", "point window"):
                point = PointRecord(**change.data)
                book[point.number] = point
            elif (old := book.get(change.data["number"])) is not None:
                book[old.number] = replace(
                    old, used=change.kind == "point restored", reason=change.data.get("reason", "")
                )
        return tuple(book[number] for number in sorted(book))

    @property
    def next_number(self) -> int:
        """Numbers are never used twice, not even after an undo."""
        return self._highest + 1


def baselines_of(entries: Iterable[Entry]) -> tuple[Baseline, ...]:
    """The baselines in force: the latest of each kind."""
    latest: dict[str, Baseline] = {}
    for entry in entries:
        if entry.kind == "baseline":
            latest[entry.data["kind"]] = Baseline(**entry.data)
    return tuple(latest.values())
