"""The window's end of a recorder in another process: looks like a session, and survives as long as it is asked."""

from __future__ import annotations

import threading
from multiprocessing import AuthenticationError
from multiprocessing.connection import Connection, answer_challenge, deliver_challenge
from pathlib import Path
from typing import Any

from numpy.typing import NDArray

from acquire.acts import Act
from acquire.journal import Entry
from acquire.recorder import connect
from acquire.recorder_messages import Answer, Ask, Finished, Meeting, RecorderError, meeting_path
from acquire.run import ActRefused
from acquire.snapshot import Snapshot

PATIENCE = 10.0  # [s] for an answer; a snapshot takes milliseconds, a fit in between a second
CLOSING_PATIENCE = 600.0  # [s] compressing a day at 1 kHz takes a minute or two


class RecorderGoneError(RecorderError):
    """The recorder does not answer any more.  What was recorded is in the raw journal beside the run file."""


class RecorderClient:
    """Talks to a recorder; has `act`, `snapshot`, `trace` and `entries` of a session.

    Parameters
    ----------
    meeting
        Where it listens.

    Raises
    ------
    RecorderGoneError
        It does not answer; by the constructor and every method.

    Threads: any; questions are asked one after the other.
    """

    def __init__(self, meeting: Meeting) -> None:
        self.meeting = meeting
        self._lock = threading.Lock()
        try:
            self._connection: Connection | None = connect(meeting.address)
            key = bytes.fromhex(meeting.key)
            answer_challenge(self._connection, key)
            deliver_challenge(self._connection, key)
        except (OSError, EOFError, AuthenticationError) as error:
            raise RecorderGoneError(
                f"the recorder of {meeting.run_file} (process {meeting.process}) does not answer: {error}. "
                f"If it is gone, 'satline verify {meeting.run_file} --repair' makes the run file from what it wrote.",
                meeting.run_file,
            ) from error
        self._ask("hello")

    @classmethod
    def rejoin(cls, run_file: str | Path) -> RecorderClient:
        """The recorder of a run that is being recorded, by its run file.

        Raises
        ------
        RecorderError, RecorderGoneError
        """
        return cls(Meeting.read(meeting_path(run_file)))

    def act(self, act: Act) -> None:
        """Do what was asked for.

        Raises
        ------
        acquire.run.ActRefused
            It is not possible now; nothing has changed.
        """
        self._ask("act", act)

    def snapshot(self) -> Snapshot:
        return self._ask("snapshot")

    def trace(self, channel: str, since: int = 0) -> tuple[NDArray, NDArray]:
        """Times [s] and values [SI] from this index on; a long stretch comes in pieces: ask again from its end."""
        return self._ask("trace", channel, since)

    def entries(self, since: int = 0) -> tuple[Entry, ...]:
        """Journal entries with this number and above; a snapshot carries the latest ones only."""
        return self._ask("entries", since)

    def pace(self, change: str | None = None) -> float | None:
        """Speed of time in a rehearsal, after this change (see `acquire.rehearsal_pace`); None at a real bench.

        Raises
        ------
        RecorderError
            Time cannot be changed so.
        """
        return self._ask("pace", change)

    def finish(self) -> Finished:
        """End the run and close its file; the recorder ends after that."""
        return self._ask("finish", patience=CLOSING_PATIENCE)

    def close(self) -> None:
        """Leave; the recording goes on."""
        with self._lock:
            connection, self._connection = self._connection, None
            if connection is not None:
                connection.close()

    def _ask(self, what: str, *given: Any, patience: float = PATIENCE) -> Any:
        with self._lock:
            if self._connection is None:
                raise RecorderGoneError(f"the connection to the recorder of {self.meeting.run_file} was closed.")
            try:
                self._connection.send(Ask(what, given))
                if not self._connection.poll(patience):
                    raise TimeoutError(f"no answer within {patience:g} s")
                answer = self._connection.recv()
            except (OSError, EOFError) as error:
                # an answer that comes late would be taken for that of the next question: better a new connection
                self._connection.close()
                self._connection = None
                raise RecorderGoneError(
                    f"the recorder of {self.meeting.run_file} (process {self.meeting.process}) does not answer: "
                    f"{error or 'it ended'}. Open the run again to rejoin it; "
                    "everything received is in its raw journal.",
                    self.meeting.run_file,
                ) from error
        return _value(answer)


def _value(answer: Answer) -> Any:
    if answer.refused:
        raise ActRefused(*answer.refused)
    if answer.failed:
        raise RecorderError(answer.failed)
    return answer.value
