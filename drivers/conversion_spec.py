"""What a profile may say about turning a device's numbers into physical values."""

from __future__ import annotations

import itertools
from typing import Literal, Self

from pydantic import Field, PositiveFloat, model_validator

from drivers.tomlfile import Record


class LinearConversion(Record):
    """value = scale * raw + offset, in the channel's unit."""

    kind: Literal["linear"]
    scale: float = 1.0
    offset: float = 0.0


class PolynomialConversion(Record):
    """value = c0 + c1 raw + c2 raw^2 + ..., in the channel's unit."""

    kind: Literal["polynomial"]
    coefficients: tuple[float, ...] = Field(min_length=1, max_length=16)


class TableConversion(Record):
    """Straight lines between points [raw, value], in the channel's unit; outside the table there is no value."""

    kind: Literal["table"]
    points: tuple[tuple[float, float], ...] = Field(min_length=2, max_length=1024)

    @model_validator(mode="after")
    def _rises(self) -> Self:
        raws = [raw for raw, _ in self.points]
        if any(left >= right for left, right in itertools.pairwise(raws)):
            raise ValueError("expected points in rising order of the raw number, each once")
        return self


class TwoPointConversion(Record):
    """The straight line through (raw_low, low) and (raw_high, high), in the channel's unit."""

    kind: Literal["two-point"]
    raw_low: float
    raw_high: float
    low: float
    high: float

    @model_validator(mode="after")
    def _has_a_span(self) -> Self:
        if self.raw_low == self.raw_high:
            raise ValueError("expected raw_low and raw_high to differ")
        return self


class CurrentLoopConversion(Record):
    """A 4-20 mA transmitter: `low` at 4 mA, `high` at 20 mA, in the channel's unit. Raw times `scale` is mA.

    Outside 3.6 to 21 mA the transmitter signals a fault (NAMUR NE 43; from memory): there is no value.
    """

    kind: Literal["current-loop"]
    low: float
    high: float
    scale: float = 1.0


class BridgeConversion(Record):
    """A strain-gauge bridge: raw times `scale` is mV.

    value = full_scale * (mV - zero) / (sensitivity * excitation), in the channel's unit.
    """

    kind: Literal["bridge"]
    full_scale: float
    sensitivity: PositiveFloat  # [mV/V] at full scale
    excitation: PositiveFloat  # [V]
    zero: float = 0.0  # [mV]
    scale: float = 1.0


class PlatinumConversion(Record):
    """Platinum resistance thermometer by IEC 60751. Raw times `scale` is ohm; `lead` is taken off."""

    kind: Literal["platinum"]
    nominal: PositiveFloat = 100.0  # [ohm] at 0 degC
    scale: float = 1.0
    lead: float = Field(default=0.0, ge=0)  # [ohm]


class Divider(Record):
    """A voltage divider read by a converter: `full` counts at its supply voltage, fixed resistor `series`."""

    series: PositiveFloat  # [ohm]
    full: PositiveFloat
    sensor: Literal["low", "high"]  # side of ground or of the supply


class ThermistorConversion(Record):
    """Thermistor, by Steinhart-Hart (a, b, c) or by beta (beta, nominal, at). Raw times `scale` is ohm, or counts."""

    kind: Literal["thermistor"]
    a: float | None = None
    b: float | None = None
    c: float | None = None
    beta: PositiveFloat | None = None  # [K]
    nominal: PositiveFloat | None = None  # [ohm]
    at: float = 25.0  # [degC]
    scale: float = 1.0
    divider: Divider | None = None

    @model_validator(mode="after")
    def _has_one_equation(self) -> Self:
        cubic = [self.a, self.b, self.c]
        two = [self.beta, self.nominal]
        if not ((None not in cubic and two == [None, None]) or (None not in two and cubic == [None] * 3)):
            raise ValueError("expected either a, b and c, or beta and nominal")
        return self


class ThermocoupleConversion(Record):
    """Thermocouple by ITS-90. Raw times `scale` is mV; the cold junction is a field of the frame or a value."""

    kind: Literal["thermocouple"]
    type: Literal["K", "J", "T", "E", "N", "S", "R", "B"]
    scale: float = 1.0
    junction_field: int | str | None = None  # in degC
    junction: float | None = None  # [degC]

    @model_validator(mode="after")
    def _has_a_junction(self) -> Self:
        if (self.junction is None) == (self.junction_field is None):
            raise ValueError("expected exactly one of junction and junction_field")
        return self


Conversion = (
    LinearConversion
    | PolynomialConversion
    | TableConversion
    | TwoPointConversion
    | CurrentLoopConversion
    | BridgeConversion
    | PlatinumConversion
    | ThermistorConversion
    | ThermocoupleConversion
)

#: Kinds that give a temperature whatever the unit of the channel.
TEMPERATURE_ONLY = (PlatinumConversion, ThermistorConversion, ThermocoupleConversion)


class Calibration(Record):
    """A correction found against a reference: corrected = value + offset + (gain - 1) * (value - centre).

    `offset` and `centre` are in the channel's unit. `u_offset` is the standard uncertainty of the correction at
    `centre`, `u_gain` that of its slope; they are uncorrelated there. `points` are the pairs [shown, reference].
    """

    offset: float = 0.0
    gain: float = Field(default=1.0, gt=0)
    centre: float = 0.0
    u_offset: float = Field(default=0.0, ge=0)
    u_gain: float = Field(default=0.0, ge=0)
    date: str = Field(default="", pattern=r"^(\d{4}-\d{2}-\d{2})?$")
    reference: str = ""
    points: tuple[tuple[float, float], ...] = ()
