"""A device's numbers into SI values with quality bits."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from drivers.conversion_spec import (
    BridgeConversion,
    Calibration,
    Conversion,
    CurrentLoopConversion,
    LinearConversion,
    PlatinumConversion,
    PolynomialConversion,
    TableConversion,
    ThermistorConversion,
    ThermocoupleConversion,
    TwoPointConversion,
)
from drivers.profile import Channel
from drivers.readings import Quality
from drivers.resistance import (
    divider_resistance,
    platinum_temperature,
    thermistor_beta,
    thermistor_steinhart_hart,
)
from drivers.thermocouple import thermocouple_temperature
from drivers.units import Number, difference_to_si, find_unit, from_si, parse_quantity, to_si

Floats = NDArray[np.float64]

#: SCPI 1999 volume 1, 7.2.1.5: 9.91E37 is "not a number", 9.9E37 and -9.9E37 are the infinities.
NOT_A_NUMBER_FROM = 9.9e37
USUAL_NUMBER = 1e15  # nothing at a bench is larger, whatever its unit
#: NAMUR NE 43 (from memory): a transmitter signals its own failure below and above these currents.  [mA]
LOOP_SOUND = (3.6, 21.0)


def make_conversion(spec: Conversion, unit: str) -> Callable[[Floats, Floats], Floats]:
    """The function from a device's numbers (and the cold junction's, for a thermocouple) to values in `unit`."""
    if isinstance(spec, LinearConversion):
        return lambda raw, _: spec.scale * raw + spec.offset
    if isinstance(spec, PolynomialConversion):
        polynomial = np.polynomial.Polynomial(spec.coefficients)
        return lambda raw, _: polynomial(raw)
    if isinstance(spec, TableConversion):
        raws, values = np.array(spec.points, dtype=np.float64).T
        return lambda raw, _: np.interp(raw, raws, values, left=np.nan, right=np.nan)
    if isinstance(spec, TwoPointConversion):
        slope = (spec.high - spec.low) / (spec.raw_high - spec.raw_low)
        return lambda raw, _: spec.low + slope * (raw - spec.raw_low)
    if isinstance(spec, CurrentLoopConversion):
        return lambda raw, _: _current_loop(spec, spec.scale * raw)
    if isinstance(spec, BridgeConversion):
        span = spec.sensitivity * spec.excitation
        return lambda raw, _: spec.full_scale * (spec.scale * raw - spec.zero) / span
    return _temperature_conversion(spec, unit)


def _temperature_conversion(
    spec: PlatinumConversion | ThermistorConversion | ThermocoupleConversion, unit: str
) -> Callable[[Floats, Floats], Floats]:
    def from_celsius(celsius: Floats) -> Floats:
        return from_si(celsius + 273.15, unit)

    if isinstance(spec, PlatinumConversion):
        return lambda raw, _: from_celsius(platinum_temperature(spec.scale * raw - spec.lead, spec.nominal))
    if isinstance(spec, ThermocoupleConversion):
        return lambda raw, junction: from_celsius(thermocouple_temperature(spec.type, spec.scale * raw, junction))
    return lambda raw, _: from_si(_thermistor(spec, raw), unit)


def _current_loop(spec: CurrentLoopConversion, current: Floats) -> Floats:
    sound = (current >= LOOP_SOUND[0]) & (current <= LOOP_SOUND[1])
    return np.where(sound, spec.low + (spec.high - spec.low) * (current - 4) / 16, np.nan)


def _thermistor(spec: ThermistorConversion, raw: Floats) -> Floats:
    resistance = spec.scale * raw
    if spec.divider is not None:
        low = spec.divider.sensor == "low"
        resistance = divider_resistance(resistance, spec.divider.full, spec.divider.series, sensor_low=low)
    if spec.a is not None and spec.b is not None and spec.c is not None:
        return thermistor_steinhart_hart(resistance, spec.a, spec.b, spec.c)
    if spec.beta is None or spec.nominal is None:
        raise ValueError("a thermistor needs a, b and c, or beta and nominal")
    return thermistor_beta(resistance, spec.beta, spec.nominal, spec.at + 273.15)


class ChannelScale:
    """Everything between the number of one channel on the wire and its SI value."""

    def __init__(self, channel: Channel) -> None:
        self.channel = channel.channel
        self._unit = channel.unit
        self._convert = make_conversion(channel.conversion, channel.unit)
        #: The field of the frame that holds the cold junction's temperature, for a thermocouple.
        self.junction_field: int | str | None = None
        self._junction = np.nan
        if isinstance(channel.conversion, ThermocoupleConversion):
            self.junction_field = channel.conversion.junction_field
            self._junction = np.nan if channel.conversion.junction is None else channel.conversion.junction
        self._calibration = channel.calibration
        self._range = tuple(to_si(limit, channel.unit) for limit in channel.plausible) if channel.plausible else None
        # Without a range, what the device means as "not a number" still has to take the long way.
        self._usual = self._range or (-USUAL_NUMBER, USUAL_NUMBER)
        self.awaits_barometer = channel.barometer == "channel"
        self._air = parse_quantity(channel.barometer)[0] if channel.gauge and not self.awaits_barometer else 0.0
        self._line = self._straight_line(channel.conversion)

    def apply(self, raw: Floats, air: float = 0.0, junction: Floats | None = None) -> tuple[Floats, NDArray[np.uint8]]:
        """SI values and quality bits.

        Parameters
        ----------
        raw
            Numbers as received, shape (n,).
        air
            Pressure of the air for a gauge sensor that awaits the barometer channel; NaN: not known yet.  [Pa]
        junction
            Temperatures of the cold junction where the frames carry them, shape (n,).  [degC]
        """
        if self._line is not None and len(raw):
            value = raw * self._line[0] + self._line[1]
            # Two comparisons for the usual case; NaN fails them and takes the long way.
            if value.min() >= self._usual[0] and value.max() <= self._usual[1]:
                return value, np.zeros(len(raw), dtype=np.uint8)
        with np.errstate(invalid="ignore", over="ignore", divide="ignore"):
            number = np.where(np.abs(raw) < NOT_A_NUMBER_FROM, raw, np.nan)
            value = self._in_si(number, air, junction)
        value = np.where(np.isfinite(value), value, np.nan)
        quality = np.where(np.isnan(value), np.uint8(Quality.NOT_A_NUMBER), np.uint8(0))
        if self._range is not None:
            outside = (value < self._range[0]) | (value > self._range[1])
            quality = np.where(outside, quality | np.uint8(Quality.OUT_OF_RANGE), quality)
        return value, quality.astype(np.uint8)

    def _in_si(self, number: Floats, air: float, junction: Floats | None) -> Floats:
        if self._line is not None:
            return number * self._line[0] + self._line[1]
        cold = np.full(number.shape, self._junction) if junction is None else junction
        value = to_si(calibrated(self._convert(number, cold), self._calibration), self._unit) + self._air
        return value + air if self.awaits_barometer else value

    def _straight_line(self, spec: Conversion) -> tuple[float, float] | None:
        """Factor and offset from raw to SI, where conversion, calibration and unit together are a straight line."""
        if not isinstance(spec, LinearConversion) or self.awaits_barometer:
            return None
        gain = self._calibration.gain if self._calibration else 1.0
        at_zero = to_si(calibrated(spec.offset, self._calibration), self._unit)
        return spec.scale * gain * find_unit(self._unit).factor, at_zero + self._air


def calibrated(value: Number, calibration: Calibration | None) -> Number:
    """Apply a calibration, in the channel's unit."""
    if calibration is None:
        return value
    return value + calibration.offset + (calibration.gain - 1) * (value - calibration.centre)


def calibration_uncertainty(calibration: Calibration, value: float, unit: str) -> float:
    """Standard uncertainty of a calibration's correction at `value` (in `unit`), in SI."""
    u = float(np.hypot(calibration.u_offset, calibration.u_gain * (value - calibration.centre)))
    return difference_to_si(u, unit)
