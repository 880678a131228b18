"""Closes a run in the background: a file is never left half closed because a window went away."""

from __future__ import annotations

from collections.abc import Callable

from acquire.window.background import Background
from acquire.window.language import tr
from acquire.window.start_state import Finished


class Closing(Background[Finished]):
    """One call of a `finish` function."""

    def __init__(self, finish: Callable[[], Finished]) -> None:
        super().__init__(finish, "satline closing", _broken)


def _broken() -> Finished:
    return Finished(trouble=tr("The run file could not be closed in order; check it with verify."))
