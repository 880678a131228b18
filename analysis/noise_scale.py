"""Generalised least squares with common errors, averaged over a common factor of the points' own noise.

Readings r = X theta + Z z + noise; theta free, z standard normal (common errors, Z their effects), noise covariance
sigma^2 S with ln sigma ~ N(0, sd).  For each sigma all is linear and normal; the answer is the average over sigma
weighted by evidence (restricted likelihood times prior).  So an interval widens where the points scatter more than
claimed, and with few points by as much as few points can tell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
#: Nodes in ln sigma: three prior deviations down, and room for noise thirty times the claim.
NODES = np.linspace(-2.5, 3.5, 49)
VARIANCES = np.exp(2 * NODES)


@dataclass(frozen=True, slots=True)
class Distribution:
    """A quantity as a mixture of normals over the noise scale.

    Parameters
    ----------
    value, u
        Mean and standard deviation of the mixture.
    interval
        Its 2.5 % and 97.5 % points.
    by_nuisance
        Variance from each common error, shape (K,).
    noise
        Variance from the points' own noise, all of it.
    by_point
        Share of `noise` from each point, shape (n,); sums to one.
    """

    value: float
    u: float
    interval: tuple[float, float]
    by_nuisance: Array
    noise: float
    by_point: Array


@dataclass(frozen=True, slots=True)
class Posterior:
    """theta and z for each noise scale, with the weights of the scales.

    Parameters
    ----------
    weights : array
        Shape (m,), sums to one.
    theta, z : arrays
        Shapes (m, p) and (m, K): steps from the point of linearisation.
    gain_theta : array
        Shape (m, p, n): how theta answers to the readings.
    rotation, inverse : arrays
        Shapes (n, n) and (m, n): the inverse of the readings' covariance is R' diag(inverse) R for each noise scale.
    residual, design, columns : arrays
        r, X and Z as handed in, shapes (n,), (n, p), (n, K).
    noise : array
        S, shape (n,): variances at sigma = 1.
    chi2 : float
        At sigma = 1, residuals and common errors together.
    dof : int
        n - p.
    """

    weights: Array
    theta: Array
    z: Array
    gain_theta: Array
    rotation: Array
    inverse: Array
    residual: Array
    design: Array
    columns: Array
    noise: Array
    chi2: float
    dof: int

    @property
    def scale(self) -> float:
        """Mean noise scale: what the claimed noise has to be multiplied with."""
        return float(np.exp(self.weights @ NODES))

    @property
    def mean_square_scale(self) -> float:
        """Mean square of the noise scale: what the claimed variances have to be multiplied with."""
        return float(self.weights @ VARIANCES)

    def _gain(self, by_theta: Array, by_z: Array) -> Array:
        """How by_theta . theta + by_z . z answers to the readings at each noise scale, shape (m, n)."""
        through = (self.inverse * (self.rotation @ (self.columns @ by_z))) @ self.rotation
        return np.asarray(through + np.einsum("mp,mpn->mn", by_theta - through @ self.design, self.gain_theta))

    def step(self) -> tuple[Array, Array]:
        """Mean of theta and z over the noise scale."""
        return self.weights @ self.theta, self.weights @ self.z

    def of(self, by_theta: Array, by_z: Array, at_origin: float = 0.0) -> Distribution:
        """The quantity at_origin + by_theta . theta + by_z . z.

        Parameters
        ----------
        by_theta, by_z : arrays
            Shapes (p,) and (K,).
        at_origin : float
            Its value at the point of linearisation.
        """
        gain = self._gain(by_theta, by_z)
        means = self.theta @ by_theta + self.z @ by_z
        common = (gain @ self.columns - by_z) ** 2
        own = gain**2 * self.noise * VARIANCES[:, None]
        variances = common.sum(axis=1) + own.sum(axis=1)
        mean = float(self.weights @ means)
        between = float(self.weights @ (means - mean) ** 2)
        by_nuisance = self.weights @ common
        points = self.weights @ own
        noise = float(points.sum()) + between
        share = points / points.sum() if points.sum() > 0 else np.full(len(points), 1 / len(points))
        u = math.sqrt(float(by_nuisance.sum()) + noise)
        sds = np.sqrt(variances)
        low, high = (mixture_quantile(q, self.weights, means, sds) for q in (0.025, 0.975))
        return Distribution(at_origin + mean, u, (at_origin + low, at_origin + high), by_nuisance, noise, share)

    def score(self, column: Array) -> tuple[float, float]:
        """How much of one more effect the readings ask for.

        Parameters
        ----------
        column : array
            Effect of one unit on the readings, shape (n,).

        Returns
        -------
        tuple of float
            Estimate in that unit and its standard uncertainty, at a noise scale of at least one: the common errors
            keep their priors, theta stays free.
        """
        project = self.projector(max(self.scale, 1.0))
        information = float(column @ project @ column)
        if information <= 1e-12 * float(column @ column) / float(np.max(self.noise)):
            return 0.0, math.inf  # theta and the common errors take it up wholly
        return float(column @ project @ self.residual) / information, information**-0.5

    def projector(self, scale: float) -> Array:
        """Weight matrix of what theta leaves over, V^-1 - V^-1 X (X' V^-1 X)^-1 X' V^-1, at a noise scale, (n, n)."""
        v = scale**2 * np.diag(self.noise) + self.columns @ self.columns.T
        inverse = np.asarray(np.linalg.inv(v), dtype=np.float64)
        x = inverse @ self.design
        return np.asarray(inverse - x @ np.linalg.solve(self.design.T @ x, x.T), dtype=np.float64)

    def shift(self, column: Array, by_theta: Array, by_z: Array) -> float:
        """How far a quantity is carried off by an effect of this size that nothing corrects."""
        return float(self.weights @ (self._gain(by_theta, by_z) @ column))

    def covariance_theta(self) -> Array:
        """Covariance of theta, shape (p, p), over everything."""
        gain = self.gain_theta
        systematic = np.einsum("mpn,nk->mpk", gain, self.columns)
        own = np.einsum("mpn,mqn->mpq", gain * (self.noise * VARIANCES[:, None])[:, None, :], gain)
        within = np.einsum("m,mpq->pq", self.weights, np.einsum("mpk,mqk->mpq", systematic, systematic) + own)
        spread = self.theta - self.weights @ self.theta
        return within + np.einsum("m,mp,mq->pq", self.weights, spread, spread)


def mixture_quantile(level: float, weights: Array, means: Array, sds: Array) -> float:
    """Where the mixture of normals has `level` of its weight below."""
    from scipy.special import ndtr

    keep = weights > 1e-12
    w, m, s = weights[keep], means[keep], sds[keep]
    if np.max(s) == 0:
        return float(w @ m)
    low, high = float(np.min(m - 9 * s)), float(np.max(m + 9 * s))
    x = float(w @ m) + (2 * level - 1) * 2 * float(np.sqrt(w @ s**2))
    for _ in range(100):
        arg = (x - m) / s
        below = float(w @ ndtr(arg))
        density = float(w @ (np.exp(-0.5 * arg**2) / s)) / math.sqrt(2 * math.pi)
        if below > level:
            high = x
        else:
            low = x
        step = x - (below - level) / density if density > 0 else math.nan
        following = step if low < step < high else 0.5 * (low + high)
        if abs(following - x) <= 1e-10 * (abs(x) + float(np.max(s))):
            return following
        x = following
    return x


def solve(residual: Array, design: Array, columns: Array, noise: Array, scale_sd: float) -> Posterior:
    """Posterior of theta and z from linearised readings.

    Parameters
    ----------
    residual : array
        Readings less prediction at theta = z = 0 of the linearisation, shape (n,).
    design, columns : arrays
        X, shape (n, p), and Z, shape (n, K).
    noise : array
        Variances of the points' own noise, shape (n,).
    scale_sd : float
        Prior standard deviation of ln sigma; zero takes the claimed noise as known.
    """
    n, p = design.shape
    # Noise scaled to one and turned so that the common errors are independent: then every covariance is diagonal.
    root = np.sqrt(noise)
    turned, size, _ = np.linalg.svd(columns / root[:, None])
    rotation = turned.T / root
    common = np.zeros(n)
    common[: len(size)] = size**2
    inverse = 1 / (VARIANCES[:, None] + common)
    x, r = rotation @ design, rotation @ residual
    weighted = inverse[:, None, :] * x.T
    information = weighted @ x
    gain = np.linalg.solve(information, weighted)
    theta = gain @ r
    left = r - theta @ x.T
    weighted_left = inverse * left
    chi2 = np.einsum("mn,mn->m", weighted_left, left)
    z = weighted_left @ (rotation @ columns)
    if scale_sd > 0:
        log_det = -np.log(inverse).sum(axis=1)
        evidence = -0.5 * (log_det + np.linalg.slogdet(information)[1] + chi2) - 0.5 * (NODES / scale_sd) ** 2
    else:
        evidence = np.where(np.abs(NODES) < 1e-9, 0.0, -np.inf)
    weights = np.exp(evidence - evidence.max())
    middle = int(np.argmin(np.abs(NODES)))
    return Posterior(
        weights / weights.sum(),
        theta,
        z,
        gain @ rotation,
        rotation,
        inverse,
        residual,
        design,
        columns,
        noise,
        float(chi2[middle]),
        n - p,
    )
