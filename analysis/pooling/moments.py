"""Consensus of several results by moment estimators: weighted mean, DerSimonian-Laird, Paule-Mandel.

Each takes a full covariance matrix, so that what the results share is not averaged away; with a diagonal one they
are the estimators of the literature.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.pooling.runs import RunResult, covariance

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Consensus:
    """A consensus value.

    `between` is the standard deviation of what the claimed uncertainties leave unexplained, added to each result;
    `interval_95` uses the normal quantile unless `dof` is finite.
    """

    method: str
    value: float
    standard_uncertainty: float
    interval_95: tuple[float, float]
    between: float
    q: float  # generalised chi-square of the results about their weighted mean without `between`
    p_homogeneous: float  # of that q at n - 1 degrees of freedom
    count: int
    dof: float = math.inf


def _gls(values: Floats, matrix: Floats) -> tuple[float, float, float, Floats]:
    """Generalised least-squares mean, its variance, the chi-square and the residual projector."""
    inverse = np.linalg.inv(matrix)
    weights = inverse.sum(axis=1)
    variance = 1.0 / float(weights.sum())
    projector = inverse - np.outer(weights, weights) * variance
    mean = float(weights @ values) * variance
    residual = values - mean
    return mean, variance, float(residual @ inverse @ residual), projector


def _check(values: ArrayLike, matrix: ArrayLike) -> tuple[Floats, Floats]:
    data, cov = np.asarray(values, float), np.asarray(matrix, float)
    if cov.ndim == 1:
        cov = np.diag(cov)
    if not (data.ndim == 1 and len(data) >= 2 and cov.shape == (len(data), len(data))):
        raise ValueError(
            f"a consensus needs at least two values and their covariance; got values {data.shape}, matrix {cov.shape}"
        )
    return data, cov


def _result(method: str, data: Floats, cov: Floats, between2: float, *, knapp: bool = False) -> Consensus:
    from scipy.stats import chi2, norm, t

    count = len(data)
    _, _, q, _ = _gls(data, cov)
    mean, variance, q_now, _ = _gls(data, cov + between2 * np.eye(count))
    dof = math.inf
    half = float(norm.isf(0.025))
    if knapp:
        variance *= q_now / (count - 1)
        dof = count - 1.0
        half = float(t.isf(0.025, dof))
    u = math.sqrt(variance)
    return Consensus(
        method,
        mean,
        u,
        (mean - half * u, mean + half * u),
        math.sqrt(between2),
        q,
        float(chi2.sf(q, count - 1)),
        count,
        dof,
    )


def weighted_mean(values: ArrayLike, matrix: ArrayLike) -> Consensus:
    """Generalised least-squares mean: the claimed covariance is believed, no scatter is added.

    Parameters
    ----------
    values : array_like, shape (n,)
    matrix : array_like, shape (n, n), or (n,) variances
    """
    data, cov = _check(values, matrix)
    return _result("weighted mean", data, cov, 0.0)


def dersimonian_laird(values: ArrayLike, matrix: ArrayLike, *, knapp: bool = False) -> Consensus:
    r"""Consensus with the between-result variance from one step of moments.

    .. math:: \tau^2 = \max[0, (Q - (n-1)) / \mathrm{tr} P], \quad P = W - W 1 1^T W / (1^T W 1)

    with W the inverse of the claimed covariance; for a diagonal W the trace is :math:`\sum w - \sum w^2/\sum w`.

    Parameters
    ----------
    knapp : bool
        Scale the variance by the residual chi-square and use Student's t (Hartung 1999; Knapp and Hartung 2003).

    References
    ----------
    .. [1] R. DerSimonian, N. Laird, Controlled Clinical Trials 7 (1986) 177-188.
    """
    data, cov = _check(values, matrix)
    _, _, q, projector = _gls(data, cov)
    between2 = max(0.0, (q - (len(data) - 1)) / float(np.trace(projector)))
    return _result("DerSimonian-Laird", data, cov, between2, knapp=knapp)


def paule_mandel(values: ArrayLike, matrix: ArrayLike, *, knapp: bool = False) -> Consensus:
    r"""Consensus with the between-result variance that makes the residual chi-square equal to n - 1.

    .. math:: r^T (V + \tau^2 I)^{-1} r = n - 1

    References
    ----------
    .. [1] R. C. Paule, J. Mandel, J. Res. Natl. Bur. Stand. 87 (1982) 377-385.
    """
    from scipy.optimize import brentq

    data, cov = _check(values, matrix)
    count = len(data)
    eye = np.eye(count)

    def excess(between2: float) -> float:
        return _gls(data, cov + between2 * eye)[2] - (count - 1)

    between2 = 0.0
    if excess(0.0) > 0:
        top = float(np.var(data, ddof=1)) + float(np.max(np.diag(cov)))
        while excess(top) > 0:
            top *= 4.0
        between2 = float(brentq(excess, 0.0, top, xtol=1e-14 * top, rtol=1e-13))
    return _result("Paule-Mandel", data, cov, between2, knapp=knapp)


def plain_average(values: ArrayLike) -> Consensus:
    """Mean with the standard deviation of the mean and Student's t: what a spreadsheet gives."""
    from scipy.stats import t

    data = np.asarray(values, float)
    if not len(data) >= 2:
        raise ValueError(f"an average with an uncertainty needs at least two values; got {len(data)}")
    dof = len(data) - 1.0
    mean, u = float(data.mean()), float(np.std(data, ddof=1)) / math.sqrt(len(data))
    half = float(t.isf(0.025, dof)) * u
    return Consensus("plain average", mean, u, (mean - half, mean + half), 0.0, dof, 1.0, len(data), dof)


def consensus_of_runs(runs: Sequence[RunResult], method: str = "Paule-Mandel") -> Consensus:
    """Moment consensus of runs with what they share kept as correlations."""
    estimators = {
        "weighted mean": weighted_mean,
        "DerSimonian-Laird": dersimonian_laird,
        "Paule-Mandel": paule_mandel,
    }
    if method not in estimators:
        raise ValueError(f"no consensus method {method!r}; there are {', '.join(estimators)}")
    return estimators[method]([run.value for run in runs], covariance(runs))
