"""The only module that reads the machine's time; everything else has its clock handed in."""

from __future__ import annotations

import datetime as dt
import math
import time
from collections.abc import Callable

Clock = Callable[[], float]


class RunClock:
    """Seconds since it was made, on the monotonic clock, times a speed that may change while it runs.

    Parameters
    ----------
    speed
        Run seconds per real second; 1 at a real bench, more on a simulated one.
    held
        Stay at 0 until `begin`: a simulated bench does not play before somebody listens.

    Threads: `set_speed` and reading may come from different threads; the pair (origin, offset, speed) is
    replaced as one tuple, so a reader sees the old or the new one, never a mixture.
    """

    def __init__(self, speed: float = 1.0, *, held: bool = False) -> None:
        if not speed > 0:
            raise ValueError(f"speed is {speed:g}; it must be above 0")
        self._state = (math.inf if held else time.monotonic(), 0.0, speed)

    def __call__(self) -> float:
        origin, offset, speed = self._state
        return offset + (time.monotonic() - origin) * speed if origin < math.inf else offset

    def begin(self) -> None:
        """Let time run that was held; nothing where it runs already."""
        origin, offset, speed = self._state
        if origin == math.inf:
            self._state = (time.monotonic(), offset, speed)

    @property
    def speed(self) -> float:
        return self._state[2]

    def set_speed(self, speed: float) -> None:
        """Go on from the present run time at another speed; 0 pauses."""
        if not speed >= 0:
            raise ValueError(f"speed is {speed:g}; it must not be below 0 (0 is a pause)")
        origin, offset, old = self._state
        if origin == math.inf:
            self._state = (origin, offset, speed)
            return
        now = time.monotonic()
        self._state = (now, offset + (now - origin) * old, speed)


class ManualClock:
    """A clock that moves only when told to, for tests, replay and simulation as fast as possible."""

    def __init__(self, start: float = 0.0) -> None:
        self._now = start

    def __call__(self) -> float:
        return self._now

    def advance_to(self, now: float) -> None:
        if now < self._now:
            raise ValueError(f"time cannot go back from {self._now:g} s to {now:g} s")
        self._now = now


def wall_clock_iso() -> str:
    """Local date and time with offset, to the millisecond, as ISO 8601."""
    return dt.datetime.now().astimezone().isoformat(timespec="milliseconds")


def real_seconds() -> float:
    """Monotonic seconds of the machine, for progress and measured durations."""
    return time.monotonic()


def wait(seconds: float) -> None:
    """Let real time pass."""
    time.sleep(seconds)
