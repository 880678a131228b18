"""Liquid and vapour in a row, with the heat that evaporation takes from the liquid.

The liquid follows the bath with the time constant tl, the vapour w follows the liquid with te, and each
kelvin-equivalent of vapour cools the liquid by k (its heat of evaporation over the liquid's own heat capacity):

    Tl' = (T - Tl)/tl - k w'        w' = (Tl - w)/te

so that w follows T through two first-order lags in a row whose time constants a and b have

    a b = tl te        a + b = (1 + k) tl + te.

Both are real for every k >= 0.  For k = 0 they are tl and te; with more they move apart, and neither is the time
of one process any more: what condensing changes is te, not the longer or the shorter of the two.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.settling.trail import Array

#: Time constants that are nearer to each other than this share are held apart: derivatives divide by their difference.
APART = 1e-3


@dataclass(frozen=True)
class Poles:
    """Time constants of the two lags in a row [s], shape (n,), and how they hang on those of liquid and evaporation.

    Attributes
    ----------
    first, second
        `first` becomes the liquid's own as the heat of evaporation goes to zero.
    by_liquid, by_evaporation
        Derivatives of the logarithms of (first, second) by the logarithm of the liquid's and of the evaporation's time
        constant, shape (2, n).
    zero
        Shares of the two lags in the answer to vapour that goes faster or slower than it should, shape (2, n).
    """

    first: Array
    second: Array
    by_liquid: Array
    by_evaporation: Array
    zero: Array


def poles(liquid: Array, evaporation: Array, cooling: float) -> Poles:
    """Two lags in a row that stand for liquid and evaporation.

    Parameters
    ----------
    liquid, evaporation : array, shape (n,)
        Time constants without the heat of evaporation.  [s]
    cooling : float
        By how many kelvin the liquid cools for a kelvin-equivalent of vapour.
    """
    heavy = liquid * (1.0 + cooling)
    total = heavy + evaporation
    half = 0.5 * np.sqrt(np.maximum(total * total - 4.0 * liquid * evaporation, 0.0))
    half = np.maximum(half, APART * total)
    half = np.where(liquid >= evaporation, half, -half)
    first, second = 0.5 * total + half, 0.5 * total - half
    apart = 2.0 * half
    return Poles(
        first,
        second,
        np.stack([heavy - second, first - heavy]) / apart,
        np.stack([evaporation - second, first - evaporation]) / apart,
        np.stack([first - liquid, liquid - second]) / apart,
    )
