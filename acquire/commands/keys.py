"""Single keys of a terminal as acts, for a run without a window; never blocks."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Iterator

from acquire import acts
from acquire.acts import Act
from acquire.recorder_setup import RecordedRun
from acquire.rehearsal_pace import FASTER, PAUSE, SLOWER
from acquire.run import ActRefused

#: key -> act; the same keys as in the bench window where it has them.
KEYS = {
    "b": acts.BEGIN,
    " ": acts.TAKE,
    "\x7f": acts.SET_ASIDE,
    "\b": acts.SET_ASIDE,
    "v": acts.VALVE_CLOSED,
    "o": acts.VALVE_OPENED,
    "c": acts.CHARGED,
    "w": acts.WARMED,
    "k": acts.COOLED,
    "s": acts.NEXT,
    "u": acts.UNDO,
    "r": acts.REDO,
    "e": acts.VENTED,
    "F": acts.FINISH,
}
#: In a rehearsal: key -> what becomes of the speed of time; > < and p as in the window.
PACE = {"+": FASTER, ">": FASTER, "-": SLOWER, "<": SLOWER, "p": PAUSE}
HELP = (
    "keys: b begin · v valve closed · o valve opened · c charged · w warmed · k cooled · Space take · "
    "Backspace set aside · u undo · r redo · s next step · e vented · n note · F finish"
)
STORED_HELP = (  # where the bench acts of a stored run come by themselves
    "keys: Space take · Backspace set aside · u undo · r redo · n note · F finish"
)


class TerminalKeys:
    """Takes what was typed since the last call and does it."""

    def __init__(self, read: Callable[[], str], tell: Callable[[str], None]) -> None:
        self._read, self._tell = read, tell
        self.rehearsed = False  # whether + - p change the speed of time
        self._note: str | None = None  # text of a note being typed

    def __call__(self, live: RecordedRun) -> None:
        for key in self._read():
            self._press(key, live)

    def _press(self, key: str, live: RecordedRun) -> None:
        if self._note is not None:
            self._type(key, live)
        elif key == "n":
            self._note = ""
            self._tell("note: type the text, Return ends it")
        elif key in KEYS:
            self._do(Act(KEYS[key]), live)
        elif self.rehearsed and key in PACE:
            self._pace(key, live)

    def _type(self, key: str, live: RecordedRun) -> None:
        assert self._note is not None
        if key in "\r\n":
            text, self._note = self._note.strip(), None
            if text:
                self._do(Act(acts.NOTE, data={"text": text}), live)
        elif key in "\b\x7f":
            self._note = self._note[:-1]
        elif key.isprintable():
            self._note += key

    def _pace(self, key: str, live: RecordedRun) -> None:
        new = live.pace(PACE[key])
        self._tell("paused: p goes on" if not new else f"time runs at {new:g} times real time")

    def _do(self, act: Act, live: RecordedRun) -> None:
        try:
            live.act(act)
        except ActRefused as refused:
            self._tell(str(refused))


@contextlib.contextmanager
def terminal_keys(tell: Callable[[str], None]) -> Iterator[TerminalKeys | None]:
    """Single keys of the terminal while the block runs; None where there is no terminal to type at."""
    if not sys.stdin.isatty():
        yield None
        return
    if os.name == "nt":
        yield TerminalKeys(_windows_keys, tell)
        return
    import select
    import termios
    import tty

    descriptor = sys.stdin.fileno()
    before = termios.tcgetattr(descriptor)

    def read() -> str:
        try:
            ready, _, _ = select.select([descriptor], [], [], 0)
            return os.read(descriptor, 256).decode("utf-8", errors="ignore") if ready else ""
        except OSError:  # the terminal was closed
            return ""

    tty.setcbreak(descriptor)
    try:
        yield TerminalKeys(read, tell)
    finally:
        with contextlib.suppress(termios.error):  # the terminal was closed
            # At once: a terminal that nobody reads from, or that was stopped by Ctrl+S, never drains.
            termios.tcsetattr(descriptor, termios.TCSANOW, before)


def _windows_keys() -> str:
    import msvcrt

    typed = ""
    while msvcrt.kbhit():  # type: ignore[attr-defined]
        typed += msvcrt.getwch()  # type: ignore[attr-defined]
    return typed
