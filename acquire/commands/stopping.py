"""A run in the terminal is closed first when Ctrl+C, the system or the loss of its terminal asks it to end."""

from __future__ import annotations

import contextlib
import os
import signal
import stat
import sys
import threading
from collections.abc import Iterator
from types import FrameType
from typing import Any

#: Ctrl+C; what a service manager and a shutdown send; the terminal or the ssh connection went; a console was closed.
ENDING = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")


class StopRequest:
    """Whether the run was asked to end, and by what."""

    def __init__(self) -> None:
        self.by = ""  # name of the signal

    def __bool__(self) -> bool:
        return bool(self.by)


@contextlib.contextmanager
def stop_request() -> Iterator[StopRequest]:
    """Notes signals instead of being ended by them while the block runs, so that closing is not broken off either.

    A signal that is ignored already (`nohup`) stays ignored.
    """
    asked = StopRequest()

    def note(number: int, frame: FrameType | None) -> None:
        asked.by = asked.by or signal.Signals(number).name

    before: dict[int, Any] = {}
    try:
        if threading.current_thread() is threading.main_thread():  # no other may set handlers
            for name in ENDING:
                number = getattr(signal, name, None)
                if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
                    before[number] = signal.signal(number, note)
        yield asked
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        if asked.by == "SIGHUP":
            without_terminal()


def without_terminal() -> None:
    """What is still to be said has nobody to read it; saying it must not end in an error."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError, AttributeError):
            # one that was hung up is no terminal any more, but still a character device
            if stat.S_ISCHR(os.fstat(stream.fileno()).st_mode):
                nowhere = os.open(os.devnull, os.O_WRONLY)
                os.dup2(nowhere, stream.fileno())
                os.close(nowhere)
