"""Findings that need the traces: gas let out, leak, cell not conditioned, vapour not saturated, lag too long."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.findings import Finding
from analysis.findings_points import ALARM, LEAK_ALARM, Z_LEAK, Z_ONE_SIDED, Z_TRACE_LEAK, Z_TWO_SIDED
from analysis.fit_input import SensorPriors
from analysis.liquids import Liquid
from analysis.refusal import FitRefused
from analysis.trace_fit import TraceFit, fit_trace
from analysis.trapped_air import CellSetup, SealedBaseline

Array = NDArray[np.float64]
#: Tight simulated cells pass `Z_TRACE_LEAK` in 2 % of runs, and this threshold of refusal in 1 %: the lags of the fit
#: are not quite the cell's.
Z_TRACE_REFUSE, TRACE_ALARM = 3.2, 0.02
SUDDEN = 1000.0  # [Pa] a stopper that lifts lets out more than this within two seconds
HOLD_SHARE = 0.25  # of a hold: with a longer lag than this no correction can be trusted
KNOWN_LAG = 0.06  # [K] half the usual tolerance: a correction this sure cannot hide a cell that is not saturated
CELL_NOT_WORTH = 0.2 / 60.0  # [K/s] a dry cell that changes less in a minute costs a few parts in a thousand
NOT_WORTH = 0.1  # [K] what is still to come below this is of no account, it is the usual tolerance of settling
#: A drift's uncertainty from so short a window is itself uncertain, the more where the readings wander slowly: found by
#: asking that closed, dry, quiet cells be accused as seldom as stated.
DRIFT_U_FACTOR = 1.65


@dataclass(frozen=True, slots=True)
class PlateauWindow:
    """Where a point was taken.

    Parameters
    ----------
    first, last : float
        The readings that made the point.  [s]
    begun : float
        When the step before it began (water poured, or the charge).  [s]
    branch : str
        "up", "down" or "return".
    u_lag : float
        Standard uncertainty of the lag that the point was corrected for; NaN where it was not.  [K]
    """

    first: float
    last: float
    begun: float
    branch: str = "up"
    u_lag: float = math.nan


@dataclass(frozen=True, slots=True)
class Drift:
    """Slope of a stretch of readings with its standard uncertainty, and their mean."""

    slope: float
    u_slope: float
    mean: float


@dataclass(frozen=True, slots=True)
class TraceReport:
    """The fit of the whole trace (None where there is too little of it), and what was found."""

    trace: TraceFit | None
    findings: tuple[Finding, ...]

    @property
    def leak(self) -> float | None:
        """The leak rate over its uncertainty; None without a fit."""
        return self.trace.leak_rate / self.trace.u_leak_rate if self.trace is not None else None


def drift_of(time: Array, values: Array) -> Drift | None:
    """Least-squares slope; neighbours' correlation widens the uncertainty.  None with fewer than ten readings."""
    good = np.isfinite(values)
    if good.sum() < 10:
        return None
    t, y = time[good] - float(np.mean(time[good])), values[good]
    sxx = float(t @ t)
    slope = float(t @ (y - y.mean())) / sxx
    rest = y - y.mean() - slope * t
    variance = float(rest @ rest) / (len(y) - 2)
    r = float(np.clip(rest[1:] @ rest[:-1] / max(float(rest @ rest), 1e-300) + 2.0 / len(y), 0.0, 0.9))
    u = math.sqrt(variance / sxx * (1 + r) / (1 - r))
    return Drift(slope, u, float(y.mean()))


