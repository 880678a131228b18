"""Straight lines and linear least squares; the name of a fit says what it assumes about the uncertainties."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.refusal import FitRefused

Array = NDArray[np.float64]
YORK_STEPS = 200  # converges in about ten; the slope must stand to the last bits


@dataclass(frozen=True, slots=True)
class LineFit:
    """y = intercept + slope x, with everything a later step needs.

    Parameters
    ----------
    intercept, slope, u_intercept, u_slope, covariance
        Estimates, standard uncertainties and their covariance.
    chi2
        Weighted sum of squared residuals; plain sum of squares where no uncertainties were given.
    dof
        Degrees of freedom behind the uncertainties; infinite where the given ones were taken as known.
    residuals
        y less the line, shape (n,).
    """

    intercept: float
    slope: float
    u_intercept: float
    u_slope: float
    covariance: float
    chi2: float
    dof: float
    residuals: Array

    @property
    def correlation(self) -> float:
        """Correlation coefficient of intercept and slope."""
        return self.covariance / (self.u_intercept * self.u_slope)

    def predict(self, x: float) -> tuple[float, float]:
        """The line at x and its standard uncertainty (of the line, not of a new reading)."""
        variance = self.u_intercept**2 + 2 * x * self.covariance + (x * self.u_slope) ** 2
        return self.intercept + self.slope * x, math.sqrt(max(variance, 0.0))

    def shifted(self, x0: float) -> LineFit:
        """The same line with its intercept taken at x = x0: y = intercept' + slope (x - x0)."""
        value, u = self.predict(x0)
        covariance = self.covariance + x0 * self.u_slope**2
        return LineFit(value, self.slope, u, self.u_slope, covariance, self.chi2, self.dof, self.residuals)


@dataclass(frozen=True, slots=True)
class LinearFit:
    """Linear least squares with several coefficients.

    Parameters
    ----------
    coefficients, covariance
        Shapes (k,) and (k, k).
    chi2, dof, residual_sd
        Sum of squared residuals, n - k, and the residual standard deviation.
    residuals
        Shape (n,).
    """

    coefficients: Array
    covariance: Array
    chi2: float
    dof: int
    residual_sd: float
    residuals: Array

    @property
    def u_coefficients(self) -> Array:
        """Standard uncertainties, shape (k,)."""
        return np.sqrt(np.diag(self.covariance))


def _columns(least: int, **named: ArrayLike) -> tuple[Array, ...]:
    """The columns as float arrays; refuses what no line can be laid through, naming the point."""
    arrays = {name: np.asarray(values, dtype=float).ravel() for name, values in named.items()}
    sizes = {name: len(a) for name, a in arrays.items()}
    if len(set(sizes.values())) != 1:
        short, long = min(sizes, key=sizes.__getitem__), max(sizes, key=sizes.__getitem__)
        raise FitRefused("columns-unequal", short=short, least=sizes[short], long=long, most=sizes[long])
    n = next(iter(sizes.values()))
    if n < least:
        raise FitRefused("too-few-points", "one" if n == 1 else "some", used=n, aside=0, least=least)
    for name, values in arrays.items():
        bad = np.flatnonzero(~np.isfinite(values))
        if bad.size:
            first = int(bad[0])
            raise FitRefused("not-a-number", column=name, point=str(first + 1), value=float(values[first]))
        if name.startswith("u_"):
            bad = np.flatnonzero(values <= 0)
            if bad.size:
                first = int(bad[0])
                raise FitRefused("not-above-zero", column=name, point=str(first + 1), value=float(values[first]))
    x = arrays["x"]
    if n and np.ptp(x) == 0:
        raise FitRefused("same-abscissa", points=n, value=float(x[0]))
    return tuple(arrays.values())


def _weighted(x: Array, y: Array, weights: Array) -> tuple[float, float, float, float, float, Array]:
    """By centred sums: intercept, slope, then at unit weight their variances and covariance; residuals."""
    total = math.fsum(weights)
    x_mean = math.fsum(weights * x) / total
    y_mean = math.fsum(weights * y) / total
    dx = x - x_mean
    sxx = math.fsum(weights * dx * dx)
    slope = math.fsum(weights * dx * (y - y_mean)) / sxx
    # One step of refinement: the residuals carry what the first pass lost to cancellation.
    residuals = (y - y_mean) - slope * dx
    slope += math.fsum(weights * dx * residuals) / sxx
    intercept = y_mean - slope * x_mean
    residuals = (y - y_mean) - slope * dx
    return intercept, slope, 1 / total + x_mean**2 / sxx, 1 / sxx, -x_mean / sxx, residuals


