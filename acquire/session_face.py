"""What every stand-in of a session passes on to it: the looking on.  Only acting differs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from acquire.journal import Entry
    from acquire.session import Session
    from acquire.snapshot import Snapshot


class SessionFace:
    """A session to look at.

    Threads: as the session.
    """

    def __init__(self, session: Session) -> None:
        self._session = session

    def snapshot(self) -> Snapshot:
        return self._session.snapshot()

    def trace(self, channel: str, since: int = 0) -> tuple[Any, Any]:
        return self._session.trace(channel, since)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        return self._session.entries(since)
