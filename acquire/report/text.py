"""Numbers as a reader of the report sees them: SI in, a unit of the bench out, digits by the one rounding rule.

Unit symbols follow the SI brochure (9th edition, section 5.4): a space between number and unit, also before °C;
symbols upright and never with a plural; one unit behind a value with its uncertainty in brackets.  Five digits and more
on either side of the decimal mark stand in groups of three with a thin space between (section 5.4.4), and the mark is
that of the language.
"""

from __future__ import annotations

import datetime as dt
import math
import re

from acquire.report.language import language, tr
from analysis.rounding import rounded, value_and_uncertainty_text
from drivers import units

SPACE = "\N{NO-BREAK SPACE}"  # a number never parts from its unit at the end of a line
THIN = "\N{NARROW NO-BREAK SPACE}"  # between groups of digits
MINUS = "\N{MINUS SIGN}"
K_IS_1 = f"(k{SPACE}={SPACE}1)"  # what stands behind ± is one standard uncertainty
ABSENT = "\N{EM DASH}"

#: How the symbols of the unit table are printed.
SYMBOLS = {
    "degC": "°C",
    "degF": "°F",
    "m3": "m³",
    "cm3": "cm³",
    "uL": "µL",
    "us": "µs",
    "1": "",
    "1/K": "K⁻¹",
    "ohm": "Ω",
    "kohm": "kΩ",
}

_TAIL = re.compile(r"e([+-])0*(\d+)$")
_NUMBER = re.compile(r"(\d+)(?:\.(\d+))?")
_SUPERSCRIPT = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")


def symbol(unit: str) -> str:
    """The printed form of a unit of the table."""
    return SYMBOLS.get(unit, unit)


def typeset(number: str) -> str:
    """A number's ASCII form with a real minus sign, a power of ten for an e, and digits as the language has them."""
    tail = _TAIL.search(number)
    power = ""
    if tail:
        sign = "-" if tail.group(1) == "-" else ""
        power = f"{SPACE}×{SPACE}10{(sign + tail.group(2)).translate(_SUPERSCRIPT)}"
        number = number[: tail.start()]
    return _NUMBER.sub(_digits, number).replace("-", MINUS).replace(" ", SPACE) + power


def _digits(number: re.Match[str]) -> str:
    """Digits in groups and the decimal mark of the language."""
    whole, part = number.groups()
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", THIN) if whole[0] != "0" else whole
    if part is None:
        return whole
    if len(part) > 4:
        part = THIN.join(part[start : start + 3] for start in range(0, len(part), 3))
    return whole + language().decimal_mark + part


def count(number: int) -> str:
    """A whole number, its digits in groups where it is long."""
    return typeset(str(number))


def with_unit(number: str, unit: str) -> str:
    """Number and unit, never parted."""
    printed = symbol(unit)
    return f"{number}{SPACE}{printed}" if printed else number


def quantity(value: float | None, u: float | None, unit: str, *, difference: bool = False) -> str:
    """`(36.57 ± 0.41) kJ/mol` from SI numbers; without `u` six digits at most and no brackets.

    Parameters
    ----------
    value, u
        SI.  None or NaN: not known.
    unit
        A symbol of `drivers.units`.
    difference
        The value is a difference: the offset of a temperature scale does not take part.
    """
    if value is None or not math.isfinite(value):
        return ABSENT
    if u is None or not math.isfinite(u) or u <= 0:
        return with_unit(typeset(f"{shown_value(value, unit, difference=difference):.6g}"), unit)
    text = pair_only(value, u, unit, difference=difference)
    if not symbol(unit):
        return text
    return with_unit(text if text.startswith("(") else f"({text})", unit)


def pair_only(value: float, u: float, unit: str, *, difference: bool = False) -> str:
    """`36.57 ± 0.41`, the number in `unit` without its symbol."""
    shown = shown_value(value, unit, difference=difference)
    return typeset(value_and_uncertainty_text(shown, float(units.difference_from_si(u, unit))))


def number_only(value: float | None, u: float, unit: str, *, difference: bool = False) -> str:
    """The value alone, to the place its uncertainty `u` gives it; for a column whose head has the unit."""
    if value is None or not math.isfinite(value):
        return ABSENT
    shown = shown_value(value, unit, difference=difference)
    return typeset(_to_place(shown, float(units.difference_from_si(u, unit))))


def uncertainty_only(u: float | None, unit: str) -> str:
    """A standard uncertainty with its two digits; for a column whose head has the unit."""
    if u is None or not math.isfinite(u) or u <= 0:
        return ABSENT
    shown = float(units.difference_from_si(u, unit))
    return typeset(_to_place(shown, shown))


def celsius(temperature: float) -> str:
    """A temperature in SI as a nominal value in °C to a tenth: a target, or where a value is stated."""
    return with_unit(typeset(f"{temperature - 273.15:.1f}"), "degC")


def interval(low: float, high: float, unit: str) -> str:
    """`35.2 to 37.6 kJ/mol`, both ends to the place that two digits of the half-width give."""
    return with_unit(interval_only(low, high, unit), unit)


def interval_only(low: float, high: float, unit: str) -> str:
    """The two ends without the unit."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return ABSENT
    half = float(units.difference_from_si(abs(high - low) / 2, unit))
    ends = (_to_place(shown_value(end, unit), half) for end in (low, high))
    return tr("{0} to {1}").format(*(typeset(end) for end in ends))


def percent(fraction: float) -> str:
    """A share in whole per cent; below one per cent it says so."""
    if 0 < fraction < 0.005:
        return f"<{SPACE}1{SPACE}%"
    return f"{fraction * 100:.0f}{SPACE}%"


def clock(seconds: float | None) -> str:
    """Run time as minutes and seconds, `17:04`; hours in front once there are any."""
    if seconds is None or not math.isfinite(seconds):
        return ABSENT
    whole = math.floor(seconds + 0.5)
    hours, rest = divmod(abs(whole), 3600)
    sign = MINUS if whole < 0 else ""
    minutes, secs = divmod(rest, 60)
    return f"{sign}{hours}:{minutes:02d}:{secs:02d}" if hours else f"{sign}{minutes}:{secs:02d}"


def stretch(start: float | None, end: float | None) -> str:
    """Two run times, `3:01 to 4:00`, kept on one line."""
    return tr("{0} to {1}").format(clock(start), clock(end)).replace(" ", SPACE)


def date_and_time(iso: str | None) -> str:
    """ISO 8601 as `2031-03-14 10:02 (+01:00)`; what is no such time comes back as it is."""
    if not iso:
        return ABSENT
    try:
        when = dt.datetime.fromisoformat(iso)
    except ValueError:
        return iso
    offset = when.strftime("%z")
    zone = f" ({offset[:3]}:{offset[3:5]})" if offset else ""
    return f"{when:%Y-%m-%d %H:%M}{zone}"


def shown_value(value: float, unit: str, *, difference: bool = False) -> float:
    """The number in `unit`, not rounded."""
    return float((units.difference_from_si if difference else units.from_si)(value, unit))


def _to_place(value: float, u: float) -> str:
    """`value` to the decimal place that two digits of `u` end in."""
    if not (math.isfinite(u) and u > 0):
        return f"{value:.6g}"
    text = value_and_uncertainty_text(value, u)
    if "e" in text:
        return f"{rounded(value, u)[0]:.6g}"
    return text.split(" ± ")[0]