def fit_line_equal_u(x: ArrayLike, y: ArrayLike) -> LineFit:
    """Ordinary least squares: every y equally uncertain, by an unknown amount; x exact.

    The scatter about the line gives the scale, so the uncertainties have n - 2 degrees of freedom.
    """
    x, y = _columns(3, x=x, y=y)
    intercept, slope, va, vb, cov, residuals = _weighted(x, y, np.ones_like(x))
    chi2 = math.fsum(residuals**2)
    s2 = chi2 / (len(x) - 2)
    return LineFit(intercept, slope, math.sqrt(va * s2), math.sqrt(vb * s2), cov * s2, chi2, len(x) - 2, residuals)


def fit_line_known_u(x: ArrayLike, y: ArrayLike, u_y: ArrayLike) -> LineFit:
    """Weighted least squares with known u_y: the residuals do not rescale anything; dof is infinite; x exact."""
    x, y, u = _columns(2, x=x, y=y, u_y=u_y)
    intercept, slope, va, vb, cov, residuals = _weighted(x, y, 1 / u**2)
    chi2 = math.fsum((residuals / u) ** 2)
    return LineFit(intercept, slope, math.sqrt(va), math.sqrt(vb), cov, chi2, math.inf, residuals)


def fit_line_relative_u(x: ArrayLike, y: ArrayLike, u_y: ArrayLike) -> LineFit:
    """Weighted least squares where only the ratios of u_y count: scale from the residuals; dof = n - 2; x exact."""
    x, y, u = _columns(3, x=x, y=y, u_y=u_y)
    known = fit_line_known_u(x, y, u)
    dof = len(x) - 2
    scale = math.sqrt(known.chi2 / dof)
    return LineFit(
        known.intercept,
        known.slope,
        known.u_intercept * scale,
        known.u_slope * scale,
        known.covariance * scale**2,
        known.chi2,
        dof,
        known.residuals,
    )


def fit_line_york(
    x: ArrayLike, y: ArrayLike, u_x: ArrayLike, u_y: ArrayLike, correlation: ArrayLike | None = None
) -> LineFit:
    """Both axes uncertain, u_x and u_y known, correlated within a point; dof is infinite.

    References
    ----------
    .. [1] D. York, N. M. Evensen, M. L. Martinez, J. De Basabe Delgado, "Unified equations for the slope, intercept,
       and standard errors of the best straight line", Am. J. Phys. 72 (2004) 367, Eqs. 13.
    """
    size = len(np.asarray(x, dtype=float).ravel())
    r = np.zeros(size) if correlation is None else np.broadcast_to(np.asarray(correlation, dtype=float), size)
    x, y, ux, uy, r = _columns(2, x=x, y=y, u_x=u_x, u_y=u_y, correlation=r)
    wx, wy = 1 / ux**2, 1 / uy**2
    alpha = np.sqrt(wx * wy)
    slope = _weighted(x, y, wy)[1]
    best = slope
    for _ in range(YORK_STEPS):
        w = wx * wy / (wx + slope**2 * wy - 2 * slope * r * alpha)
        x_mean, y_mean = np.sum(w * x) / np.sum(w), np.sum(w * y) / np.sum(w)
        du, dv = x - x_mean, y - y_mean
        beta = w * (du / wy + slope * dv / wx - (slope * du + dv) * r / alpha)
        best = float(np.sum(w * beta * dv) / np.sum(w * beta * du))
        if abs(best - slope) <= 1e-15 * abs(best):
            break
        slope = best
    intercept = float(y_mean - best * x_mean)
    adjusted = x_mean + beta
    x_bar = float(np.sum(w * adjusted) / np.sum(w))
    vb = 1 / float(np.sum(w * (adjusted - x_bar) ** 2))
    va = 1 / float(np.sum(w)) + x_bar**2 * vb
    residuals = y - best * x - intercept
    chi2 = float(np.sum(w * residuals**2))
    return LineFit(intercept, best, math.sqrt(va), math.sqrt(vb), -x_bar * vb, chi2, math.inf, residuals)


