"""Consensus of several results by moment estimators: weighted mean, DerSimonian-Laird, Paule-Mandel.

Without shared parts they are the estimators of the literature.  With them the weights are those of `weights`, and the
shared parts stay whole in the uncertainty of the mean.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.pooling.runs import Parts, RunResult
from analysis.pooling.weights import Levelled, levelled

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


@dataclass(frozen=True)
class _Claims:
    """Values with what is claimed of them: own variances, shape (n,), and signed shared parts, shape (n, things)."""

    values: Floats
    own: Floats
    parts: Floats
    shared: Levelled

    @classmethod
    def of(cls, values: ArrayLike, variances: ArrayLike, parts: ArrayLike | None) -> _Claims:
        data, own = np.asarray(values, float), np.asarray(variances, float)
        if not (data.ndim == 1 and len(data) >= 2 and own.shape == data.shape):
            raise ValueError(
                f"a consensus needs at least two values and their variances; got values {data.shape}, variances "
                f"{own.shape}"
            )
        columns = np.zeros((len(data), 0)) if parts is None else np.asarray(parts, float)
        if not (columns.ndim == 2 and len(columns) == len(data)):
            raise ValueError(f"expected a row of shared parts for each of {len(data)} values; got {columns.shape}")
        return cls(data, own, columns, levelled((columns != 0).astype(float), columns))

    def spread(self, between2: float) -> tuple[float, float]:
        """Chi-square of the values about their mean, and the trace of its projector.

        By the levelled covariance: stated differences of a common error are no knowledge of it here either.
        """
        groups = self.shared.members
        inverse = np.linalg.inv(np.diag(self.own + between2) + (groups * self.shared.variance) @ groups.T)
        sums = inverse.sum(axis=1)
        projector = inverse - np.outer(sums, sums) / float(sums.sum())
        # about a value within the data: no digits are lost to the size of the values
        residual = self.values - self.values[0]
        return float(residual @ projector @ residual), float(np.trace(projector))


def _result(method: str, claims: _Claims, between2: float, *, knapp: bool = False) -> Consensus:
    from scipy.stats import chi2, norm, t

    count = len(claims.values)
    q, _ = claims.spread(0.0)
    own = claims.own + between2
    weights = claims.shared.weights(own)
    mean = float(weights @ claims.values)
    alone = float(weights**2 @ own)
    dof = math.inf
    half = float(norm.isf(0.025))
    if knapp:
        alone *= claims.spread(between2)[0] / (count - 1)
        dof = count - 1.0
        half = float(t.isf(0.025, dof))
    u = math.sqrt(alone + float(np.sum((weights @ claims.parts) ** 2)))
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


def weighted_mean(values: ArrayLike, variances: ArrayLike, parts: ArrayLike | None = None) -> Consensus:
    """Weighted mean: the claimed uncertainties are believed, no scatter is added.

    Parameters
    ----------
    values, variances : array_like, shape (n,)
        The values and the variance that each has by itself.
    parts : array_like, shape (n, things)
        Signed standard uncertainty that each shared thing brings to each value, zero where it has no part in it.
    """
    return _result("weighted mean", _Claims.of(values, variances, parts), 0.0)


def dersimonian_laird(
    values: ArrayLike, variances: ArrayLike, parts: ArrayLike | None = None, *, knapp: bool = False
) -> Consensus:
    r"""Consensus with the between-result variance from one step of moments.

    .. math:: \tau^2 = \max[0, (Q - (n-1)) / \mathrm{tr} P], \quad P = W - W 1 1^T W / (1^T W 1)

    with W the inverse of the claimed covariance; for a diagonal W the trace is :math:`\sum w - \sum w^2/\sum w`.

    Parameters
    ----------
    values, variances, parts
        As for `weighted_mean`.
    knapp : bool
        Scale the variance by the residual chi-square and use Student's t (Hartung 1999; Knapp and Hartung 2003);
        what is shared is not scaled.

    References
    ----------
    .. [1] R. DerSimonian, N. Laird, Controlled Clinical Trials 7 (1986) 177-188.
    """
    claims = _Claims.of(values, variances, parts)
    q, trace = claims.spread(0.0)
    between2 = max(0.0, (q - (len(claims.values) - 1)) / trace)
    return _result("DerSimonian-Laird", claims, between2, knapp=knapp)


def paule_mandel(
    values: ArrayLike, variances: ArrayLike, parts: ArrayLike | None = None, *, knapp: bool = False
) -> Consensus:
    r"""Consensus with the between-result variance that makes the residual chi-square equal to n - 1.

    .. math:: r^T (V + \tau^2 I)^{-1} r = n - 1

    References
    ----------
    .. [1] R. C. Paule, J. Mandel, J. Res. Natl. Bur. Stand. 87 (1982) 377-385.
    """
    from scipy.optimize import brentq

    claims = _Claims.of(values, variances, parts)

    def excess(between2: float) -> float:
        return claims.spread(between2)[0] - (len(claims.values) - 1)

    between2 = 0.0
    if excess(0.0) > 0:
        top = float(np.var(claims.values, ddof=1)) + float(np.max(claims.own))
        while excess(top) > 0:
            top *= 4.0
        between2 = float(brentq(excess, 0.0, top, xtol=1e-14 * top, rtol=1e-13))
    return _result("Paule-Mandel", claims, between2, knapp=knapp)


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
    """Moment consensus of runs, what they share carried whole."""
    estimators = {
        "weighted mean": weighted_mean,
        "DerSimonian-Laird": dersimonian_laird,
        "Paule-Mandel": paule_mandel,
    }
    if method not in estimators:
        raise ValueError(f"no consensus method {method!r}; there are {', '.join(estimators)}")
    shared = Parts.of(run.shared.items() for run in runs)
    parts = np.zeros((len(runs), len(shared.things)))
    parts[shared.run, shared.thing] = shared.part
    return estimators[method]([run.value for run in runs], [run.u_own**2 for run in runs], parts)
