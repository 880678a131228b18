"""Consensus with the scatter between runs and between benches averaged over by its likelihood, not plugged in.

At each amount of scatter the mean has the weights of `weights` and the uncertainty of all stated parts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.pooling.runs import RunResult, Share
from analysis.pooling.sums import ConsensusSums
from analysis.pooling.weights import Levelled, levelled

Floats = NDArray[np.float64]

_FALL = 14.0  # log-likelihood below the top at which the grid is cut: e**-14 of the mass per node is below 1e-5
_ZOOMS = 12
_AT_ONCE = 1_000_000  # numbers of one array on the grid


@dataclass(frozen=True)
class LikelihoodConsensus:
    """A consensus value with everything averaged over the plausible amounts of unexplained scatter.

    `between_runs`, `between_benches` are posterior means of the two standard deviations; `between_benches` is NaN
    when no bench has two runs (the two cannot be told apart then, and `between_runs` holds both).
    `prediction_95` is where a new bench's run with a typical own uncertainty would lie, u_own excluded.
    """

    value: float
    standard_uncertainty: float
    interval_95: tuple[float, float]
    between_runs: float
    between_benches: float
    between_benches_95: tuple[float, float]
    prediction_95: tuple[float, float]
    common: float  # part of the standard uncertainty that more runs on the same benches cannot remove
    count: int
    benches: int
    method: str = "weighed by what is not shared, scatter by restricted likelihood"


@dataclass(frozen=True)
class _Surface:
    """Mean, its variance, the part of that from endless runs, and log restricted likelihood; shape (runs, benches)."""

    mean: Floats
    variance: Floats
    lasting: Floats
    log_likelihood: Floats


def _shared(sums: ConsensusSums) -> Levelled:
    """What the benches with runs share with each other."""
    there = sums.runs > 0
    count = sums.runs[there, None]
    return levelled(sums.members[there] / count, sums.parts[there] / count)


def _surface(sums: ConsensusSums, tau_run: Floats, tau_bench: Floats) -> _Surface:
    """On a grid of the two scatters; see `sums` and `weights` for how runs and benches are weighed."""
    shared, there = _shared(sums), sums.runs > 0
    squares, crosses, log_d = sums.at(tau_run)
    weight = crosses[:, None, there, 1]
    value = crosses[:, None, there, 0] / weight  # of each bench
    parts = crosses[:, there, 2:] / weight[:, 0, :, None]
    within = (squares - np.sum(weight * value**2, axis=(1, 2)) + log_d + np.log(weight).sum(axis=(1, 2)))[:, None]
    found = []
    # as many columns at once as memory allows
    step = max(1, _AT_ONCE // (weight.size * (1 + shared.members.shape[1])))
    for first in range(0, len(tau_bench), step):
        steady = tau_bench[first : first + step, None] ** 2 + sums.own2[there]
        alone = 1.0 / weight + steady
        share = shared.weights(alone)
        lasting = np.sum(share**2 * steady, axis=-1) + np.sum((share @ parts) ** 2, axis=-1)
        found.append(
            (
                np.sum(share * value, axis=-1),
                lasting + np.sum(share**2 / weight, axis=-1),
                lasting,
                -0.5 * (within + _restricted(shared, alone, np.broadcast_to(value, alone.shape))),
            )
        )
    return _Surface(*(np.concatenate(columns, axis=1) for columns in zip(*found, strict=True)))


def _restricted(shared: Levelled, alone: Floats, value: Floats) -> Floats:
    """Log determinants and chi-square of the benches by the levelled covariance, for arrays of shape (..., benches).

    Stated differences of a common error are no knowledge of it here either: they would leave the errors that groups
    have in common to the scatter of the benches.
    """
    spread = shared.members * np.sqrt(shared.variance)
    precise = 1.0 / alone
    bare = np.stack([value, np.ones_like(value)], axis=-1)
    weighed = spread.T * precise[..., None, :]
    inner = weighed @ spread + np.eye(spread.shape[1])
    factor = np.linalg.cholesky(inner)
    half = np.linalg.solve(factor, weighed @ bare)
    left = np.swapaxes(bare, -1, -2) @ (precise[..., None] * bare) - np.swapaxes(half, -1, -2) @ half
    information = left[..., 1, 1]
    log_inner = 2.0 * np.log(np.diagonal(factor, axis1=-2, axis2=-1)).sum(axis=-1)
    return (
        np.log(alone).sum(axis=-1)
        + log_inner
        + np.log(information)
        + left[..., 0, 0]
        - left[..., 0, 1] ** 2 / information
    )


def _log_prior(tau: Floats, scale: float) -> Floats:
    """Half-Cauchy at half the typical own uncertainty: flat where scatter is small, proper where it is large.

    A. Gelman, Bayesian Analysis 1 (2006) 515-533.  The whole own uncertainty as scale covers 96.2 to 96.6 % in the
    coverage benchmark, half of it 95.1 to 96.2 %.
    """
    return -np.log1p((2.0 * tau / scale) ** 2)


def _window(weights: Floats, nodes: Floats) -> tuple[float, float]:
    """The part of the nodes that carries mass, one node wider."""
    carrying = np.flatnonzero(weights > math.exp(-_FALL))
    return float(nodes[max(carrying[0] - 1, 0)]), float(nodes[min(carrying[-1] + 1, len(nodes) - 1)])


def _interval(mean: Floats, deviation: Floats, weight: Floats) -> tuple[float, float]:
    from scipy.optimize import brentq
    from scipy.special import ndtr

    low, high = float(np.min(mean - 9 * deviation)), float(np.max(mean + 9 * deviation))

    def tail(x: float, level: float) -> float:
        return float(np.sum(weight * ndtr((x - mean) / deviation))) - level

    tolerance = 1e-9 * float(np.max(deviation))
    return (
        float(brentq(tail, low, high, args=(0.025,), xtol=tolerance)),
        float(brentq(tail, low, high, args=(0.975,), xtol=tolerance)),
    )


def _weighted_interval(nodes: Floats, weight: Floats) -> tuple[float, float]:
    cumulative = np.cumsum(weight) - weight / 2
    low, high = np.interp([0.025, 0.975], cumulative, nodes)
    return float(low), float(high)


def consensus_of_sums(sums: ConsensusSums) -> LikelihoodConsensus:
    """The consensus from sums over any number of runs.

    The restricted likelihood (flat prior on the value) times half-Cauchy priors on the two scatters is integrated on a
    grid that zooms in on where the mass is; at each of its points the value is the mean weighted as in `weights`, with
    the uncertainty that all stated parts give it.

    Raises
    ------
    ValueError
        Fewer than two runs.
    """
    if not sums.count >= 2:
        raise ValueError(f"a consensus needs at least two runs; got {sums.count}")
    repeated = sums.count > int(np.count_nonzero(sums.runs)) > 1
    points = 33 if sums.width < 60 else 13  # shares: each node costs the cube of their groups
    s_run, s_bench = (0.0, 0.99), ((0.0, 0.99) if repeated else (0.0, 0.0))
    for _ in range(_ZOOMS):
        grid_run = np.linspace(*s_run, points)
        grid_bench = np.linspace(*s_bench, points if repeated else 1)
        tau_run = sums.scale * grid_run / (1 - grid_run)
        tau_bench = sums.scale * grid_bench / (1 - grid_bench)
        surface = _surface(sums, tau_run, tau_bench)
        # densities in s: the prior in tau times dtau/ds
        level = (
            surface.log_likelihood
            + (_log_prior(tau_run, sums.scale) - 2 * np.log1p(-grid_run))[:, None]
            + ((_log_prior(tau_bench, sums.scale) - 2 * np.log1p(-grid_bench)) if repeated else np.zeros(1))[None, :]
        )
        weight = np.exp(level - level.max())
        # the two ends of a grid count half
        for axis in range(2):
            if weight.shape[axis] > 1:
                ends = np.ones(weight.shape[axis])
                ends[[0, -1]] = 0.5
                weight = weight * np.expand_dims(ends, 1 - axis)
        over_run, over_bench = weight.max(axis=1), weight.max(axis=0)
        narrower_run = _window(over_run, grid_run)
        narrower_bench = _window(over_bench, grid_bench) if repeated else s_bench
        if (narrower_run, narrower_bench) == (s_run, s_bench):
            break
        s_run, s_bench = narrower_run, narrower_bench
    weight /= weight.sum()
    return _summarise(sums, surface, weight, tau_run, tau_bench, repeated)


def _summarise(
    sums: ConsensusSums, surface: _Surface, weight: Floats, tau_run: Floats, tau_bench: Floats, repeated: bool
) -> LikelihoodConsensus:
    mean = float(np.sum(weight * surface.mean))
    variance = float(np.sum(weight * (surface.variance + (surface.mean - mean) ** 2)))
    deviation = np.sqrt(surface.variance)
    low, high = _interval(surface.mean, deviation, weight)
    scatter = np.sqrt(surface.variance + tau_run[:, None] ** 2 + tau_bench[None, :] ** 2)
    new_low, new_high = _interval(surface.mean, scatter, weight)
    by_run, by_bench = weight.sum(axis=1), weight.sum(axis=0)
    return LikelihoodConsensus(
        value=sums.centre + mean,
        standard_uncertainty=math.sqrt(variance),
        interval_95=(sums.centre + low, sums.centre + high),
        between_runs=float(by_run @ tau_run),
        between_benches=float(by_bench @ tau_bench) if repeated else math.nan,
        between_benches_95=_weighted_interval(tau_bench, by_bench) if repeated else (math.nan, math.nan),
        prediction_95=(sums.centre + new_low, sums.centre + new_high),
        common=math.sqrt(float(np.sum(weight * surface.lasting))),
        count=sums.count,
        benches=int(np.count_nonzero(sums.runs)),
    )


def likelihood_consensus(runs: Sequence[RunResult]) -> LikelihoodConsensus:
    """The consensus of these runs; what they share is carried whole."""
    if not len(runs) >= 2:
        raise ValueError(f"a consensus needs at least two runs; got {len(runs)}")
    sums = sums_of(runs)
    return consensus_of_sums(sums)


def sums_of(runs: Sequence[RunResult]) -> ConsensusSums:
    """Sums with benches, shares and working point taken from the runs themselves."""
    benches = sorted({run.bench for run in runs})
    members: dict[Share, set[str]] = {}
    for run in runs:
        for share in run.shared:
            members.setdefault(share, set()).add(run.bench)
    values = np.array([run.value for run in runs])
    own = np.array([run.u_own for run in runs])
    spread = 1.4826 * float(np.median(np.abs(values - np.median(values))))
    sums = ConsensusSums(
        benches,
        sorted(share for share, of in members.items() if len(of) > 1),
        {share for share, of in members.items() if len(of) == 1},
        centre=float(np.median(values)),
        scale=math.hypot(float(np.median(own)), 0.5 * spread),
    )
    sums.add(runs)
    return sums


def restricted_deviation(runs: Sequence[RunResult]) -> float:
    """Between-run deviation at the top of the restricted likelihood, benches not told apart (REML).

    For comparison with other programs; the consensus averages over it instead.
    """
    from scipy.optimize import minimize_scalar

    sums = sums_of(runs)

    def minus(s: float) -> float:
        tau = np.array([sums.scale * s / (1 - s)])
        return -float(_surface(sums, tau, np.zeros(1)).log_likelihood[0, 0])

    best = minimize_scalar(minus, bounds=(0.0, 0.99), method="bounded", options={"xatol": 1e-9})
    return float(sums.scale * best.x / (1 - best.x))