def fit_line_covariance(x: ArrayLike, y: ArrayLike, covariance: ArrayLike) -> LineFit:
    """Generalised least squares: the covariance matrix of y is known, shape (n, n); x exact; dof is infinite."""
    x, y = _columns(2, x=x, y=y)
    v = np.asarray(covariance, dtype=float)
    design = np.column_stack([np.ones_like(x), x])
    root = np.linalg.cholesky(v)
    white = np.asarray(np.linalg.solve(root, design), dtype=np.float64)
    target = np.asarray(np.linalg.solve(root, y), dtype=np.float64)
    fit = _orthogonal(white, target)
    cov = fit.covariance
    a, b = fit.coefficients
    return LineFit(
        float(a),
        float(b),
        math.sqrt(cov[0, 0]),
        math.sqrt(cov[1, 1]),
        float(cov[0, 1]),
        fit.chi2,
        math.inf,
        y - a - b * x,
    )


def _orthogonal(design: Array, y: Array) -> LinearFit:
    """Least squares by QR with scaled columns and one refinement; `covariance` at unit weight."""
    scale = np.linalg.norm(design, axis=0)
    q, r = np.linalg.qr(design / scale)
    coefficients = np.linalg.solve(r, q.T @ y)
    for _ in range(2):
        coefficients = coefficients + np.linalg.solve(r, q.T @ (y - (design / scale) @ coefficients))
    residuals = y - (design / scale) @ coefficients
    inverse = np.linalg.solve(r, np.eye(len(scale)))
    chi2 = math.fsum(residuals**2)
    dof = len(y) - len(scale)
    sd = math.sqrt(chi2 / dof) if dof > 0 else math.nan
    return LinearFit(coefficients / scale, inverse @ inverse.T / np.outer(scale, scale), chi2, dof, sd, residuals)


def fit_linear_equal_u(columns: Sequence[ArrayLike], y: ArrayLike, *, intercept: bool = True) -> LinearFit:
    """Ordinary least squares on several columns, scale from the residuals; dof = n - k.

    The columns are centred where there is an intercept: without that, nearly collinear columns lose most digits.
    """
    target = np.asarray(y, dtype=float).ravel()
    design = np.column_stack([np.asarray(c, dtype=float).ravel() for c in columns])
    size = design.shape[1] + intercept
    if len(target) <= size:
        raise FitRefused("too-many-coefficients", points=len(target), coefficients=size, least=size + 1)
    if not intercept:
        fit = _orthogonal(design, target)
        return _rescaled(fit.coefficients, fit.covariance, fit.residuals, size)
    means, mean = np.array([math.fsum(c) for c in design.T]) / len(target), math.fsum(target) / len(target)
    fit = _orthogonal(design - means, target - mean)
    inner = fit.covariance
    covariance = np.empty((size, size))
    covariance[1:, 1:] = inner
    covariance[0, 1:] = covariance[1:, 0] = -means @ inner
    covariance[0, 0] = 1 / len(target) + means @ inner @ means
    coefficients = np.concatenate([[mean - means @ fit.coefficients], fit.coefficients])
    return _rescaled(coefficients, covariance, fit.residuals, size)


def _rescaled(coefficients: Array, covariance: Array, residuals: Array, size: int) -> LinearFit:
    chi2 = math.fsum(residuals**2)
    dof = len(residuals) - size
    return LinearFit(coefficients, covariance * chi2 / dof, chi2, dof, math.sqrt(chi2 / dof), residuals)


def fit_polynomial_equal_u(x: ArrayLike, y: ArrayLike, degree: int) -> LinearFit:
    """Polynomial of one variable, lowest power first; every y equally uncertain by an unknown amount.

    x is moved and scaled to -1..1 first and the coefficients are carried back: powers of a raw x are nearly collinear.
    """
    x, y = _columns(degree + 2, x=x, y=y)
    middle, half = 0.5 * (x.max() + x.min()), 0.5 * np.ptp(x)
    z = (x - middle) / half
    fit = fit_linear_equal_u([z**k for k in range(1, degree + 1)], y)
    back = np.zeros((degree + 1, degree + 1))
    power = np.array([1.0])
    for k in range(degree + 1):
        back[: k + 1, k] = power
        power = np.convolve(power, [-middle / half, 1 / half])
    return LinearFit(
        back @ fit.coefficients, back @ fit.covariance @ back.T, fit.chi2, fit.dof, fit.residual_sd, fit.residuals
    )
