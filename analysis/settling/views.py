"""One view of the pressure, whichever rule it comes from; and the tolerance in force."""

from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.lag import PAIR_FLOOR, slow_drift_lag, wander_of_mean
from analysis.settling.drift import VALUE_WINDOWS, Drift
from analysis.settling.lag_answers import LagAnswers, WindowAnswer
from analysis.settling.noise import NoiseTracker
from analysis.settling.pair_test import PairVerdict, time_to_level
from analysis.settling.settings import SettlingSettings

#: Error of the remaining change that no model term accounts for.  [K]
FLOOR = 0.01
#: A corrected pair this close to what the sensors allow is not waited for any more.
WAITING_GAINS = 1.15
#: A tolerance that the sensors force beyond this many times what was asked for is no tolerance any more.
WIDEST = 4.0


@dataclass(frozen=True, slots=True)
class PressureView:
    """What the decision needs to know about the pressure; kelvin-equivalents and seconds."""

    remaining: float
    u_remaining: float
    level_in: tuple[float, float, float] | None
    passed: bool
    level: bool  # the readings themselves are level, whatever the mode
    width: int
    lag: float
    u_lag: float
    lag_time: float
    u_lag_time: float
    beta: float
    method: str
    #: Means of the lag, wander and wander time of `records.LagCourse`.
    course: tuple[tuple[tuple[int, float, float], ...], float, float] | None = None


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Tolerance in force [K], why it is wider than asked, and whether the sensors are too coarse for any."""

    value: float
    reason: str
    hopeless: bool


def tolerance_in_force(
    asked: float, beta: float, temperature: NoiseTracker, pressure: NoiseTracker, channels: tuple[str, ...]
) -> Tolerance:
    """What the sensors allow: never below twice the uncertainty of a mean of 60 s."""
    needs = {}
    if "temperature" in channels:
        needs["temperature"] = 2.0 * temperature.u_mean(60)
    if "pressure" in channels:
        needs["pressure"] = 2.0 * pressure.u_mean(60) / beta
    needs = {name: need for name, need in needs.items() if math.isfinite(need)}
    if not needs:
        return Tolerance(asked, "", False)
    channel = max(needs, key=lambda name: needs[name])
    need = needs[channel]
    if need <= asked:
        return Tolerance(asked, "", False)
    reason = (
        f"the {channel} readings scatter or step too much for {asked:g} K: a mean of one minute is known to "
        f"{need:.2g} K, so that is the tolerance"
    )
    return Tolerance(need, reason, need > WIDEST * asked)


def view_by_model(
    found: LagAnswers,
    settings: SettlingSettings,
    tolerance: float,
    scale: float,
    noise: NoiseTracker,
    temperature: NoiseTracker,
    longest: int,
) -> PressureView:
    """Choose the value window and test it.

    Parameters
    ----------
    scale : float
        beta at the reference of the model.  [Pa/K]
    noise, temperature : NoiseTracker
        Of the pressure and of the temperature.
    longest : int
        The window must not reach back further.  [s]
    """
    beta = found.relative_slope * scale
    allowed = [w for w in found.windows if w.blocks <= longest]
    clean = bool(allowed)
    allowed = allowed or [found.now]

    def u_value(w: WindowAnswer) -> float:
        return math.hypot(w.u_remaining, noise.u_mean(w.blocks) / beta, FLOOR)

    def u_pair(w: WindowAnswer) -> float:
        wander = wander_of_mean(found.wander, found.wander_time, w.blocks)
        return math.hypot(
            w.u_lag,
            noise.u_mean(w.blocks) / beta,
            temperature.u_mean(w.blocks + found.lag_time),
            settings.lag_share * w.lag,
            settings.remaining_share * w.remaining,
            wander,
            PAIR_FLOOR,
        )

    best = min(allowed, key=lambda w: abs(w.remaining) + 1.96 * u_value(w))
    passed = level = abs(best.remaining) + 1.96 * u_value(best) < settings.raw_share * tolerance
    if settings.mode == "corrected":
        best = min(allowed, key=u_pair)
        longest_mean = VALUE_WINDOWS[-1]
        sensors = math.hypot(noise.u_mean(longest_mean) / beta, temperature.u_mean(longest_mean + found.lag_time))
        # what the sensors leave in the longest mean no waiting takes away
        least = min(WAITING_GAINS * 1.96 * sensors, settings.raw_share * tolerance)
        limit = max(settings.corrected_share * tolerance, least)
        passed = level or (1.96 * u_pair(best) < limit and abs(best.lag) < settings.largest_lag)
    now = found.now
    return PressureView(
        now.remaining,
        math.hypot(now.u_remaining, FLOOR / 2),
        found.level_in,
        passed and clean,
        level,
        best.blocks,
        best.lag,
        best.u_lag,
        found.lag_time,
        found.u_lag_time,
        beta,
        "lag model",
        (tuple((w.blocks, w.lag, w.u_lag) for w in (now, *found.windows)), found.wander, found.wander_time),
    )


def view_by_pair(
    verdict: PairVerdict,
    settings: SettlingSettings,
    tolerance: float,
    beta: float,
    drift: Drift | None,
    phase: str,
    longest: int,
) -> PressureView:
    """The pair test as a view, with the lag of ordinary cells on this drift."""
    if phase == "open":  # the pressure is that of the room, whatever the temperature does
        lag_time, u_lag_time = 0.0, 0.0
    elif phase == "dry":
        lag_time, u_lag_time = settings.assumed_gas_lag, settings.u_assumed_gas_lag
    else:
        lag_time, u_lag_time = settings.assumed_lag, settings.u_assumed_lag
    lag = slow_drift_lag(drift.slope, drift.u_slope, lag_time, u_lag_time) if drift else None
    width = max((w for w in (20, 40, 60) if w <= longest), default=20)
    return PressureView(
        verdict.remaining,
        verdict.u_remaining,
        time_to_level(verdict.remaining, verdict.u_remaining, tolerance),
        verdict.passed and longest >= 20,
        verdict.passed,
        width,
        lag.lag if lag else math.nan,
        lag.u_lag if lag else math.nan,
        lag_time,
        u_lag_time,
        beta,
        "pair test" if len(settings.channels) == 2 else "one channel",
    )
