"""A line that plays a script: bytes arrive, nothing arrives, the cable is pulled. A small honest fake."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from drivers.errors import PortClosedError, PortLostError


class ManualClock:
    """Time moves only when told to, never backwards."""

    def __init__(self, now: float = 0.0) -> None:
        self.now = now

    def __call__(self) -> float:
        return self.now

    def move(self, seconds: float) -> None:
        """Let `seconds` pass."""
        if seconds < 0:
            raise ValueError(f"time can not go back by {-seconds} s")
        self.now += seconds


class ScriptedTransport:
    """Plays a list of bytes (b"" is an idle poll), errors (raised) and callables (called); then stays idle."""

    def __init__(self, script: Iterable[bytes | OSError | Callable[[], object]], url: str = "scripted") -> None:
        self.url = url
        self.fileno = None
        self.written = bytearray()
        self.closed = False
        self.finished = False
        self._script = iter(script)

    def read(self, wait: float = 0.05) -> bytes:
        self._check()
        for item in self._script:
            if isinstance(item, OSError):
                raise PortLostError(self.url, str(item)) from item
            if isinstance(item, bytes):
                return item
            item()
        self.finished = True
        return b""

    def write(self, data: bytes) -> None:
        self._check()
        self.written += data

    def discard_input(self) -> None:
        self._check()

    def close(self) -> None:
        self.closed = True

    def _check(self) -> None:
        if self.closed:
            raise PortClosedError(self.url)
