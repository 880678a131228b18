"""Closes a run on a thread of its own, so that the window stays alive while file and report are finished."""

from __future__ import annotations

import threading
from collections.abc import Callable

from acquire.window.language import tr
from acquire.window.start_state import Finished


class Closing:
    """One call of a `finish` function.

    Threads: `_work` is the only code on the closing thread; it writes the result once, before the thread ends.  The
    window's thread reads it after `done`.
    """

    def __init__(self, finish: Callable[[], Finished]) -> None:
        self._finish = finish
        self._result: Finished | None = None
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin, once."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="satline closing")
            self._thread.start()

    def _work(self) -> None:
        self._result = self._finish()

    @property
    def started(self) -> bool:
        return self._thread is not None

    @property
    def done(self) -> bool:
        return self._thread is not None and not self._thread.is_alive()

    @property
    def result(self) -> Finished | None:
        """None while it is not done."""
        if not self.done:
            return None
        # Nothing written means that the closing itself broke; its traceback went to standard error.
        return self._result or Finished(trouble=tr("The run file could not be closed in order; check it with verify."))

    def wait(self) -> Finished:
        """The result; begins now if nobody has, and waits as long as it takes: a file is never left half closed."""
        self.start()
        assert self._thread is not None
        self._thread.join()
        assert self.result is not None
        return self.result
