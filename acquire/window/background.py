"""One call on a thread of its own, so that the window stays alive while it takes its seconds."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

T = TypeVar("T")


class Background(Generic[T]):
    """Calls something once.

    Threads: `_work` is the only code on the thread; it writes the result once, before the thread ends.  The window's
    thread reads it after `done`.

    Parameters
    ----------
    broken
        Makes the result where the call itself broke; its traceback goes to standard error.
    """

    def __init__(self, call: Callable[[], T], name: str, broken: Callable[[], T]) -> None:
        self._call, self._name, self._broken = call, name, broken
        self._result: T | None = None
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin, once."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name=self._name)
            self._thread.start()

    def _work(self) -> None:
        self._result = self._call()

    @property
    def started(self) -> bool:
        return self._thread is not None

    @property
    def done(self) -> bool:
        return self._thread is not None and not self._thread.is_alive()

    @property
    def result(self) -> T | None:
        """None while it is not done."""
        if not self.done:
            return None
        return self._result if self._result is not None else self._broken()

    def wait(self) -> T:
        """The result; begins now if nobody has, and waits as long as it takes."""
        self.start()
        assert self._thread is not None
        self._thread.join()
        return self._result if self._result is not None else self._broken()
