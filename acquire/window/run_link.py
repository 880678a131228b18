"""The window's end of one run: asks for snapshots and readings, sends acts, finds a recorder again that went away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Protocol

from acquire.acts import Act
from acquire.window.acts_state import act_name
from acquire.window.borrowed import file_text, why_not_text
from acquire.window.closing import Closing
from acquire.window.start_state import Finished

if TYPE_CHECKING:
    from acquire.journal import Entry
    from acquire.snapshot import Snapshot

REJOIN_EVERY = 2.0  # [s] of real time between two tries to find a recorder again


class Recorder(Protocol):
    """What the window talks to: a session, or the client of a recorder in another process."""

    def snapshot(self) -> Snapshot: ...

    def act(self, act: Act) -> None: ...

    def trace(self, channel: str, since: int = 0) -> tuple[Any, Any]: ...

    def entries(self, since: int = 0) -> tuple[Entry, ...]: ...

    def pace(self, change: str | None = None) -> float | None: ...


class RunLink:
    """One run.

    Guarantees
    ----------
    - While nobody answers, the last snapshot grows old: its readings look as silent as they are.
    - Every entry of the journal is handed out, also those from before this window was there.
    - After the run was closed nobody is asked any more.

    Parameters
    ----------
    finish
        Closes run, devices and file.
    rejoin
        Finds the recorder again; None where there is no other process.
    now
        Real seconds.
    """

    def __init__(
        self,
        session: Recorder,
        finish: Callable[[], Finished],
        rejoin: Callable[[], Recorder] | None,
        now: Callable[[], float],
    ) -> None:
        self.session = session
        self.closing = Closing(finish)
        self.trouble = ""  # why nobody answers, as a sentence
        self._rejoin, self._now = rejoin, now
        self._latest: Snapshot | None = None
        self._answered_at = self._tried_at = now()
        self._seen: dict[str, int] = {}
        self._next_entry = 0

    def snapshot(self) -> Snapshot | None:
        """The newest there is, aged while nobody answers; None before the first."""
        from acquire.runfile.errors import RunFileError

        if self._latest is not None and self._latest.stage == "closed":
            return self._latest
        if self.trouble and not self._found_again():
            return self._aged()
        try:
            self._latest = self.session.snapshot()
        except RunFileError as error:
            self.trouble = str(error)
            self._tried_at = self._now()
            return self._aged()
        self._answered_at = self._now()
        return self._latest

    def readings(self, channel: str) -> tuple[Any, Any] | None:
        """Times and values that were not asked for before, None for none.  [s, SI]"""
        from acquire.runfile.errors import RunFileError

        if self.trouble or self.closing.started:
            return None
        try:
            time, value = self.session.trace(channel, self._seen.get(channel, 0))
        except RunFileError as error:
            self.trouble = str(error)
            return None
        self._seen[channel] = self._seen.get(channel, 0) + len(time)
        return (time, value) if len(time) else None

    def entries(self, tail: tuple[Entry, ...]) -> tuple[Entry, ...]:
        """Entries of the journal that were not handed out before: of a snapshot's tail, and those it leaves out."""
        from acquire.runfile.errors import RunFileError

        new = tuple(entry for entry in tail if entry.number >= self._next_entry)
        if new and new[0].number > self._next_entry:
            try:
                new = self.session.entries(self._next_entry)
            except RunFileError as error:
                self.trouble = self.trouble or str(error)
                return ()
        if new:
            self._next_entry = new[-1].number + 1
        return new

    def act(self, act: Act) -> str:
        """Send an act.  Returns why it was not done, nothing where it was."""
        from acquire.run import ActRefused
        from acquire.runfile.errors import RunFileError

        try:
            self.session.act(act)
        except ActRefused as refused:
            return why_not_text(act_name(refused.act), refused.why, str(refused))
        except RunFileError as trouble:
            return file_text(str(trouble))
        return ""

    def _found_again(self) -> bool:
        """Try to join the recorder again, now and then."""
        from acquire.runfile.errors import RunFileError

        if self._rejoin is None or self._now() - self._tried_at < REJOIN_EVERY:
            return False
        self._tried_at = self._now()
        try:
            self.session = self._rejoin()
        except RunFileError as error:
            self.trouble = str(error)
            return False
        self.trouble = ""
        return True

    def _aged(self) -> Snapshot | None:
        if self._latest is None:
            return None
        return aged(self._latest, self._now() - self._answered_at, self.trouble)


def aged(snapshot: Snapshot, seconds: float, trouble: str) -> Snapshot:
    """A snapshot that nobody renewed for some real seconds: its readings are that much older, and it says why."""
    channels = {
        name: replace(view, silent=view.silent + seconds * snapshot.speed) for name, view in snapshot.channels.items()
    }
    return replace(snapshot, channels=channels, file=replace(snapshot.file, trouble=trouble or snapshot.file.trouble))
