"""The point book as a fold over entries."""

from __future__ import annotations

from dataclasses import asdict, replace

from acquire.journal import Entry
from acquire.points import PointBook, baselines_of
from acquire.record import Baseline, PointRecord

POINT = PointRecord(
    1, "Point 1", "up", 10.0, 60.0, 300.1, 300.0, 1e5, 0.02, 5.0, 0.0, 0.1, 0.01, 0.0, 100, "program"
)  # fmt: skip


class Log:
    def __init__(self) -> None:
        self.book, self.number = PointBook(), 0

    def add(self, kind: str, **data) -> int:
        entry = Entry(self.number, 0.0, 0, kind, "person", False, kind, data)
        self.number += 1
        self.book.see(entry)
        return entry.number


def test_a_point_can_be_taken_set_aside_and_restored() -> None:
    log = Log()
    log.add("point", **asdict(POINT))
    log.add("point set aside", number=1, reason="bump")
    assert [(p.used, p.reason) for p in log.book.points] == [(False, "bump")]
    log.add("point restored", number=1)
    assert log.book.points[0].used


def test_undo_takes_changes_back_one_by_one_and_redo_brings_them_again() -> None:
    log = Log()
    first = log.add("point", **asdict(POINT))
    moved = log.add("point window", **asdict(replace(POINT, start=20.0)))
    assert log.book.to_undo.number == moved
    log.add("undone", entry=moved)
    assert log.book.points == (POINT,)
    log.add("undone", entry=first)
    assert log.book.points == ()
    assert log.book.to_undo is None
    assert log.book.to_redo == first
    log.add("redone", entry=first)
    log.add("redone", entry=moved)
    assert log.book.points[0].start == 20.0
    assert log.book.to_redo is None


def test_a_new_change_ends_the_chance_to_redo() -> None:
    log = Log()
    number = log.add("point", **asdict(POINT))
    log.add("undone", entry=number)
    log.add("point", **asdict(replace(POINT, number=2)))
    assert log.book.to_redo is None
    assert [p.number for p in log.book.points] == [2]


def test_a_number_is_never_used_twice() -> None:
    log = Log()
    number = log.add("point", **asdict(POINT))
    log.add("undone", entry=number)
    assert log.book.next_number == 2
    log.add("point", **asdict(replace(POINT, number=2)))
    assert log.book.next_number == 3


def test_the_latest_baseline_of_each_kind_counts() -> None:
    baselines = [Baseline("room", 294.0, 1e5, 0.01, 1.0, 0.0, 30.0), Baseline("room", 295.0, 1e5, 0.01, 1.0, 0.0, 30.0)]
    entries = [Entry(i, 0.0, 0, "baseline", "program", False, "", asdict(b)) for i, b in enumerate(baselines)]
    assert baselines_of(entries) == (baselines[1],)