def find_in_traces(
    time: ArrayLike,
    temperature: ArrayLike,
    pressure: ArrayLike,
    *,
    baseline: SealedBaseline,
    sealed: tuple[float, float] | None,
    charged: float,
    windows: Sequence[PlateauWindow],
    setup: CellSetup,
    liquid: Liquid | None,
    sensors: SensorPriors | None = None,
    beta: Callable[[float], float] | None = None,
    ended: float = math.inf,
) -> TraceReport:
    """All findings of the traces of one run.

    Parameters
    ----------
    time, temperature, pressure : array_like
        Means of one second, shape (n,), NaN where there is none.  [s], [K], [Pa]
    baseline, setup, liquid, sensors
        As for the fit.
    sealed : (float, float), optional
        First and last second of the closed, dry cell.  [s]
    charged, ended : float
        When the liquid went in; when the cell was opened again.  [s]
    windows
        One for each point.
    beta : callable, optional
        dp/dT of the total pressure, [K] -> [Pa/K]; without it the fit of the trace gives it.
    """
    t, x, p = (np.asarray(a, dtype=float) for a in (time, temperature, pressure))
    keep = t < ended
    t, x, p = t[keep], x[keep], p[keep]
    found = [*_sudden(t, p, charged)]
    trace = None
    with suppress(FitRefused):  # too short or too wild a trace: the tests of the windows are left
        trace = fit_trace(t, x, p, baseline=baseline, setup=setup, liquid=liquid, charged=charged, sensors=sensors)
    returned = any(w.branch in ("return", "down") for w in windows)
    if sealed is not None:
        found += _not_conditioned(t, x, p, sealed)
    if trace is not None:
        found += _leak(trace, returned)
        found += _lag_too_long(trace, windows)
    slope = beta or _beta_of(trace, baseline)
    if slope is not None:
        drifts = [_corrected_drift(t, x, p, w, slope) for w in windows]
        found += _first_rises(drifts, windows, trace, slope, x, t)
        if trace is None:
            found += _all_fall(drifts, returned)
    return TraceReport(trace, tuple(found))


def _sudden(t: Array, p: Array, charged: float) -> list[Finding]:
    """A fall within two seconds that stays: the stopper lifted."""
    later = t > charged + 30
    t, p = t[later], p[later]
    if len(t) < 30:
        return []
    filled = np.interp(t, t[np.isfinite(p)], p[np.isfinite(p)]) if np.isfinite(p).any() else p
    step = filled[2:] - filled[:-2]
    usual = 1.4826 * float(np.median(np.abs(step - np.median(step))))
    threshold = max(SUDDEN, 8 * usual)
    for k in np.flatnonzero(step < -threshold):
        before = np.median(filled[max(k - 5, 0) : k + 1])
        after = np.median(filled[k + 2 : k + 12])
        if before - after > 0.7 * threshold:
            facts = {"time": float(t[k]), "drop": float(before - after)}
            return [Finding("gas-let-out", "refuse", float(before - after), threshold, "trace", facts, None, 1e-4)]
    return []


def _leak(trace: TraceFit, returned: bool) -> list[Finding]:
    z = trace.leak_rate / trace.u_leak_rate
    if z <= Z_TRACE_LEAK:
        return []
    variant = "returned" if returned else "alone"
    severity = "refuse" if z > Z_TRACE_REFUSE and not returned else "doubt"
    return [Finding("leak", severity, z, Z_TRACE_LEAK, variant, {"time": 1 / trace.leak_rate}, None, TRACE_ALARM)]


def _lag_too_long(trace: TraceFit, windows: Sequence[PlateauWindow]) -> list[Finding]:
    holds = [w.last - w.begun for w in windows if w.last > w.begun]
    # Where every point carries its lag with a small uncertainty the correction was made and its doubt is counted in the
    # interval: there is nothing left to tell.
    if not holds or all(math.isfinite(w.u_lag) and 0.0 < w.u_lag < KNOWN_LAG for w in windows):
        return []
    # The median hold: one short plateau does not make the others worthless.
    hold = float(np.median(holds))
    share = (trace.lag - trace.u_lag) / hold
    if share <= HOLD_SHARE:
        return []
    facts = {"lag": trace.lag, "hold": hold}
    return [Finding("lag-too-long", "refuse", share, HOLD_SHARE, "", facts, None, 0.001)]


