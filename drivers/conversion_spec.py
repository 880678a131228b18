"""What a profile may say about turning a device's numbers into physical values."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from drivers.tomlfile import Record


class LinearConversion(Record):
    """value = scale * raw + offset, in the channel's unit."""

    kind: Literal["linear"]
    scale: float = 1.0
    offset: float = 0.0


class Calibration(Record):
    """A correction found against a reference: corrected = value + offset + (gain - 1) * (value - centre).

    `offset` and `centre` are in the channel's unit. `u_offset` is the standard uncertainty of the correction at
    `centre`, `u_gain` that of its slope; they are uncorrelated there.
    """

    offset: float = 0.0
    gain: float = Field(default=1.0, gt=0)
    centre: float = 0.0
    u_offset: float = Field(default=0.0, ge=0)
    u_gain: float = Field(default=0.0, ge=0)
    date: str = ""
    reference: str = ""
    points: tuple[tuple[float, float], ...] = ()


Conversion = Annotated[LinearConversion, Field()]
