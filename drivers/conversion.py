"""A device's numbers into SI values with quality bits."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from drivers.conversion_spec import Calibration, LinearConversion
from drivers.profile import Channel
from drivers.readings import Quality
from drivers.units import difference_to_si, parse_quantity, to_si

Floats = NDArray[np.float64]

#: SCPI 1999 volume 1, 7.2.1.5: 9.91E37 is "not a number", 9.9E37 and -9.9E37 are the infinities.
NOT_A_NUMBER_FROM = 9.9e37


def make_conversion(spec: LinearConversion) -> Callable[[Floats], Floats]:
    """The function from a device's numbers to the channel's unit."""
    scale, offset = spec.scale, spec.offset
    return lambda raw: scale * raw + offset


class ChannelScale:
    """Everything between the number of one channel on the wire and its SI value."""

    def __init__(self, channel: Channel) -> None:
        self.channel = channel.channel
        self._unit = channel.unit
        self._convert = make_conversion(channel.conversion)
        self._calibration = channel.calibration
        self._range = tuple(to_si(limit, channel.unit) for limit in channel.plausible) if channel.plausible else None
        self.awaits_barometer = channel.barometer == "channel"
        self._air = parse_quantity(channel.barometer)[0] if channel.gauge and not self.awaits_barometer else 0.0

    def apply(self, raw: Floats, air: float = 0.0) -> tuple[Floats, NDArray[np.uint8]]:
        """SI values and quality bits.

        Parameters
        ----------
        raw
            Numbers as received, shape (n,).
        air
            Pressure of the air for a gauge sensor that awaits the barometer channel; NaN: not known yet.  [Pa]
        """
        number = np.where(np.abs(raw) < NOT_A_NUMBER_FROM, raw, np.nan)
        with np.errstate(invalid="ignore", over="ignore", divide="ignore"):
            value = to_si(calibrated(self._convert(number), self._calibration), self._unit) + self._air
            if self.awaits_barometer:
                value = value + air
        value = np.where(np.isfinite(value), value, np.nan)
        quality = np.where(np.isnan(value), np.uint8(Quality.NOT_A_NUMBER), np.uint8(0))
        if self._range is not None:
            low, high = self._range
            outside = (value < low) | (value > high)
            quality = np.where(outside, quality | np.uint8(Quality.OUT_OF_RANGE), quality)
        return value, quality.astype(np.uint8)


def calibrated(value: Floats, calibration: Calibration | None) -> Floats:
    """Apply a calibration, in the channel's unit."""
    if calibration is None:
        return value
    return value + calibration.offset + (calibration.gain - 1) * (value - calibration.centre)


def calibration_uncertainty(calibration: Calibration, value: float, unit: str) -> float:
    """Standard uncertainty of a calibration's correction at `value` (in `unit`), in SI."""
    u = float(np.hypot(calibration.u_offset, calibration.u_gain * (value - calibration.centre)))
    return difference_to_si(u, unit)
