"""Whether a closed cell that differs from the room's pressure keeps its difference."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drivers.errors import DriverError
from drivers.room_check import FEWEST, line_slope

Floats = NDArray[np.float64]

#: [Pa] Below, the weather and the bath's temperature move the pressure as much as a leak does.
LEAST_DIFFERENCE = 500.0


class LeakCheckError(DriverError):
    """Too few readings, or a cell at the room's own pressure."""


@dataclass(frozen=True)
class LeakResult:
    """How fast a closed cell loses its difference to the room.

    `rate` is the change of pressure at constant temperature [Pa/s], `u_rate` its standard uncertainty, `time_constant`
    the time in which the difference falls to 37 % [s]; infinite where no leak is seen.
    """

    rate: float
    u_rate: float
    time_constant: float
    text: str


def check_leak(time: Floats, pressure: Floats, temperature: Floats, room_pressure: float) -> LeakResult:
    """Look for a leak in a closed cell whose pressure differs from the room's.

    The pressure is brought to its mean temperature first (p/T is constant in a closed gas volume), then a straight line
    is laid through ten means, whose scatter gives the uncertainty even where neighbouring readings are alike.
    """
    time, pressure = np.asarray(time, dtype=np.float64), np.asarray(pressure, dtype=np.float64)
    level = pressure * np.mean(temperature) / np.asarray(temperature, dtype=np.float64)
    away = abs(float(np.mean(level)) - room_pressure) if len(time) else 0.0
    if len(time) < FEWEST or away < LEAST_DIFFERENCE:
        raise LeakCheckError(
            f"found {len(time)} readings, {away:.0f} Pa from the room's pressure; expected {FEWEST} or more at "
            f"{LEAST_DIFFERENCE:.0f} Pa or more; close the valve and press a little air in (a hand-warmed cell will do)"
        )
    parts = np.array_split(np.arange(len(time)), 10)
    t = np.array([np.mean(time[part]) for part in parts])
    p = np.array([np.mean(level[part]) for part in parts])
    slope, _ = line_slope(t, p, 0.0)
    residual = p - np.mean(p) - slope * (t - np.mean(t))
    u_slope = math.sqrt(float(np.sum(residual**2)) / 8 / float(np.sum((t - np.mean(t)) ** 2)))
    difference = float(np.mean(level)) - room_pressure
    towards_room = -slope * math.copysign(1, difference)
    if towards_room <= 3 * u_slope:
        text = (
            f"no leak seen: the pressure moves by {60 * slope:.1f} Pa a minute at {difference / 1e3:.1f} kPa "
            f"from the room's, with a standard uncertainty of {60 * u_slope:.1f} Pa a minute"
        )
        return LeakResult(slope, u_slope, math.inf, text)
    tau = abs(difference) / towards_room
    text = (
        f"the cell leaks: {60 * slope:.1f} Pa a minute towards the room's pressure "
        f"(standard uncertainty {60 * u_slope:.1f}), "
        f"a time constant of {tau / 60:.0f} min; expected none; look at stopper, valve and tubing"
    )
    return LeakResult(slope, u_slope, tau, text)
