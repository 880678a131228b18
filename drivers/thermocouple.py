"""Thermocouples by the ITS-90 reference functions, with cold junction."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from drivers.thermocouple_tables import PIECES

Floats = NDArray[np.float64]

#: Below this, type B has no inverse: its EMF falls from 0 to a minimum at 21 degrees Celsius and is 0 again at 42.
LOWEST_INVERTIBLE = {"B": 50.0}
GRID_STEP = 1.0  # [K] start of the inverse; Newton's method then ends within 1e-9 K in four steps
NEWTON_STEPS = 4


def thermocouple_emf(kind: str, celsius: Floats | float) -> Floats:
    """EMF of a thermocouple with its cold junction at 0 degrees Celsius.

    Parameters
    ----------
    kind
        Letter of the type: K, J, T, E, N, S, R or B.
    celsius
        Temperature of the measuring junction.  [degC]

    Returns
    -------
    array
        EMF, NaN outside the range of the type.  [mV]

    References
    ----------
    NIST SRD 60; NIST Monograph 175 (1993); IEC 60584-1.
    """
    return _evaluate(kind, np.asarray(celsius, dtype=np.float64))[0]


def thermocouple_temperature(kind: str, emf: Floats, junction: Floats | float) -> Floats:
    """Temperature of the measuring junction from the EMF and the temperature of the cold junction.

    Parameters
    ----------
    kind
        Letter of the type.
    emf
        Measured EMF, shape (n,).  [mV]
    junction
        Temperature of the cold junction.  [degC]

    Returns
    -------
    array
        Temperature, NaN outside the range of the type, shape (n,).  [degC]
    """
    # The EMFs add, the temperatures do not: the table is curved.
    total = np.asarray(emf, dtype=np.float64) + thermocouple_emf(kind, junction)
    grid, emf_grid = _grid(kind)
    inside = (total >= emf_grid[0]) & (total <= emf_grid[-1])
    guess = np.interp(np.where(inside, total, emf_grid[0]), emf_grid, grid)
    for _ in range(NEWTON_STEPS):
        value, slope = _evaluate(kind, guess)
        guess = np.clip(guess - (value - np.where(inside, total, emf_grid[0])) / slope, grid[0], grid[-1])
    return np.where(inside, guess, np.nan)


@cache
def _grid(kind: str) -> tuple[Floats, Floats]:
    low = LOWEST_INVERTIBLE.get(kind, PIECES[kind][0].low)
    high = PIECES[kind][-1].high
    grid = np.append(np.arange(low, high, GRID_STEP), high)
    emf = thermocouple_emf(kind, grid)
    # At the very bottom of the cryogenic range some functions turn; the inverse begins where they rise.
    first = len(grid) - 1 - int(np.argmax(np.diff(emf)[::-1] <= 0)) if np.any(np.diff(emf) <= 0) else 0
    return grid[first:], emf[first:]


def _evaluate(kind: str, celsius: Floats) -> tuple[Floats, Floats]:
    value = np.full(celsius.shape, np.nan)
    slope = np.full(celsius.shape, np.nan)
    for piece in PIECES[kind]:
        here = (celsius >= piece.low) & (celsius <= piece.high) & np.isnan(value)
        t = celsius[here]
        polynomial = np.polynomial.Polynomial(piece.coefficients)
        emf, rate = polynomial(t), polynomial.deriv()(t)
        if piece.bump is not None:
            height, width, centre = piece.bump
            term = height * np.exp(width * (t - centre) ** 2)
            emf, rate = emf + term, rate + term * 2 * width * (t - centre)
        value[here], slope[here] = emf, rate
    return value, slope
