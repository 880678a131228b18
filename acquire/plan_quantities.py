"""Numbers with units in a run plan: text at the edge, SI inside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BeforeValidator, ValidationInfo

from drivers.errors import DriverError
from drivers.units import NoQuantityError, difference_to_si, parse_number_and_unit, parse_quantity, quantity_of

#: Validation context under which bare numbers are taken as SI: plans read back from a run file.
STORED = {"si": True}
NO_SHARE = 'expected a share, for example 0.45 or "45 %"'


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _reader(quantity: str, example: str, parse: Callable[[str], float]) -> Callable[[Any, ValidationInfo], float]:
    expected = f'expected {quantity} as text with its unit, for example "{example}"'

    def check(value: Any, info: ValidationInfo) -> float:
        if _is_number(value):
            if info.context and info.context.get("si"):
                return float(value)
            raise ValueError(f"{expected}; {value:g} has no unit")
        if not isinstance(value, str):
            raise ValueError(expected)
        try:
            return parse(value)
        except NoQuantityError as error:  # what it says names other quantities too
            raise ValueError(expected) from error
        except DriverError as error:
            raise ValueError(str(error)) from error

    return check


def _absolute(quantity: str) -> Callable[[str], float]:
    def parse(text: str) -> float:
        value, found = parse_quantity(text)
        if found != quantity:
            raise ValueError(f"expected a {quantity}; {text!r} is a {found}")
        return value

    return parse


def _difference(text: str) -> float:
    number, unit = parse_number_and_unit(text)
    if quantity_of(unit) != "temperature":
        raise ValueError('expected a temperature difference, for example "0.3 K"')
    return float(difference_to_si(number, unit))


def _fraction(value: Any, info: ValidationInfo) -> float:
    """A share from 0 to 1, or text in per cent."""
    if _is_number(value):
        share = float(value)
    elif isinstance(value, str) and value.strip().endswith("%"):
        try:
            share = float(value.strip()[:-1].replace(",", ".")) / 100
        except ValueError as error:
            raise ValueError(NO_SHARE) from error
    else:
        raise ValueError(NO_SHARE)
    if not 0 <= share <= 1:
        raise ValueError("expected a share from 0 to 1 (0 % to 100 %)")
    return share


Temperature = Annotated[float, BeforeValidator(_reader("a temperature", "25 degC", _absolute("temperature")))]
TemperatureDifference = Annotated[float, BeforeValidator(_reader("a temperature difference", "0.3 K", _difference))]
Pressure = Annotated[float, BeforeValidator(_reader("a pressure", "20 kPa", _absolute("pressure")))]
Volume = Annotated[float, BeforeValidator(_reader("a volume", "140 mL", _absolute("volume")))]
Duration = Annotated[float, BeforeValidator(_reader("a time", "60 s", _absolute("time")))]
Fraction = Annotated[float, BeforeValidator(_fraction)]
