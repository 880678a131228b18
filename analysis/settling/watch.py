"""Watches for what is not settling: a step of the bath, a lifted probe, a knock, a lone wild reading."""

from __future__ import annotations

import math
from enum import Enum

#: A wild reading leaves both neighbours by this many sd and comes back.
WILD = 6.0
#: Departures beyond this many sd, plus the margin, are events.
EVENT = 5.0
EVENT_MARGIN = 0.12  # [K]
#: The same for the pressure against its prediction, which is far better known than a line would be.
KNOCK = 4.0
KNOCK_MARGIN = 0.06  # [K-equivalents]
#: A bath that has not turned back after this long has been changed on purpose.
STEP_AFTER = 15.0  # [s]
#: A probe that has not come back after this long has not been lifted.
BRIDGE_LONGEST = 45.0  # [s]
#: The pressure is left out for this long at most after a knock, and events are not looked for again for so long.
MASK_LONGEST, REARM = 50.0, 25.0  # [s]
#: Back on its course means within this share of the limit for so many blocks.
BACK, BACK_FOR = 0.35, 5


def is_wild(before: float, value: float, after: float, sd: float) -> bool:
    """Whether a block leaves both neighbours by more than 6 sd to the same side while they agree with each other."""
    up, down = value - before, value - after
    if not (math.isfinite(up) and math.isfinite(down)) or up * down <= 0.0:
        return False
    smaller = min(abs(up), abs(down))
    return smaller > WILD * sd and abs(after - before) < 0.5 * smaller


class Bath(Enum):
    """What the temperature watch has just decided."""

    QUIET = "quiet"
    BEGIN = "begin"  # something happens, not yet clear what; the readings are used for the time being
    OPEN = "open"
    STEP = "step"  # the bath was changed, since `started`
    LIFTED = "lifted"  # the probe was lifted: the readings since `started` are not the bath's
    BRIDGED = "bridged"
    BACK = "back"


class TemperatureWatch:
    """Tells a step of the bath from a lifted probe.

    Both begin with a departure from the fitted drift; the probe comes back towards the old drift, the bath does not.
    """

    def __init__(self) -> None:
        self.state = Bath.QUIET
        self.started = math.nan
        self._peak = 0.0
        self._quiet_until = -math.inf
        self._near = 0

    def rest(self, until: float) -> None:
        """Look for nothing before `until` [s] (a change is already known)."""
        self.state, self._quiet_until = Bath.QUIET, until

    def look(self, time: float, departure: float, limit: float) -> Bath:
        """One block: departure of the last two blocks from the drift before [K], and its limit [K]."""
        if not math.isfinite(departure):
            return self.state
        size = abs(departure)
        if self.state is Bath.QUIET:
            if time < self._quiet_until or size <= limit:
                return Bath.QUIET
            self.state, self.started, self._peak, self._near = Bath.OPEN, time - 2.0, size, 0
            return Bath.BEGIN
        since = time - self.started
        if self.state is Bath.OPEN:
            self._peak = max(self._peak, size)
            if size < 0.6 * self._peak:
                self.state = Bath.BRIDGED
                return Bath.LIFTED
            if since >= STEP_AFTER:
                self.rest(time + 5.0)
                return Bath.STEP
            return Bath.OPEN
        self._near = self._near + 1 if size < limit else 0
        if self._near >= 2:
            self.rest(time + 3.0)
            return Bath.BACK
        if since >= BRIDGE_LONGEST:
            self.rest(time + 5.0)
            return Bath.STEP
        return Bath.BRIDGED


class PressureWatch:
    """Masks the pressure after a knock until it is back on its prediction.

    After a mask it does not look again for a while: otherwise one bad prediction would keep the mask for ever.
    """

    def __init__(self) -> None:
        self.masked = False
        self.gave_up = False
        self._since = math.nan
        self._armed_from = -math.inf
        self._near = 0

    def rest(self, until: float) -> None:
        self.masked, self._armed_from = False, until

    def look(self, time: float, departure: float, limit: float) -> bool:
        """One block: departure of the last two from the prediction [K-equivalents]; True while masked."""
        self.gave_up = False
        if not math.isfinite(departure):
            return self.masked
        size = abs(departure)
        if not self.masked:
            if time >= self._armed_from and size > limit:
                self.masked, self._since, self._near = True, time, 0
            return self.masked
        self._near = self._near + 1 if size < BACK * limit else 0
        if self._near >= BACK_FOR or time - self._since >= MASK_LONGEST:
            self.gave_up = self._near < BACK_FOR
            self.rest(time + REARM)
        return self.masked
