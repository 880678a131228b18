"""Numbers as they are shown: one rule for screen, command line and report.

GUM (JCGM 100:2008) 7.2.6: "It usually suffices to quote u_c(y) and U [as well as the standard uncertainties u(x_i)
of the input estimates x_i] to at most two significant digits" and "output and input estimates should be rounded to be
consistent with their uncertainties".  We keep two digits of the uncertainty, rounded to nearest (even at a tie), and
round the value to the same place.  Stored and passed values are never rounded.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_EVEN, Decimal

DIGITS = 2  # of the uncertainty, the most that GUM 7.2.6 calls sufficient


def _place(u: float) -> int:
    """Power of ten of the last digit kept, after rounding has settled: 0.0996 keeps 0.10, not 0.100."""
    place = math.floor(math.log10(u)) - DIGITS + 1
    step = Decimal(1).scaleb(place)
    if (Decimal(repr(float(u))) / step).quantize(Decimal(1), ROUND_HALF_EVEN) >= 10**DIGITS:
        place += 1
    return place


def _at(value: float, place: int) -> Decimal:
    step = Decimal(1).scaleb(place)
    return (Decimal(repr(float(value))) / step).quantize(Decimal(1), ROUND_HALF_EVEN) * step


def rounded(value: float, u: float) -> tuple[float, float]:
    """Value and standard uncertainty rounded together.

    Parameters
    ----------
    value, u : float
        The value and its standard uncertainty in the same unit.  Where `u` is zero, infinite or not a number there is
        nothing to round by and both come back as they are.

    Returns
    -------
    tuple of float
        Rounded value and rounded uncertainty.
    """
    if not (math.isfinite(value) and math.isfinite(u) and u > 0):
        return value, u
    place = _place(u)
    return float(_at(value, place)), float(_at(u, place))


def _plain(number: Decimal, place: int) -> str:
    return f"{number:.{max(0, -place)}f}"


def value_and_uncertainty_text(value: float, u: float, unit: str = "") -> str:
    """The text `(36.57 ± 0.41) kJ/mol`, or `36.57 ± 0.41`; a tail of ten to the n where plain digits would be long.

    Parameters
    ----------
    value, u : float
        The value and its standard uncertainty, both in `unit`.
    unit : str
        Written after the number where it is not empty; it then belongs to value and uncertainty, so brackets hold
        them together (ISO 80000-1:2009, 7.1.4).
    """
    tail = f" {unit}" if unit else ""
    if not math.isfinite(value):
        return f"not known{tail}"
    if not math.isfinite(u):
        return f"{value:.6g}{tail} (uncertainty not known)"
    if u < 0:
        raise ValueError(f"the standard uncertainty is {u:g}; it cannot be negative")
    if u == 0:
        return f"{value:.10g}{tail} (exact)"
    place = _place(u)
    largest = max(abs(value), u)
    exponent = math.floor(math.log10(largest))
    if place > 1 or exponent < -4:
        shift = exponent
        value_text = _plain(_at(value, place).scaleb(-shift), place - shift)
        u_text = _plain(_at(u, place).scaleb(-shift), place - shift)
        return f"({value_text} ± {u_text})e{shift:+d}{tail}"
    pair = f"{_plain(_at(value, place), place)} ± {_plain(_at(u, place), place)}"
    return f"({pair}){tail}" if unit else pair
