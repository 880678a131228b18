"""What the lag model knows, in the terms of the bench: lag, still to come, effective lag time, time to level."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.settling.coupling import poles
from analysis.settling.drift import VALUE_WINDOWS, Drift
from analysis.settling.hypotheses import (
    CONDENSING,
    EVAPORATION,
    FILL,
    FRACTION,
    GAIN,
    GAS_BASIS,
    LIQUID,
    SLOWNESS,
    STATES,
    TAIL,
    WARM,
)
from analysis.settling.lag_model import GAS, LagModel
from analysis.settling.trail import Array

#: Windows that are answered for: the last second, and those of values.  [s]
WINDOWS = (1, *VALUE_WINDOWS)
#: Hypotheses less likely than this share of the best one are left out of the answers.
SHARE = 3e-3
#: ... and so are all beyond the best few, whose sum of probabilities is near one anyway.
MOST = 16
#: Times at which the approach is looked at for the forecast.  [s]
AHEAD = np.concatenate([np.arange(0.0, 60.0, 4.0), np.geomspace(60.0, 1200.0, 33)])
#: The interval of the forecast is widened by this factor, this many seconds, and these shares of the time itself, down
#: and up: lags change from step to step in more ways than the model has.  Calibrated to 90 % on simulated flasks.
WIDER, BLUR, SOONER, LATER = 1.3, 1.0, 0.08, 0.05


#: No forecast is worked out for what is this clearly level already.  [tolerances]
LEVEL = 0.8


@dataclass(frozen=True, slots=True)
class WindowAnswer:
    """Means over one value window: lag [K], remaining change [K-equivalents], and their standard uncertainties."""

    blocks: int
    lag: float
    u_lag: float
    remaining: float
    u_remaining: float


@dataclass(frozen=True, slots=True)
class LagAnswers:
    """All windows; the effective lag time [s]; dp/dT relative to the reference with what was learned.

    `wander` is the standard deviation of what model and sensors were seen to wander by  [K-equivalents], `wander_time`
    over how long  [s].
    """

    windows: tuple[WindowAnswer, ...]
    now: WindowAnswer
    lag_time: float
    u_lag_time: float
    relative_slope: float
    level_in: tuple[float, float, float] | None
    wander: float
    wander_time: float


def _pool(weight: Array, each: Array, own: Array) -> tuple[Array, Array]:
    """Mean and sd of a mixture over the last axis."""
    mean = each @ weight
    return mean, np.sqrt(np.maximum((own + (each - mean[..., None]) ** 2) @ weight, 0.0))


def answers(
    model: LagModel, vapour_slope: float, bath: Drift, level_noise: float, tolerance: float, forecasting: bool = True
) -> LagAnswers | None:
    """Ask the model.

    Parameters
    ----------
    vapour_slope : float
        Slope of the saturation curve here, in reference units.
    bath : Drift
        Slow drift of the bath and what the temperature itself still has to come.
    level_noise : float
        The last temperature handed to the model minus its smooth value.  [K]
    tolerance : float
        For the forecast.  [K]
    forecasting : bool
        Whether to make the forecast too, which is the larger part of the work.

    Returns
    -------
    LagAnswers, or None before the first second.
    """
    drift, u_drift = bath.slope, bath.u_slope
    g = model.grid
    weight = model.weights()
    pick = np.flatnonzero(weight > SHARE * weight.max())
    if len(pick) > MOST:
        pick = np.sort(np.argpartition(weight, -MOST)[-MOST:])
    weight = weight[pick] / weight[pick].sum()
    theta, cov = model.theta[:, pick], model.cov[:, :, pick]
    liquid, evaporation, slow = g.liquid[pick] * (1.0 + model.filters.cooling), g.evaporation[pick], g.slow[pick]
    gas_slope = model.gas_slope()
    delay = np.zeros((STATES, len(pick)))  # effective lag time, times the slope, as coefficients of the states
    delay[GAIN] = vapour_slope * (liquid + evaporation)
    delay[LIQUID] = vapour_slope * liquid
    delay[EVAPORATION] = vapour_slope * evaporation
    if drift < 0.0:  # then vapour condenses
        delay[CONDENSING] = -vapour_slope * evaporation
    delay[GAS] = (gas_slope * GAS_BASIS)[:, None]
    delay[FRACTION] = vapour_slope * (slow - evaporation)
    delay[SLOWNESS] = vapour_slope * slow
    slope = gas_slope + theta[GAIN] * vapour_slope
    lag_time = (delay * theta).sum(axis=0) / slope
    delay /= slope
    delay[GAIN] -= lag_time * vapour_slope / slope
    gaps = model.gaps_over(WINDOWS, pick)
    if len(gaps) == 0:
        return None
    lag = (gaps * theta).sum(axis=1) / slope
    gaps /= slope
    gaps[:, GAIN] -= lag * vapour_slope / slope
    # The target is the slow drift itself: readings are replaced by their fit, their own noise is no lag.
    noise = np.array([level_noise, *bath.recent])[: len(gaps), None]
    remaining = lag - noise - drift * lag_time + bath.remaining
    # Rows whose variance is asked for: remaining change and lag of every window, and the effective lag time.
    rows = np.concatenate([gaps - drift * delay, gaps, delay[None]]).transpose(2, 0, 1)
    variances = np.einsum("hks,hks->kh", np.matmul(rows, cov.transpose(2, 0, 1)), rows)
    own, own_lag = variances[: len(gaps)], variances[len(gaps) : -1]
    lag_mean, lag_sd = _pool(weight, lag, own_lag)
    u_bath = (lag_time * u_drift) ** 2 + bath.u_value**2
    rest_mean, rest_sd = _pool(weight, remaining, own + u_bath)
    windows = [
        WindowAnswer(*row)
        for row in zip(WINDOWS, lag_mean.tolist(), lag_sd.tolist(), rest_mean.tolist(), rest_sd.tolist(), strict=False)
    ]
    mean_lag_time, u_lag_time = _pool(weight, lag_time, variances[-1])
    forecast = None
    if abs(windows[0].remaining) + 1.645 * windows[0].u_remaining < LEVEL * tolerance:
        forecast = (0.0, 0.0, 0.0)
    elif forecasting:
        shape = _approach(model, pick, vapour_slope, drift)
        forecast = _time_to_level(weight, remaining[0], own[0] + u_bath, shape, tolerance)
    return LagAnswers(
        tuple(windows[1:]),
        windows[0],
        float(mean_lag_time),
        float(u_lag_time),
        float(weight @ slope),
        forecast,
        model.wander_seen(),
        model.prior.wander_time,
    )


def _approach(model: LagModel, pick: NDArray[np.intp], vapour_slope: float, drift: float) -> Array:
    """How the remaining change of every hypothesis dies away, as a share of now, shape (H, times)."""
    g, f, theta = model.grid, model.filters, model.theta[:, pick]
    gain = theta[GAIN]
    by_liquid = np.clip(theta[LIQUID] / gain, -0.6, 0.6)
    by_evaporation = np.clip(theta[EVAPORATION] / gain, -0.6, 0.6)
    # The two lags in a row, and the liquid's own, as long as they were found.
    liquid = g.liquid[pick] * np.exp(by_liquid)
    found = poles(liquid, g.evaporation[pick] * np.exp(by_evaporation), f.cooling)
    first, second = found.first, found.second
    slow = g.slow[pick]
    fade_f, fade_e, fade_s = (np.exp(-AHEAD / lag[:, None]) for lag in (first, second, slow))
    level = model.level
    # What liquid, vapour and slow vapour still lack against the slow drift, shifted to the time constants found.
    longer = np.log(first / model.first[pick])
    warm = level - drift * first - f.first[pick] - longer * f.first_by_log[pick]
    here = float(np.interp(level, model.curve[0], model.curve[1]))
    vapour = (
        f.vapour[pick] + by_liquid * f.vapour_by_log_liquid[pick] + by_evaporation * f.vapour_by_log_evaporation[pick]
    )
    lacks = here - vapour_slope * drift * (first + second) - vapour
    lacks_slow = here - vapour_slope * drift * (liquid * (1.0 + f.cooling) + slow) - f.slow[pick]
    fraction = theta[FRACTION]
    cascade = (vapour_slope * warm * first / (first - second))[:, None] * (fade_f - fade_e)
    tail = (vapour_slope * warm * first / (first - slow))[:, None] * (fade_f - fade_s)
    quick = lacks[:, None] * fade_e + cascade
    late = lacks_slow[:, None] * fade_s + tail
    gas = level - drift * GAS_BASIS - f.gas
    out = (gain - fraction)[:, None] * quick + fraction[:, None] * late
    out += model.gas_slope() * ((theta[GAS].T * gas) @ np.exp(-AHEAD / GAS_BASIS[:, None]))
    out -= theta[FILL, :, None] * fade_e + theta[WARM, :, None] * fade_f + theta[TAIL, :, None] * fade_s
    now = out[:, :1]
    small = np.abs(now) < 1e-3
    slowest = np.where(fraction[:, None] > 0.0, fade_s, np.maximum(fade_f, fade_e))
    return np.where(small, slowest, out / np.where(small, 1.0, now))


#: Quantiles of a normal distribution that stand for the uncertainty of one hypothesis, and their weights.
_NODES = np.array([-1.65, -0.8, 0.0, 0.8, 1.65])
_NODE_WEIGHTS = np.array([0.11, 0.24, 0.30, 0.24, 0.11])


def _time_to_level(
    weight: Array, remaining: Array, variance: Array, shape: Array, tolerance: float
) -> tuple[float, float, float] | None:
    """(5 %, 50 %, 95 %) of the time until |remaining| stays below the tolerance; None beyond the horizon."""
    start = remaining[:, None] + np.sqrt(np.maximum(variance, 0.0))[:, None] * _NODES  # (H, nodes)
    over = np.abs(start[:, :, None] * shape[:, None, :]) > tolerance  # (H, nodes, times)
    count = over.shape[2]
    last = count - 1 - np.argmax(over[:, :, ::-1], axis=2)
    any_over = over.any(axis=2)
    last = np.where(any_over, last, 0)
    following = np.minimum(last + 1, count - 1)
    rows = np.arange(len(weight))[:, None]
    a, b = np.abs(start * shape[rows, last]), np.abs(start * shape[rows, following])
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(b < a, (a - tolerance) / (a - b), 1.0)
    when = np.where(any_over, AHEAD[last] + np.clip(part, 0.0, 1.0) * (AHEAD[following] - AHEAD[last]), 0.0)
    flat, w = when.ravel(), (weight[:, None] * _NODE_WEIGHTS).ravel()
    order = np.argsort(flat, kind="stable")
    total = np.cumsum(w[order])
    low, middle, high = np.interp([0.05, 0.5, 0.95], total / total[-1], flat[order])
    low = (1.0 - SOONER) * middle - WIDER * (middle - low) - BLUR
    high = (1.0 + LATER) * middle + WIDER * (high - middle) + BLUR
    if middle >= AHEAD[-1] * 0.98:
        return None
    return max(float(low), 0.0), float(middle), float(high)
