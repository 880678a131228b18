"""What the settling judge takes and gives: blocks, states, gates, judgements; no arithmetic."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from itertools import pairwise

#: The two channels a judge looks at; keys of `Judgement.channels`.
TEMPERATURE = "temperature"
PRESSURE = "pressure"


@dataclass(frozen=True, slots=True)
class Block:
    """One second of readings, reduced to one robust mean per channel.

    Parameters
    ----------
    index : int
        Which second; blocks come in increasing order.
    time : float
        Centre of the second.  [s]
    temperature, pressure : float
        Robust mean of the good readings of that second, NaN where there is none.  [K, Pa]
    n_temperature, n_pressure : int
        How many readings went in.
    quantum_temperature, quantum_pressure : float
        Step between neighbouring codes of the sensor as far as it is known, else 0.  [K, Pa]
    """

    index: int
    time: float
    temperature: float
    pressure: float
    n_temperature: int = 1
    n_pressure: int = 1
    quantum_temperature: float = 0.0
    quantum_pressure: float = 0.0


class State(Enum):
    """How far a trace has settled."""

    LEVEL = "level"  # what is still to come is below the tolerance
    EASING = "easing"  # not yet, but the moment is forecast
    MOVING = "moving"  # not yet, and no moment can be given
    UNKNOWN = "unknown"  # too few readings to say


@dataclass(frozen=True, slots=True)
class ChannelState:
    """The settling of one trace.

    Parameters
    ----------
    state : State
    still_to_come : float
        Forecast of the remaining change beyond the slow drift of the bath (what the trace would still do if
        the bath stood still from now on; positive = it will rise).  NaN while unknown.  [K or Pa]
    u_still_to_come : float
        Its standard uncertainty.  [K or Pa]
    level_in : tuple of float or None
        (5 % point, median, 95 % point) of the time until the trace is level, None where no forecast is
        possible.  [s]
    """

    state: State
    still_to_come: float = math.nan
    u_still_to_come: float = math.nan
    level_in: tuple[float, float, float] | None = None

    @property
    def interval_95(self) -> tuple[float, float]:
        """95 % interval of what is still to come.  [K or Pa]"""
        half = 1.96 * self.u_still_to_come
        return self.still_to_come - half, self.still_to_come + half


@dataclass(frozen=True, slots=True)
class Gate:
    """One reason why no plateau is proposed, in a word for programs and a sentence for people."""

    code: str
    text: str


#: A lag that was still changing is taken to go on with this time constant.  [s]
EASING = 40.0


def _eased(seconds: float) -> float:
    """How long a change lasts in effect that dies away with `EASING`.  [s]"""
    return -EASING * math.expm1(-seconds / EASING)


@dataclass(frozen=True, slots=True)
class LagCourse:
    """The lag over the last seconds, so that a point of any window gets the lag of that window.

    Parameters
    ----------
    end : float
        The last second that the means reach to.  [s]
    means : tuple of (int, float, float)
        Over the last so many seconds, in increasing order: mean lag and its standard uncertainty.  [s, K, K]
    wander, wander_time : float
        Standard deviation of what sensors and model were seen to wander by, and over how long.  [K, s]
    """

    end: float
    means: tuple[tuple[int, float, float], ...]
    wander: float
    wander_time: float

    def over(self, first: float, last: float) -> tuple[float, float]:
        """Mean lag from the first to the last second (both included) and its standard uncertainty.  [K]

        Between the known means the lag is taken as constant from one to the next, and before the longest as there.
        After `end` it eases off from the rate that it had.
        """
        late, early = self.end - last, self.end - first + 1.0
        seconds = early - late
        rate = (self.means[0][1] - self.means[1][1]) / (0.5 * self.means[1][0]) if len(self.means) > 1 else 0.0
        lag = (self._sum(early, rate) - self._sum(late, rate)) / seconds
        known = [(s, u) for s, _, u in self.means]
        at = min(max(early, known[0][0]), known[-1][0])
        u = next((u for s, u in reversed(known) if s <= at), known[0][1])
        for (s0, u0), (s1, u1) in pairwise(known):
            if s0 <= at <= s1:
                u = u0 + (u1 - u0) * (at - s0) / (s1 - s0)
        return lag, math.hypot(
            u,
            rate * _eased(max(-late, 0.0)),
            lag - self._sum(known[-1][0], rate) / known[-1][0] if early > 1.5 * known[-1][0] else 0.0,
        )

    def _sum(self, seconds: float, rate: float) -> float:
        """Sum of the lag over the last so many seconds; negative: minus the sum over those that follow."""
        before_s, before = 0.0, 0.0
        if seconds < 0.0:
            return self.means[0][1] * seconds - rate * EASING * (-seconds - _eased(-seconds))
        slope = self.means[0][1]
        for s, lag, _ in self.means:
            slope = (s * lag - before) / (s - before_s)
            if seconds <= s:
                break
            before_s, before = float(s), s * lag
        return before + slope * (seconds - before_s)


@dataclass(frozen=True, slots=True)
class Judgement:
    """What is known about settling after one block.

    Parameters
    ----------
    time : float
        Time of the block.  [s]
    channels : mapping of str to ChannelState
        "temperature" and "pressure".
    ready : bool
        A plateau now: a point may be taken from `window`.
    window : tuple of float or None
        First and last second that the value should be taken from, when `ready`.  [s]
    gates : tuple of Gate
        Everything that stands against a plateau, empty when `ready`.
    lag : float
        Probe temperature minus the temperature that belongs to the pressure, mean over `window` (over the
        last seconds when there is no window).  NaN while unknown.  [K]
    u_lag : float
        Its standard uncertainty.  [K]
    drift, u_drift : float
        Slow drift of the bath.  [K/s]
    lag_time, u_lag_time : float
        Effective lag of the pressure behind the probe on a slow drift.  [s]
    beta : float
        dp/dT of the total pressure in force, NaN while unknown.  [Pa/K]
    tolerance : float
        Tolerance in force, in kelvin-equivalents (pressure divided by beta).  [K]
    tolerance_reason : str
        Empty, or why the tolerance is wider than asked for.
    noise_temperature, noise_pressure : float
        Standard deviation of one block mean.  [K, Pa]
    correlation_temperature, correlation_pressure : float
        Lag-one correlation of the block means.
    step_time : float
        When the last step of the bath began, NaN before the first.  [s]
    slow_tail : float
        Probability, pooled over the flask, that part of the vapour relaxes within minutes.
    leak, u_leak : float
        Change of pressure that neither temperature nor lag explains.  [Pa/s]
    method : str
        "lag model", "pair test" or "one channel".
    course : LagCourse or None
        The lag over other windows than `window`, where the lag model runs.
    """

    time: float
    channels: Mapping[str, ChannelState]
    ready: bool
    window: tuple[float, float] | None
    gates: tuple[Gate, ...]
    lag: float = math.nan
    u_lag: float = math.nan
    drift: float = math.nan
    u_drift: float = math.nan
    lag_time: float = math.nan
    u_lag_time: float = math.nan
    beta: float = math.nan
    tolerance: float = math.nan
    tolerance_reason: str = ""
    noise_temperature: float = math.nan
    noise_pressure: float = math.nan
    correlation_temperature: float = 0.0
    correlation_pressure: float = 0.0
    step_time: float = math.nan
    slow_tail: float = math.nan
    leak: float = math.nan
    u_leak: float = math.nan
    method: str = "pair test"
    channels_used: tuple[str, ...] = field(default=(TEMPERATURE, PRESSURE))
    course: LagCourse | None = None


class SettlingInputError(ValueError):
    """Blocks or settings that cannot be judged; the sentence says what was found and what was expected."""
