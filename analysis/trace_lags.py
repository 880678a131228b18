"""Lags at work on the series of a trace: means over ten seconds, first-order lags, what is left of them on a drift."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
BLOCK = 10.0  # [s] readings are averaged over this; lags shorter than that are told apart by their priors only
DRIFT_BLOCKS = 5  # a drift is the slope over so many blocks


def block_means(
    time: ArrayLike, temperature: ArrayLike, pressure: ArrayLike, start: float
) -> tuple[Array, Array, Array]:
    """Means over ten seconds from `start` on; the temperature is bridged over gaps, the pressure stays NaN there."""
    t, x, p = (np.asarray(a, dtype=float) for a in (time, temperature, pressure))
    keep = (t >= start) & np.isfinite(t)
    t, x, p = t[keep], x[keep], p[keep]
    if not len(t):
        return t, x, p
    index = np.floor((t - start) / BLOCK).astype(int)
    count = int(index.max()) + 1

    def mean(values: Array) -> Array:
        good = np.isfinite(values)
        total = np.bincount(index[good], values[good], count)
        number = np.bincount(index[good], minlength=count)
        with np.errstate(invalid="ignore"):
            return np.asarray(total / np.where(number > 0, number, np.nan), dtype=np.float64)

    middle = np.asarray(start + BLOCK * (np.arange(count) + 0.5), dtype=np.float64)
    mean_x = mean(x)
    good = np.isfinite(mean_x)
    if good.sum() < 2:
        return middle[:0], mean_x[:0], mean_x[:0]
    bridged = np.asarray(np.interp(middle, middle[good], mean_x[good]), dtype=np.float64)
    return middle, bridged, mean(p)


#: Acts a lag out on a series: values of shape (m, n) or (n,), lag while rising and while falling, shape (m, 1), or
#: (m, n) where it changes along the series.  [s]
Lagged = Callable[[Array, Array, Array], Array]


def follow(values: Array, rising: Array, falling: Array) -> Array:
    """First-order lag of a series in equal steps of ten seconds, exact for straight pieces between its values.

    Starts at rest at the first value.  What lies above the lagged series pulls it up with the lag `rising`.
    """
    x = np.broadcast_to(values, (len(rising), np.shape(values)[-1]))

    def pieces(lag: Array) -> tuple[Array, Array]:
        """a and b of y_k = a y_(k-1) + b_k, b_k = (g - a) x_(k-1) + (1 - g) x_k and b_0 = x_0."""
        lag = lag[:, 1:] if lag.shape[1] > 1 else lag
        a = np.exp(-BLOCK / lag)
        g = lag / BLOCK * (1 - a)
        b = np.empty(x.shape)
        b[:, :1] = x[:, :1]
        b[:, 1:] = (g - a) * x[:, :-1] + (1 - g) * x[:, 1:]
        return a, b

    a, b = pieces(rising)
    y = _summed(a, b)
    if falling is rising:
        return y
    down, lowered = pieces(falling)
    middle = 0.5 * (x[:, 1:] + x[:, :-1])
    # Which lag acts hangs on the answer: guessed from the last one until both agree, from the left one by one at worst.
    up = middle > y[:, :-1]
    for _ in range(x.shape[1]):
        pushed = b.copy()
        pushed[:, 1:] = np.where(up, b[:, 1:], lowered[:, 1:])
        y = _summed(np.where(up, a, down), pushed)
        was, up = up, middle > y[:, :-1]
        if np.array_equal(was, up):
            break
    return y


def _summed(kept: Array, pushed: Array) -> Array:
    """y_k = kept_k y_(k-1) + pushed_k with y_0 = pushed_0, of each row; `kept` is (m, n - 1), or (m, 1) all along.

    That is a triangular system with one diagonal beside the main one; the rows follow each other in one such system.
    """
    from scipy.linalg.lapack import dtbtrs

    diagonals = np.ones((2, *pushed.shape))
    diagonals[1, :, :-1], diagonals[1, :, -1] = -kept, 0.0
    y, _ = dtbtrs(diagonals.reshape(2, -1), pushed.reshape(-1, 1), uplo="L", diag="U")
    return np.asarray(y, dtype=np.float64).reshape(pushed.shape)


#: Positions of rows.
Rows = list[int]


def once_each(q: Array, columns: tuple[int, ...], make: Callable[[Rows], Array]) -> Array:
    """What `make` gives for rows of parameters, made once for rows that are alike in the columns it looks at.

    Differences of a trace change one parameter in each row, and most parameters leave the lagged series as they are.
    `make` is told at which rows the different ones stand.
    """
    places: dict[bytes, int] = {}
    back = [places.setdefault(row.tobytes(), len(places)) for row in q[:, columns]]
    return make([back.index(place) for place in range(len(places))])[back]


def on_a_drift(values: Array, rising: Array, falling: Array) -> Array:
    """What a lag does to a series once steps are over and only a drift is left: it trails by drift times lag."""
    series = np.broadcast_to(values, (len(rising), np.shape(values)[-1]))
    edge, here, last = DRIFT_BLOCKS // 2, np.arange(series.shape[1]), series.shape[1] - 1
    drift = series[:, np.minimum(here + edge, last)] - series[:, np.maximum(here - edge, 0)]
    drift = drift / (2 * edge * BLOCK)
    return np.asarray(series - np.where(drift > 0, rising, falling) * drift, dtype=np.float64)
