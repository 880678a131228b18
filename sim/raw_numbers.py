"""From a value in SI to the number a device of some profile would send for it: conversions, run backwards.

Written from the standards and not from the driver layer, so that reading the bytes back is a test of both.
"""

from __future__ import annotations

import math
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from sim.errors import SimError
from sim.unit_factors import in_unit

#: IEC 60751:2008, coefficients of industrial platinum thermometers.
_PLATINUM = (3.9083e-3, -5.775e-7, -4.183e-12)


class NotSpeakableError(SimError):
    """A profile asks for something that a simulated device cannot say."""


def raw_number(channel: Any, value: float, *, unit: str = "", air: float = 101325.0, junction: float = 294.65) -> float:
    """The number on the wire.

    Parameters
    ----------
    channel
        A channel of a device profile: `unit`, `conversion`, `calibration`, `gauge`, `barometer`.
    value
        [K] or [Pa]
    unit
        Unit in which the device really speaks, where it is set to another than the profile says.
    air
        Air pressure around a gauge sensor.  [Pa]
    junction
        Temperature of a thermocouple's cold junction.  [K]
    """
    if channel.gauge:
        value -= air if channel.barometer == "channel" else stated_pressure(channel.barometer)
    number = in_unit(value, unit or channel.unit)
    correction = channel.calibration
    if correction is not None:
        # The calibration of a profile takes away a known error, so the device has that error.
        slope = correction.gain - 1.0
        number = (number - correction.offset + slope * correction.centre) / (1.0 + slope)
    return _BACK[channel.conversion.kind](channel.conversion, number, _celsius(number, unit or channel.unit), junction)


def stated_pressure(text: str) -> float:
    """A pressure with its unit, like "101.325 kPa".  [Pa]"""
    amount, _, unit = text.strip().partition(" ")
    return float(amount) / in_unit(1.0, unit.strip())


def _celsius(number: float, unit: str) -> float:
    """For conversions that speak of a temperature whatever the channel's unit.  [degC]"""
    one = in_unit(1.0, unit) - in_unit(0.0, unit)
    return (number - in_unit(273.15, unit)) / one


def _linear(spec: Any, number: float, celsius: float, junction: float) -> float:
    return (number - spec.offset) / spec.scale


def _polynomial(spec: Any, number: float, celsius: float, junction: float) -> float:
    return _solve(lambda raw: sum(c * raw**n for n, c in enumerate(spec.coefficients)), number)


def _solve(function: Any, goal: float) -> float:
    """Newton's method from zero with numeric slopes; the curves of sensors are tame."""
    raw = 0.0
    for _ in range(60):
        step = 1e-6 * max(abs(raw), 1.0)
        slope = (function(raw + step) - function(raw - step)) / (2 * step)
        if slope == 0.0:
            raw += 1.0
            continue
        change = (goal - function(raw)) / slope
        raw += change
        if abs(change) <= 1e-12 * max(abs(raw), 1.0):
            return raw
    raise NotSpeakableError(f"found no number that this conversion turns into {goal:g}; expected a rising curve")


def _table(spec: Any, number: float, celsius: float, junction: float) -> float:
    for (raw_a, a), (raw_b, b) in zip(spec.points, spec.points[1:], strict=False):
        if min(a, b) <= number <= max(a, b) and a != b:
            return raw_a + (raw_b - raw_a) * (number - a) / (b - a)
    return math.nan


def _two_point(spec: Any, number: float, celsius: float, junction: float) -> float:
    return spec.raw_low + (spec.raw_high - spec.raw_low) * (number - spec.low) / (spec.high - spec.low)


def _current_loop(spec: Any, number: float, celsius: float, junction: float) -> float:
    milliampere = 4.0 + 16.0 * (number - spec.low) / (spec.high - spec.low)
    # A transmitter saturates a little beyond its range (NAMUR NE 43: 3.8 and 20.5 mA; from memory).
    return min(max(milliampere, 3.8), 20.5) / spec.scale


def _bridge(spec: Any, number: float, celsius: float, junction: float) -> float:
    return (spec.zero + spec.sensitivity * spec.excitation * number / spec.full_scale) / spec.scale


def _platinum(spec: Any, number: float, celsius: float, junction: float) -> float:
    a, b, c = _PLATINUM
    below = c * (celsius - 100.0) * celsius**3 if celsius < 0.0 else 0.0
    ohm = spec.nominal * (1.0 + a * celsius + b * celsius**2 + below)
    return (ohm + spec.lead) / spec.scale


def _thermistor(spec: Any, number: float, celsius: float, junction: float) -> float:
    kelvin = celsius + 273.15
    if spec.beta is not None:
        ohm = spec.nominal * math.exp(spec.beta * (1.0 / kelvin - 1.0 / (spec.at + 273.15)))
    else:
        # Steinhart and Hart's cubic in ln R, from the middle of the usual resistances.
        ln_r = 9.0
        for _ in range(60):
            off = spec.a + spec.b * ln_r + spec.c * ln_r**3 - 1.0 / kelvin
            ln_r -= off / (spec.b + 3.0 * spec.c * ln_r**2)
        ohm = math.exp(ln_r)
    divider = spec.divider
    if divider is not None:
        share = ohm / (ohm + divider.series)
        return divider.full * (share if divider.sensor == "low" else 1.0 - share) / spec.scale
    return ohm / spec.scale


def _thermocouple(spec: Any, number: float, celsius: float, junction: float) -> float:
    cold = junction - 273.15 if spec.junction is None else spec.junction
    return (emf(spec.type, celsius) - emf(spec.type, cold)) / spec.scale


def emf(kind: str, celsius: float) -> float:
    """EMF of a thermocouple against a junction at 0 degC.  [mV]"""
    table = _thermocouples()[kind]
    low, high = table["range"]
    if not low <= celsius <= high:
        return math.nan
    value = 0.0
    for coefficient in reversed(table["coefficients"]):
        value = value * celsius / 100.0 + coefficient
    return value


@cache
def _thermocouples() -> dict[str, Any]:
    return tomllib.loads((files("sim") / "thermocouples.toml").read_text(encoding="utf-8"))


_BACK = {
    "linear": _linear,
    "polynomial": _polynomial,
    "table": _table,
    "two-point": _two_point,
    "current-loop": _current_loop,
    "bridge": _bridge,
    "platinum": _platinum,
    "thermistor": _thermistor,
    "thermocouple": _thermocouple,
}