def _not_conditioned(t: Array, x: Array, p: Array, sealed: tuple[float, float]) -> list[Finding]:
    """Closed dry air whose pressure moves although its bath does not: the cell was not at the bath's temperature."""
    inside = (t >= sealed[0]) & (t <= sealed[1])
    in_p, in_t = drift_of(t[inside], p[inside]), drift_of(t[inside], x[inside])
    if in_p is None or in_t is None:
        return []
    own = in_p.mean / in_t.mean
    moved = in_p.slope - own * in_t.slope
    u = DRIFT_U_FACTOR * math.hypot(in_p.u_slope, own * in_t.u_slope)
    if u == 0 or abs(moved) <= Z_TWO_SIDED * u:
        return []
    rate = moved / own
    if abs(rate) < CELL_NOT_WORTH:
        return []
    variant = "warming" if rate > 0 else "cooling"
    return [
        Finding("cell-not-conditioned", "doubt", abs(moved) / u, Z_TWO_SIDED, variant, {"rate": abs(rate)}, None, ALARM)
    ]


def _beta_of(trace: TraceFit | None, baseline: SealedBaseline) -> Callable[[float], float] | None:
    if trace is None:
        return None
    from analysis.liquids import GAS_CONSTANT

    vapour, tm, s = trace.pressure_vapour, trace.temperature, trace.apparent_enthalpy
    air = baseline.pressure / baseline.temperature

    def beta(temperature: float) -> float:
        there = vapour * math.exp(-s / GAS_CONSTANT * (1 / temperature - 1 / tm))
        return there * s / (GAS_CONSTANT * temperature**2) + air

    return beta


def _corrected_drift(
    t: Array, x: Array, p: Array, window: PlateauWindow, beta: Callable[[float], float]
) -> tuple[float, float] | None:
    """Drift of the pressure that the drift of the bath does not explain, and its uncertainty.  [Pa/s]"""
    inside = (t >= window.first) & (t <= window.last)
    in_p, in_t = drift_of(t[inside], p[inside]), drift_of(t[inside], x[inside])
    if in_p is None or in_t is None:
        return None
    b = beta(in_t.mean)
    return in_p.slope - b * in_t.slope, DRIFT_U_FACTOR * math.hypot(in_p.u_slope, b * in_t.u_slope)


def _first_rises(
    drifts: Sequence[tuple[float, float] | None],
    windows: Sequence[PlateauWindow],
    trace: TraceFit | None,
    beta: Callable[[float], float],
    x: Array,
    t: Array,
) -> list[Finding]:
    """What is still to come at the first point, drift times lag, against a tenth of a kelvin."""
    order = sorted(range(len(windows)), key=lambda k: windows[k].first)
    if not order or (first := drifts[order[0]]) is None:
        return []
    slope, u = first
    window = windows[order[0]]
    lag = trace.lag if trace is not None else 0.25 * (window.last - window.begun)
    inside = (t >= window.first) & (t <= window.last)
    worth = NOT_WORTH * beta(float(np.nanmean(x[inside])))
    if u == 0 or slope <= Z_ONE_SIDED * u or slope * lag <= worth:
        return []
    facts = {"rate": slope, "to_come": slope * lag}
    return [Finding("not-saturated", "doubt", slope / u, Z_ONE_SIDED, "", facts, None, ALARM)]


def _all_fall(drifts: Sequence[tuple[float, float] | None], returned: bool) -> list[Finding]:
    known = [d for d in drifts[1:] if d is not None and d[1] > 0]
    if len(known) < 2:
        return []
    weights = np.array([1 / u**2 for _, u in known])
    mean = float(weights @ [d for d, _ in known] / weights.sum())
    z = -mean * math.sqrt(float(weights.sum()))
    if z <= Z_LEAK:
        return []
    severity = "doubt" if returned else "refuse"
    return [Finding("leak", severity, z, Z_LEAK, "plateaus", {"rate": -mean}, None, LEAK_ALARM)]
