"""Non-linear least squares with an uncertainty from the scatter; the searching itself is scipy's."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.line_fit import LinearFit
from analysis.refusal import FitRefused

Array = NDArray[np.float64]
MOST_EVALUATIONS = 5000
POLISH = 20  # Gauss-Newton steps after the search, as long as they shrink


def central_jacobian(function: Callable[[Array], Array], at: Array) -> Array:
    """Central differences, shape (n, k); the step is the cube root of the float resolution, relative to each entry."""
    step = np.cbrt(np.finfo(float).eps) * np.where(at == 0, 1.0, np.abs(at))
    columns = []
    for k in range(len(at)):
        up, down = at.copy(), at.copy()
        up[k] += step[k]
        down[k] -= step[k]
        columns.append((function(up) - function(down)) / (up[k] - down[k]))
    return np.column_stack(columns)


def fit_nonlinear_equal_u(
    model: Callable[[Array, Array], Array], x: ArrayLike, y: ArrayLike, start: Sequence[float]
) -> LinearFit:
    """Fit y = model(x, coefficients) where every y is equally uncertain by an unknown amount; dof = n - k.

    Parameters
    ----------
    model : callable
        Gives shape (n,) from x of shape (n,) and coefficients of shape (k,).
    x, y : array_like
        Shape (n,), n > k.
    start : sequence of float
        Where the search begins.

    Returns
    -------
    LinearFit
        Coefficients with the covariance of the linearised model, scaled by the residuals.

    Raises
    ------
    FitRefused
        Too few points, or no minimum found.
    """
    from scipy.optimize import least_squares

    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    first = np.asarray(start, dtype=float)
    if len(ys) <= len(first):
        raise FitRefused("too-many-coefficients", points=len(ys), coefficients=len(first), least=len(first) + 1)

    def residuals(c: Array) -> Array:
        return np.asarray(model(xs, c), dtype=float) - ys

    def jacobian(c: Array) -> Array:
        return central_jacobian(residuals, c)

    with np.errstate(all="ignore"):  # a search may wander where the model overflows; what it returns is checked
        found = least_squares(
            residuals, first, jac=jacobian, method="lm", x_scale=np.where(first == 0, 1.0, np.abs(first)),
            ftol=1e-15, xtol=1e-15, gtol=1e-15, max_nfev=MOST_EVALUATIONS,
        )  # fmt: skip
        c, last = found.x, np.inf
        for _ in range(POLISH):
            # The sum of squares is flat to the last bit here; the length of the step still tells.
            step = np.linalg.lstsq(jacobian(c), -residuals(c), rcond=None)[0]
            length = float(np.max(np.abs(step) / np.maximum(np.abs(c), 1e-300)))
            if not length < min(last, 1e-3):
                break
            c, last = c + step, length
        best = float(np.sum(residuals(c) ** 2))
        j = jacobian(c)
    scale = np.linalg.norm(j, axis=0)
    if not np.all(np.isfinite(c)) or not np.all(np.isfinite(j)) or np.any(scale == 0):
        raise FitRefused("search-lost")
    inverse = np.linalg.pinv(j / scale)
    dof = len(ys) - len(c)
    s2 = best / dof
    covariance = s2 * (inverse @ inverse.T) / np.outer(scale, scale)
    return LinearFit(c, covariance, best, dof, float(np.sqrt(s2)), -residuals(c))
