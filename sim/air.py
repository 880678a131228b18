"""Dry air as the bench breathes it: how far it is from an ideal gas, and how much of it a bottled liquid holds.

The fit takes its own coefficient from another source, so that recovering the truth stays a test of it.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Number = TypeVar("Number", float, NDArray[np.float64])

LOWEST, HIGHEST = 173.15, 473.15  # K, where the source's equation holds
_COEFFICIENTS = (3.49568e-5, -6.68772e-3, -2.10141, 92.4746)


def air_virial(temperature: Number) -> Number:
    r"""Second virial coefficient of dry air.

    .. math:: B = \sum_{k=0}^{3} b_k T^{-k}

    Parameters
    ----------
    temperature : float or array
        [K]

    Returns
    -------
    float or array
        [m3/mol]

    Raises
    ------
    ValueError
        Outside 173.15 K to 473.15 K, the range of the source.

    References
    ----------
    .. [1] R. W. Hyland, A. Wexler, "Formulations for the thermodynamic properties of dry air from 173.15 K to
       473.15 K, and of saturated moist air from 173.15 K to 372.15 K, at pressures to 5 MPa", ASHRAE Transactions
       89 (2A), 1983, 520-535: B_aa.
    """
    inside = LOWEST <= temperature <= HIGHEST if isinstance(temperature, float) else _all_inside(temperature)
    if not inside:
        raise ValueError(f"temperature is {temperature} K; air's table holds from {LOWEST:g} K to {HIGHEST:g} K")
    b0, b1, b2, b3 = _COEFFICIENTS
    inverse = 1.0 / temperature
    return b0 + inverse * (b1 + inverse * (b2 + inverse * b3))


def _all_inside(temperature: NDArray[np.float64]) -> bool:
    return bool(np.all((temperature >= LOWEST) & (temperature <= HIGHEST)))


def air_virial_slope(temperature: Number) -> Number:
    """Derivative of `air_virial` by temperature.  [m3/(mol K)]"""
    _, b1, b2, b3 = _COEFFICIENTS
    inverse = 1.0 / temperature
    return -inverse * inverse * (b1 + inverse * (2.0 * b2 + inverse * 3.0 * b3))
