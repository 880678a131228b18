"""Settling without a lag model: has the pressure stopped changing *against the temperature*?

A bath that loses heat is never flat, so the pressure is not asked whether it is flat but whether its difference to the
temperature, z = p/beta - T, still has a slope: an equivalence test (two one-sided tests) on that slope, with the
uncertainty of a line through correlated readings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.settling.records import ChannelState, State
from analysis.settling.trail import Array, Line, fit_line

#: A slope of z is read as an exponential approach with this time constant: remaining change = slope * this.
#: Median effective lag of ordinary flasks; longer ones make the test too trusting, which the window length offsets.
APPROACH = 60.0  # [s]
#: Of the tolerance, what the test may use up; the study's choice for 1 % false accepts.
SHARE = 1.0
#: Past this many approach times nothing sensible is forecast.
HORIZON = 1800.0  # [s]


@dataclass(frozen=True, slots=True)
class PairVerdict:
    """What the pair test found: remaining change of z [K], its uncertainty [K], and the line itself."""

    remaining: float
    u_remaining: float
    line: Line
    passed: bool


def pair_test(
    time: Array, z: Array, *, tolerance: float, sd_floor: float = 0.0, quantum: float = 0.0
) -> PairVerdict | None:
    """Equivalence test on the slope of z over the window given; None with too few blocks.

    Parameters
    ----------
    time, z : array, shape (n,)
        Block times [s] and p/beta - T [K], NaN where disturbed.
    tolerance : float
        Remaining change that is still accepted.  [K]
    """
    line = fit_line(time, z, quantum=quantum, sd_floor=sd_floor)
    if line is None:
        return None
    remaining, u_remaining = line.slope * APPROACH, line.u_slope * APPROACH
    passed = abs(remaining) + 1.645 * u_remaining < SHARE * tolerance
    return PairVerdict(remaining, u_remaining, line, passed)


def time_to_level(
    remaining: float, u_remaining: float, tolerance: float, approach: float = APPROACH
) -> tuple[float, float, float] | None:
    """(5 %, 50 %, 95 %) of the time until the amount of `remaining` is below the tolerance in an exponential approach.

    The spread of the approach time itself (a factor of 1.6 either way, 90 %) is part of the interval.
    """
    low = max(abs(remaining) - 1.645 * u_remaining, 1e-9) / tolerance
    high = (abs(remaining) + 1.645 * u_remaining) / tolerance
    middle = max(abs(remaining) / tolerance, 1.0)
    times = (
        approach / 1.6 * math.log(max(low, 1.0)),
        approach * math.log(middle),
        approach * 1.6 * math.log(max(high, 1.0)),
    )
    return times if times[1] < HORIZON else None


def channel_state(
    remaining: float,
    u_remaining: float,
    level_in: tuple[float, float, float] | None,
    *,
    tolerance: float,
    scale: float,
) -> ChannelState:
    """A remaining change [K-equivalents] as the state of a channel, in its own unit (times `scale`)."""
    if not math.isfinite(remaining):
        return ChannelState(State.UNKNOWN)
    if abs(remaining) + 1.645 * u_remaining < tolerance:
        state, level_in = State.LEVEL, (0.0, 0.0, 0.0)
    elif level_in is not None:
        state = State.EASING
    else:
        state = State.MOVING
    return ChannelState(state, remaining * scale, u_remaining * abs(scale), level_in)
