"""Published and everyday rules for "it has settled", on the same blocks as the judge.

Each takes temperature and pressure of the blocks since the step (NaN where missing) and gives the first second it
accepts, or NaN.  Both channels have to be accepted together.

R statistic: ratio of two estimates of variance by moving averages (Cao and Rhinehart 1995; formula from memory).
Kelly and Hedengren: share of a window within a band about a drifting mean (J. Process Control 23 (2013) 326-331;
formula from memory).
Slope equivalence: two one-sided tests (Schuirmann 1987) on the slope of a line, with an AR(1) factor.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from analysis.settling.trail import fit_line

Array = np.ndarray
HOLD = 5


def _filled(x: Array) -> Array:
    good = np.isfinite(x)
    return np.interp(np.arange(len(x)), np.flatnonzero(good), x[good]) if good.any() else x


def _first_held(ok: Array) -> float:
    run = 0
    for k, good in enumerate(ok):
        run = run + 1 if good else 0
        if run > HOLD:
            return float(k)
    return float("nan")


def fixed_wait(seconds: float) -> Callable[..., float]:
    """Wait so long after the step, whatever happens."""
    return lambda temperature, pressure, beta, tolerance: float(seconds)


def unchanged_digits(step_t: float, step_p: float, hold: int = 10) -> Callable[..., float]:
    """Neither display, rounded to its step, has changed for so many seconds."""

    def rule(temperature: Array, pressure: Array, beta: float, tolerance: float) -> float:
        t, p = np.round(_filled(temperature) / step_t), np.round(_filled(pressure) / step_p)
        same = np.concatenate([[False], (t[1:] == t[:-1]) & (p[1:] == p[:-1])])
        count = 0
        for k, s in enumerate(same):
            count = count + 1 if s else 0
            if count >= hold and k > 20:
                return float(k)
        return float("nan")

    return rule


def r_statistic(weight: float = 0.05, critical: float = 2.0) -> Callable[..., float]:
    """Filtered variance about a moving mean over filtered variance of differences, below a critical ratio."""

    def ratio(x: Array) -> Array:
        x = _filled(x)
        mean, nu, delta = x[0], 0.0, 1e-12
        out = np.empty(len(x))
        for k in range(len(x)):
            nu = weight * (x[k] - mean) ** 2 + (1 - weight) * nu
            mean = weight * x[k] + (1 - weight) * mean
            delta = weight * (x[k] - x[max(k - 1, 0)]) ** 2 + (1 - weight) * delta
            out[k] = (2 - weight) * nu / max(delta, 1e-30)
        return out

    def rule(temperature: Array, pressure: Array, beta: float, tolerance: float) -> float:
        ok = (ratio(temperature) < critical) & (ratio(pressure) < critical)
        ok[:20] = False
        return _first_held(ok)

    return rule


def kelly_hedengren(window: int = 120, share: float = 0.6) -> Callable[..., float]:
    """Share of the window within tolerance/3 of the mean after the drift's part in the noise is taken off."""

    def settled(x: Array, sd: float) -> Array:
        x = _filled(x)
        ok = np.zeros(len(x), bool)
        for k in range(window, len(x)):
            part = x[k - window : k]
            slope = np.mean(np.diff(part))
            mean = np.mean(part) - slope * (window - 1) / 2.0
            ok[k] = np.mean(np.abs(part - mean) <= 1.96 * sd) >= share
        return ok

    def rule(temperature: Array, pressure: Array, beta: float, tolerance: float) -> float:
        return _first_held(settled(temperature, tolerance / 3.0) & settled(pressure / beta, tolerance / 3.0))

    return rule


def slope_equivalence(window: int = 90, *, pair: bool = False) -> Callable[..., float]:
    """Slope times one minute is within tolerance for sure, of each channel or (pair) of p/beta - T."""

    def settled(x: Array, tolerance: float) -> Array:
        ok = np.zeros(len(x), bool)
        time = np.arange(window, dtype=float)
        for k in range(window, len(x)):
            line = fit_line(time, x[k - window : k])
            ok[k] = line is not None and (abs(line.slope) + 1.645 * line.u_slope) * 60.0 < tolerance
        return ok

    def rule(temperature: Array, pressure: Array, beta: float, tolerance: float) -> float:
        if pair:
            return _first_held(settled(pressure / beta - temperature, tolerance))
        return _first_held(settled(temperature, tolerance) & settled(pressure / beta, tolerance))

    return rule


RIVALS: dict[str, Callable[..., float]] = {
    "wait 60 s": fixed_wait(60),
    "wait 120 s": fixed_wait(120),
    "wait 240 s": fixed_wait(240),
    "wait 420 s": fixed_wait(420),
    "digits 0.1 K/0.5 kPa": unchanged_digits(0.1, 500.0),
    "digits 0.1 K/0.1 kPa": unchanged_digits(0.1, 100.0),
    "R statistic": r_statistic(),
    "Kelly-Hedengren": kelly_hedengren(),
    "slope equivalence": slope_equivalence(),
    "pair equivalence": slope_equivalence(pair=True),
}
