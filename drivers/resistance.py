"""Resistance thermometers: platinum by IEC 60751, thermistors by Steinhart-Hart or beta."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: IEC 60751:2008, clause 4.2: coefficients of industrial platinum thermometers.
PLATINUM_A = 3.9083e-3  # [1/degC]
PLATINUM_B = -5.775e-7  # [1/degC2]
PLATINUM_C = -4.183e-12  # [1/degC4]
NEWTON_STEPS = 6


def platinum_resistance(celsius: Floats | float, nominal: float = 100.0) -> Floats:
    r"""Resistance of an industrial platinum thermometer.

    .. math:: R = R_0 (1 + A t + B t^2 + C (t - 100) t^3), \quad C = 0 \text{ for } t \ge 0

    Parameters
    ----------
    celsius
        Temperature, -200 to 850.  [degC]
    nominal
        Resistance at 0 degrees Celsius.  [ohm]

    Returns
    -------
    array
        Resistance, NaN outside the range.  [ohm]

    References
    ----------
    IEC 60751:2008, equations 1 and 2.
    """
    t = np.asarray(celsius, dtype=np.float64)
    below = np.where(t < 0, PLATINUM_C * (t - 100) * t**3, 0.0)
    ratio = 1 + PLATINUM_A * t + PLATINUM_B * t**2 + below
    return np.where((t >= -200) & (t <= 850), nominal * ratio, np.nan)


def platinum_temperature(resistance: Floats, nominal: float = 100.0) -> Floats:
    """Temperature of an industrial platinum thermometer, the inverse of `platinum_resistance`.

    Above 0 degrees Celsius the quadratic is solved; below, Newton's method on the quartic.

    Returns
    -------
    array
        Temperature, NaN outside -200 to 850.  [degC]
    """
    ratio = np.asarray(resistance, dtype=np.float64) / nominal
    with np.errstate(invalid="ignore"):
        t = (-PLATINUM_A + np.sqrt(PLATINUM_A**2 - 4 * PLATINUM_B * (1 - ratio))) / (2 * PLATINUM_B)
        cold = ratio < 1
        for _ in range(NEWTON_STEPS):
            value = 1 + PLATINUM_A * t + PLATINUM_B * t**2 + PLATINUM_C * (t - 100) * t**3
            slope = PLATINUM_A + 2 * PLATINUM_B * t + PLATINUM_C * (4 * t**3 - 300 * t**2)
            t = np.where(cold, t - (value - ratio) / slope, t)
        # A little room, so that the ends of the table themselves are inside.
        return np.where((t >= -200.001) & (t <= 850.001), t, np.nan)


def thermistor_steinhart_hart(resistance: Floats, a: float, b: float, c: float) -> Floats:
    r"""Temperature of a thermistor.

    .. math:: 1/T = a + b \ln R + c (\ln R)^3

    Parameters
    ----------
    resistance
        Resistance, shape (n,).  [ohm]
    a, b, c
        Coefficients for R in ohm and T in kelvin.

    Returns
    -------
    array
        Temperature, NaN where the resistance is not positive.  [K]

    References
    ----------
    J. S. Steinhart, S. R. Hart, Deep-Sea Research 15 (1968) 497-503.
    """
    log = _log(resistance)
    return _inverse(a + b * log + c * log**3)


def thermistor_beta(resistance: Floats, beta: float, nominal: float, at: float) -> Floats:
    r"""Temperature of a thermistor by two numbers.

    .. math:: 1/T = 1/T_0 + \ln(R/R_0)/\beta

    Parameters
    ----------
    resistance
        Resistance, shape (n,).  [ohm]
    beta
        [K]
    nominal
        Resistance at temperature `at`.  [ohm]
    at
        [K]

    Returns
    -------
    array
        Temperature, NaN where the resistance is not positive.  [K]
    """
    return _inverse(1 / at + (_log(resistance) - np.log(nominal)) / beta)


def divider_resistance(counts: Floats, full: float, series: float, *, sensor_low: bool) -> Floats:
    """Resistance of a sensor in a voltage divider, from the counts of a converter that measures the middle.

    Parameters
    ----------
    counts
        Readings of the converter, shape (n,).
    full
        Reading at the divider's supply voltage.
    series
        The fixed resistor.  [ohm]
    sensor_low
        Whether the sensor is on the side of ground.

    Returns
    -------
    array
        Resistance, NaN at and beyond both ends (broken wire, short).  [ohm]
    """
    counts = np.asarray(counts, dtype=np.float64)
    inside = (counts > 0) & (counts < full)
    usable = np.where(inside, counts, full / 2)
    low_over_high = usable / (full - usable)
    return np.where(inside, series * (low_over_high if sensor_low else 1 / low_over_high), np.nan)


def _log(resistance: Floats) -> Floats:
    resistance = np.asarray(resistance, dtype=np.float64)
    positive = resistance > 0
    return np.where(positive, np.log(np.where(positive, resistance, 1.0)), np.nan)


def _inverse(reciprocal: Floats) -> Floats:
    positive = reciprocal > 0
    return np.where(positive, 1 / np.where(positive, reciprocal, 1.0), np.nan)
