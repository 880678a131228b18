"""Consensus by the full likelihood: scatter between runs and between benches is averaged over, not plugged in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.pooling.runs import RunResult, Share
from analysis.pooling.sums import ConsensusSums

Floats = NDArray[np.float64]

_FALL = 14.0  # log-likelihood below the top at which the grid is cut: e**-14 of the mass per node is below 1e-5
_ZOOMS = 12


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
    method: str = "full likelihood"


@dataclass(frozen=True)
class _Surface:
    """Conditional mean, variance and log restricted likelihood on a grid, shape (runs, benches)."""

    mean: Floats
    variance: Floats
    log_likelihood: Floats


def _surface(sums: ConsensusSums, tau_run: Floats, tau_bench: Floats) -> _Surface:
    products, crosses, log_d = sums.at(tau_run)
    own2 = sums.own2
    shape = (len(tau_run), len(tau_bench))
    mean, variance, level = np.empty(shape), np.empty(shape), np.empty(shape)
    weight = crosses[:, :, 1]  # of each bench: its column with itself is that with 1
    for column, bench in enumerate(tau_bench):
        # the benches' own effects first: their block is diagonal
        scatter = bench**2 + own2[None, :]
        strength = scatter / (1.0 + scatter * weight)
        reduced = products - np.einsum("gbi,gb,gbj->gij", crosses, strength, crosses, optimize=True)
        log_bench = np.log1p(scatter * weight).sum(axis=1)
        inner = reduced[:, 2:, 2:].copy()
        diagonal = np.arange(inner.shape[1])
        inner[:, diagonal, diagonal] += 1.0
        factor = np.linalg.cholesky(inner)
        half = np.linalg.solve(factor, reduced[:, 2:, :2])
        left = reduced[:, :2, :2] - np.einsum("gij,gik->gjk", half, half)
        information = left[:, 1, 1]
        log_inner = 2.0 * np.log(np.diagonal(factor, axis1=1, axis2=2)).sum(axis=1)
        mean[:, column] = left[:, 0, 1] / information
        variance[:, column] = 1.0 / information
        misfit = left[:, 0, 0] - left[:, 0, 1] ** 2 / information
        level[:, column] = -0.5 * (log_d + log_bench + log_inner + np.log(information) + misfit)
    return _Surface(mean, variance, level)


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
    from scipy.stats import norm

    low, high = float(np.min(mean - 9 * deviation)), float(np.max(mean + 9 * deviation))

    def tail(x: float, level: float) -> float:
        return float(np.sum(weight * norm.cdf((x - mean) / deviation))) - level

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
    """The posterior of the consensus from sums over any number of runs.

    The restricted likelihood (flat prior on the value) times half-Cauchy priors on the two scatters is integrated on a
    grid that zooms in on where the mass is.

    Raises
    ------
    ValueError
        Fewer than two runs.
    """
    if not sums.count >= 2:
        raise ValueError(f"a consensus needs at least two runs; got {sums.count}")
    repeated = sums.count > len(sums.benches) > 1
    points = 33 if sums.width < 60 else 13  # shares: each node costs their cube
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
        common=_common(sums, float(by_run @ tau_run), float(by_bench @ tau_bench)),
        count=sums.count,
        benches=len(sums.benches),
    )


def _common(sums: ConsensusSums, tau_run: float, tau_bench: float) -> float:
    """Standard uncertainty from shared things and benches alone: the limit of endless runs on the same benches."""
    products, crosses, _ = (part[0] for part in sums.at(np.array([tau_run])))
    effects = np.concatenate([np.ones(len(sums.shares)), np.sqrt(tau_bench**2 + sums.own2)])
    inner = np.zeros((len(effects), len(effects)))
    shares = len(sums.shares)
    inner[:shares, :shares] = products[2:, 2:]
    inner[:shares, shares:] = crosses[:, 2:].T
    inner[shares:, :shares] = crosses[:, 2:]
    inner[shares:, shares:] = np.diag(crosses[:, 1])
    ones = np.concatenate([products[2:, 1], crosses[:, 1]])
    pull = ones * effects
    solved = np.linalg.solve(np.eye(len(effects)) + effects[:, None] * inner * effects[None, :], pull)
    total = 1.0 / (products[1, 1] - float(pull @ solved))
    # what the weights of this mean make of each effect; the runs' own parts vanish in the limit
    weights = (ones - inner @ (effects * solved)) * total
    return float(np.sqrt(np.sum((effects * weights) ** 2)))


def likelihood_consensus(runs: Sequence[RunResult]) -> LikelihoodConsensus:
    """The posterior of the consensus of these runs, shared parts kept as correlations."""
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
