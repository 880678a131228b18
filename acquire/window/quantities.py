"""Numbers with units as the window writes them: °C, kPa, mL, minutes; the only place of the window that converts."""

from __future__ import annotations

import math

from acquire.window.language import current_language, tr

ZERO_CELSIUS = 273.15  # [K] exact, by definition of the Celsius temperature (BIPM SI brochure, 9th edition)
SPACE = "\u00a0"  # number and unit stay on one line
MINUS = "\u2212"
NOTHING = "\u2014"  # stands where there is no number


def celsius(kelvin: float) -> float:
    return kelvin - ZERO_CELSIUS


def kelvin(celsius: float) -> float:
    return celsius + ZERO_CELSIUS


def kilopascal(pascal: float) -> float:
    return pascal / 1000.0


def number(value: float, decimals: int, *, signed: bool = False) -> str:
    """A decimal number with a real minus sign and the decimal mark of the language; a dash for no number."""
    if not math.isfinite(value):
        return NOTHING
    text = f"{value:+.{decimals}f}" if signed else f"{value:.{decimals}f}"
    if float(text) == 0.0:
        text = text.lstrip("-+")
    return text.replace("-", MINUS).replace(".", current_language().decimal_mark)


def temperature(kelvin: float, decimals: int = 2) -> str:
    return number(celsius(kelvin), decimals) + SPACE + "°C"


def pressure(pascal: float, decimals: int = 2) -> str:
    return number(kilopascal(pascal), decimals) + SPACE + "kPa"


def millilitres(cubic_metres: float) -> str:
    value = cubic_metres * 1e6
    return number(value, 0 if value >= 10 else 1) + SPACE + "mL"


def duration(seconds: float) -> str:
    """A time to go: "24 s", "2 min 10 s", "1 h 05 min"."""
    if not math.isfinite(seconds):
        return NOTHING
    whole = max(0, math.ceil(seconds))
    if whole < 60:
        return f"{whole}{SPACE}s"
    if whole < 3600:
        minutes, rest = divmod(whole, 60)
        return f"{minutes}{SPACE}min" + (f" {rest}{SPACE}s" if rest else "")
    hours, rest = divmod(whole // 60, 60)
    return f"{hours}{SPACE}h {rest:02d}{SPACE}min"


def clock(seconds: float) -> str:
    """A time since the start: "0:45", "17:05", "1:02:09"."""
    whole = max(0, int(seconds))
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"


def decimals_for(u: float) -> int:
    """Decimals that show `u` with two digits, or with one when it starts with 3 or more.

    GUM (JCGM 100:2008) 7.2.6: at most two significant digits.  The one-digit rule keeps cards short; it never
    changes the digits kept in the file.
    """
    if not (math.isfinite(u) and u > 0):
        return 2
    exponent = math.floor(math.log10(u))
    digits = 2 if u / 10.0**exponent < 2.95 else 1
    return min(6, max(0, digits - 1 - exponent))


def with_uncertainty(value: float, u: float, unit: str) -> str:
    """Compact form with the uncertainty of the last digits in parentheses: "21.392(18) °C"."""
    if not math.isfinite(value):
        return NOTHING
    decimals = decimals_for(u)
    if not (math.isfinite(u) and u > 0):
        return number(value, decimals) + SPACE + unit
    in_last_digits = round(u * 10**decimals) if decimals else round(u)
    return f"{number(value, decimals)}({in_last_digits}){SPACE}{unit}"


def temperature_with_u(kelvin: float, u: float) -> str:
    return with_uncertainty(celsius(kelvin), u, "°C")


def pressure_with_u(pascal: float, u: float) -> str:
    return with_uncertainty(kilopascal(pascal), u / 1000.0, "kPa")


def interval(value: float, low: float, high: float, unit: str) -> str:
    """A value with its interval: "(36.6 ± 1.4) kJ/mol", or the two ends where they lie unevenly about the value."""
    up, down = high - value, value - low
    half = max(up, down)
    if not math.isfinite(half) or half <= 0:
        return number(value, 1) + SPACE + unit
    decimals = decimals_for(half)
    if min(up, down) < 0.8 * half:
        return tr("{0} ({1} to {2}) {3}").format(
            number(value, decimals), number(low, decimals), number(high, decimals), unit
        )
    return f"({number(value, decimals)} ± {number(half, decimals)}){SPACE}{unit}"
