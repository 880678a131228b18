"""What a window and a recorder in another process say to each other; plain records over an authenticated connection.

The window asks, the recorder answers, one after the other.  The recorder never speaks first, so a frozen window cannot
hold it up: an answer that nobody takes blocks only the thread of that one connection.

Who may connect is settled by a key that only the one who started the recorder, and the file beside the run, know
(`multiprocessing.connection`, HMAC challenge both ways); records are read only after that.
"""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from acquire.runfile.errors import RunFileError

PROTOCOL = 1
#: Readings in one answer; a window that was away for a day at 1 kHz catches up in pieces of 3 MB.
MOST_READINGS = 200_000


class RecorderError(RunFileError):
    """The recorder could not be started, found or understood; the run file and the raw journal are not touched."""


@dataclass(frozen=True)
class Ask:
    """A question; `what` is the name of one of the recorder's answers."""

    what: str  # "hello" | "snapshot" | "act" | "trace" | "entries" | "pace" | "finish"
    given: tuple[Any, ...] = ()


@dataclass(frozen=True)
class Answer:
    """The answer to a question: a value, or a sentence why there is none."""

    value: Any = None
    refused: tuple[Any, ...] = ()  # what `ActRefused` is made of: an act that is not possible now
    failed: str = ""  # anything else


@dataclass(frozen=True)
class Finished:
    """The run is closed."""

    path: str  # the run file, or the raw journal where no run file could be made
    trouble: str = ""


@dataclass(frozen=True)
class RecorderOrder:
    """What a recorder shall record; JSON all through."""

    path: str  # the new run file
    devices: tuple[str, ...]  # PROFILE@PORT or sim:SCENARIO
    plan: dict[str, Any]  # RunPlan.model_dump()
    header: dict[str, Any]  # RunHeader without its start time
    speed: float = 1.0
    seed: int = 0
    operated: bool = False  # the scripted operator works at the simulated bench
    hands: bool = False  # acts of the person move the simulated bench
    begin: bool = False  # leave the set-up as soon as readings come
    give_up_after: float | None = None  # [s]
    fallbacks: tuple[str, ...] = ()
    debriefed: bool = False  # hold the run against the truth of the simulated bench when it is closed

    def as_json(self) -> str:
        return json.dumps(asdict(self))

    @classmethod
    def from_json(cls, text: str) -> RecorderOrder:
        data = json.loads(text)
        return cls(**data | {"devices": tuple(data["devices"]), "fallbacks": tuple(data["fallbacks"])})


@dataclass(frozen=True)
class Meeting:
    """Where a recorder listens; lies beside the run file while the run is recorded, readable by its owner only."""

    address: str
    key: str  # hexadecimal
    process: int
    run_file: str
    protocol: int = PROTOCOL
    extra: dict[str, Any] = field(default_factory=dict)

    def write(self, path: Path) -> None:
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            json.dump(asdict(self), stream)

    @classmethod
    def read(cls, path: Path) -> Meeting:
        """Where the recorder of a run listens.

        Raises
        ------
        RecorderError
            There is none, or it is of another version.
        """
        try:
            found = cls(**json.loads(path.read_text(encoding="utf-8")))
        except FileNotFoundError:
            raise RecorderError(
                f"nobody is recording this run: {path} is not there. Open the run file itself instead.", path
            ) from None
        except (OSError, ValueError, TypeError) as error:
            raise RecorderError(
                f"{path} cannot be understood ({error}); expected what a recorder wrote there. "
                "The recorder goes on; open the run file to follow it.",
                path,
            ) from error
        if found.protocol != PROTOCOL:
            raise RecorderError(
                f"{path} is of a recorder that speaks version {found.protocol}, this program speaks {PROTOCOL}. "
                "Use the version of satline that started the run.",
                path,
            )
        return found


def meeting_path(run_file: str | Path) -> Path:
    """Where the meeting of a run file's recorder is written."""
    path = Path(run_file)
    return path.with_name(path.name + ".recorder")
