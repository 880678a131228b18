"""What the review window needs of the machine; the command that opens it fills this in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from acquire.review.trial import Trial
from acquire.window.review_work import FileCheck, Followed

if TYPE_CHECKING:
    from acquire.journal import Entry
    from acquire.record import RunRecord


@dataclass(frozen=True)
class ReviewServices:
    """What the review window needs of the machine.

    `store` appends entries and results to the file; `report` writes the report and returns where it is; `figures`
    writes the figures into a folder; `decide_again` begins a trial of other settling settings; `check` looks whether
    the file is intact; `followed` is the file, and `record` gives what it holds now.
    """

    store: Callable[[list[Entry], list[Mapping[str, Any]]], None]
    report: Callable[[], Path]
    figures: Callable[[], list[Path]]
    decide_again: Callable[[float, str], Trial]
    check: FileCheck
    followed: Followed
    record: Callable[[], RunRecord]
    let_go: Callable[[], None] = lambda: None
