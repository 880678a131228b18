"""The lag hypotheses: a coarse grid of time constants, each with a linear neighbourhood for a Kalman filter."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from analysis.settling.trail import Array

#: Families of hypotheses.
PLAIN, SLOW, LEAK = 0, 1, 2

#: States of one hypothesis.
(
    OFFSET, GAIN, LIQUID, EVAPORATION, FRACTION, SLOWNESS, CONDENSING,
    GAS_1, GAS_2, GAS_3, FILL, WARM, TAIL, WANDER, SEEP,
) = range(15)  # fmt: skip
STATES = 15

#: Time constants whose sum, with free coefficients, stands for the way the gas follows the probe.  [s]
GAS_BASIS = np.array([8.0, 24.0, 65.0])


@dataclass(frozen=True)
class Grid:
    """Time constants of every hypothesis [s], its family, and prior knowledge.

    Shapes: (H,) throughout; `log_prior` holds the natural logarithm of the prior probability, `half_*` the prior sd
    of the logarithm of each time constant inside its cell.
    """

    liquid: Array
    evaporation: Array
    slow: Array
    family: NDArray[np.int64]
    log_prior: Array
    sd_liquid: Array
    sd_evaporation: Array
    gas_mean: Array
    gas_cov: Array


def _log_normal(tau: Array | float, median: float, sd: float) -> Array:
    return -0.5 * (np.log(tau / median) / sd) ** 2


@lru_cache(maxsize=4)
def gas_prior(median: float = 28.0, spread: float = 0.7) -> tuple[Array, Array]:
    """Mean (3,) and covariance (3, 3) of the gas coefficients over ordinary flasks.

    Every gas lag of 3-110 s, seen through probes of 3-10 s, is written as a sum of the basis lags (least squares on
    the response to a bath that mixes within 10 s); the coefficients are averaged with a log-normal weight of the lag.
    """
    t = np.arange(0.0, 400.0, 2.0)

    def response(tau: float | Array) -> Array:
        # step of the bath mixed with 10 s, then one lag tau
        tau = np.asarray(tau) + 1e-3
        return 1.0 - (tau * np.exp(-t / tau) - 10.0 * np.exp(-t / 10.0)) / (tau - 10.0)

    base = response(1e-3)
    x = np.stack([response(b) - base for b in GAS_BASIS], axis=1)
    lags = np.exp(np.linspace(np.log(3.0), np.log(110.0), 25))
    rows, weights = [], []
    for lag in lags:
        for probe in (3.3, 6.6, 9.9):
            lead = probe / lag
            y = lead * base + (1.0 - lead) * response(lag) - base
            rows.append(np.linalg.solve(x.T @ x + 0.02 * np.eye(3), x.T @ y))
            weights.append(np.exp(_log_normal(lag, median, spread)))
    c, w = np.array(rows), np.array(weights) / np.sum(weights)
    mean = w @ c
    away = c - mean
    return mean, (away * w[:, None]).T @ away + 0.01**2 * np.eye(3)


#: Time constants of liquid and evaporation.  A leak needs all of them too: on a coarser grid its hypotheses are out of
#: the race before it shows.  With a slow mode the evaporation matters less.  [s]
LIQUIDS = (20.0, 30.0, 45.0, 68.0, 102.0)
EVAPORATIONS, EVAPORATIONS_SLOW = (10.0, 17.0, 29.0, 50.0, 86.0), (12.0, 29.0, 70.0)


def make_grid(
    *,
    liquid: tuple[float, ...] = LIQUIDS,
    evaporation: tuple[float, ...] = EVAPORATIONS,
    slow: tuple[float, ...] = (130.0, 220.0),
    p_slow: float = 0.3,
    p_leak: float = 0.05,
) -> Grid:
    """All pairs of lags: plain, leaking, and with a slow mode."""
    rows: list[tuple[float, float, float, int, float, float]] = []
    prior: list[float] = []

    def add(
        family: int, share: float, liquids: tuple[float, ...], evaporations: tuple[float, ...], slows: tuple[float, ...]
    ) -> None:
        cells = [(a, b, s) for a in liquids for b in evaporations for s in slows]
        t = np.array(cells)
        log_p = _log_normal(t[:, 0], 36.0, 0.55) + _log_normal(t[:, 1], 28.0, 0.75)
        log_p = log_p - np.log(np.exp(log_p).sum()) + np.log(share)
        rows.extend((*cell, family, _inside(liquids), _inside(evaporations)) for cell in cells)
        prior.extend(log_p.tolist())

    add(PLAIN, 1.0 - p_slow - p_leak, liquid, evaporation, (slow[0],))
    add(SLOW, p_slow, liquid, EVAPORATIONS_SLOW if evaporation == EVAPORATIONS else evaporation, slow)
    if p_leak > 0.0:
        add(LEAK, p_leak, liquid, evaporation, (slow[0],))
    table = np.array(rows)
    return Grid(
        table[:, 0],
        table[:, 1],
        table[:, 2],
        table[:, 3].astype(np.int64),
        np.array(prior),
        table[:, 4],
        table[:, 5],
        *gas_prior(),
    )


def _inside(values: tuple[float, ...]) -> float:
    """Prior sd of the logarithm of a time constant inside its cell."""
    return 1.3 * float(np.mean(np.diff(np.log(values)))) / np.sqrt(12.0)
