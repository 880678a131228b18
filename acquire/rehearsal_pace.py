"""How fast time runs in a rehearsal: faster, slower, a pause; each change is told to the journal."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from acquire import acts
from acquire.acts import Act
from acquire.clocks import RunClock, real_seconds
from acquire.journal import PROGRAM

if TYPE_CHECKING:
    from acquire.session import Session

FASTER, SLOWER, PAUSE = "faster", "slower", "pause"
CHANGES = (FASTER, SLOWER, PAUSE)
#: Run seconds per real second; the port of a rehearsal keeps up with the last.
LADDER = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)


class PaceError(ValueError):
    """Time cannot be changed so; nothing was changed."""


def next_speed(speed: float, change: str) -> float:
    """The speed one step up or down the ladder; at its end the same."""
    if change == FASTER:
        return min((step for step in LADDER if step > speed), default=speed)
    return max((step for step in LADDER if step < speed), default=speed)


class Pace:
    """Speed of one run's clock.

    The run's clock, the simulated device's and so every stamp of a reading are in run seconds, whatever the speed.
    What they cannot tell, how long it took in the room, stands in the journal at each change.

    Parameters
    ----------
    changeable
        Whether every device is simulated; time at a real bench cannot be changed.
    real_time
        Real seconds.

    Threads: any; changes come one after the other from the recorder's clients.
    """

    def __init__(
        self, session: Session, clock: RunClock, *, changeable: bool, real_time: Callable[[], float] = real_seconds
    ) -> None:
        self._session, self._clock = session, clock
        self._changeable, self._real_time = changeable, real_time
        self._before_pause = clock.speed or 1.0
        self._since = real_time()

    def __call__(self, change: str | None = None) -> float | None:
        """The speed now, 0 in a pause, None where time cannot be changed; changed before where a change is named.

        Raises
        ------
        PaceError
        """
        if change is None:
            return self._clock.speed if self._changeable else None
        if change not in CHANGES:
            raise PaceError(f"the change is {change!r}; expected one of {', '.join(CHANGES)}")
        if not self._changeable:
            raise PaceError("time at a real bench cannot be changed or stopped; only a rehearsal can be")
        speed = self._clock.speed
        paused = speed == 0
        if change == PAUSE:
            new = self._before_pause if paused else 0.0
        elif paused:
            # The pause stays; what is chosen is how it goes on.
            self._before_pause = next_speed(self._before_pause, change)
            return 0.0
        else:
            new = next_speed(speed, change)
        if new != speed:
            self._change(speed, new)
        return new

    def _change(self, speed: float, new: float) -> None:
        from acquire.feed import GRACE  # brings numpy, which a window loads only after it is on screen

        now = self._real_time()
        if new == 0:
            self._before_pause, text = speed, "the rehearsal is paused: no reading comes until it goes on"
        elif speed == 0:
            text = f"the rehearsal goes on after a pause of {now - self._since:.0f} s, at {new:g} times real time"
        else:
            text = f"time of the rehearsal runs at {new:g} times real time, before at {speed:g}"
        # First the bound on how far a channel may be ahead, then the clock: a fast clock bunches the readings.
        self._session.run.allow(GRACE * max(new, speed, 1.0))
        if not self._session.run.closed:
            self._session.act(Act(acts.NOTE, PROGRAM, {"text": text, "speed": new}))
        self._clock.set_speed(new)
        self._since = now
