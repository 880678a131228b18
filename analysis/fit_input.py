"""What a fit is given: points and what is known of the sensors; and what it refuses before it starts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.refusal import FitRefused
from analysis.trapped_air import CellSetup, SealedBaseline

Array = NDArray[np.float64]
AIR_MODES = ("sealed", "none", "corrected")
MIN_POINTS = 3
MIN_SPAN = 0.5  # [K] below this the slope is nothing but noise with any bench thermometer
TEMPERATURES = (200.0, 600.0)  # [K] wide enough for any bath, narrow enough to notice degrees Celsius
PRESSURES = (1.0, 2e6)  # [Pa] narrow enough to notice kPa or bar in place of Pa
MAX_U_TEMPERATURE = 10.0  # [K]


@dataclass(frozen=True, slots=True)
class FitPoint:
    """One pair of temperature and pressure.

    Parameters
    ----------
    temperature : float
        The temperature that belongs to `pressure`: where the lag was determined, already corrected for it.  [K]
    pressure : float
        Total pressure read (air included, unless the fit is told otherwise).  [Pa]
    u_temperature, u_pressure : float
        Standard uncertainties of this point alone: noise, resolution.  What all points share (offset, gain, lag) does
        not belong here.
    correlation : float
        Between the two, within the point.
    time : float
        Seconds since run start; NaN where not known.  [s]
    branch : str
        "up", "down" or "return".
    label : str
        How messages call the point; empty: by its number.
    used : bool
        False: set aside, shown but not fitted.
    lag : float
        What was subtracted from the probe temperature to get `temperature`; zero where nothing was.  [K]
    u_lag : float
        Its standard uncertainty.  [K]
    """

    temperature: float
    pressure: float
    u_temperature: float = 0.03
    u_pressure: float = 30.0
    correlation: float = 0.0
    time: float = math.nan
    branch: str = "up"
    label: str = ""
    used: bool = True
    lag: float = 0.0
    u_lag: float = 0.0


@dataclass(frozen=True, slots=True)
class SensorPriors:
    """What the sensors may share as errors over a whole run, as standard uncertainties.

    Parameters
    ----------
    u_offset_pressure, u_gain_pressure
        Zero error and relative sensitivity error of the pressure sensor.  [Pa, 1]
    u_nonlinearity_pressure
        Height of a parabola over the sensor's range `full_scale_pressure`.  [Pa]
    u_drift_pressure
        Change of the zero from the first to the last point.  [Pa]
    u_offset_temperature, u_gain_temperature
        Offset and relative error of temperature differences.  [K, 1]
    noise_scale_sd
        How well the points' own uncertainties are known: standard deviation of the logarithm of a common factor.

    Notes
    -----
    The defaults are of a usual school or teaching-laboratory pair of sensors (common practice, no source).
    """

    u_offset_pressure: float = 2000.0
    u_gain_pressure: float = 0.02
    u_nonlinearity_pressure: float = 100.0
    u_drift_pressure: float = 20.0
    full_scale_pressure: float = 210e3
    u_offset_temperature: float = 0.3
    u_gain_temperature: float = 0.003
    noise_scale_sd: float = 0.8

    @staticmethod
    def none() -> SensorPriors:
        """Sensors without common errors: for tabulated pressures, whose uncertainty stands with each point."""
        return SensorPriors(0.0, 0.0, 0.0, 0.0, 210e3, 0.0, 0.0)


def name_of(points: Sequence[FitPoint], index: int) -> str:
    """How a message calls a point."""
    return f"point {number_of(points, index)}"


def number_of(points: Sequence[FitPoint], index: int) -> str:
    """The number of a point, with its label behind it where it has one."""
    label = points[index].label
    return f"{index + 1}" + (f" ({label})" if label else "")


def check_points(points: Sequence[FitPoint]) -> None:
    """Refuses points that no fit can use, naming the first one."""
    for index, point in enumerate(points):
        who = name_of(points, index)
        if not point.used:
            continue
        _in_range(f"the temperature of {who}", point.temperature, TEMPERATURES, "K")
        _in_range(f"the pressure of {who}", point.pressure, PRESSURES, "Pa")
        for what, value, most, unit in (
            ("temperature", point.u_temperature, MAX_U_TEMPERATURE, "K"),
            ("pressure", point.u_pressure, 0.5 * point.pressure, "Pa"),
            ("lag", point.u_lag, MAX_U_TEMPERATURE, "K"),
        ):
            if not 0 <= value <= most:
                raise FitRefused(
                    f"the uncertainty of the {what} of {who} is {value:g} {unit}",
                    f"a value from 0 to {most:g} {unit}",
                    "Check the column and its unit.",
                )
        if point.u_temperature == 0 and point.u_pressure == 0:
            raise FitRefused(
                f"{who} has no uncertainty at all",
                "some uncertainty of temperature or pressure",
                "State what is known.",
            )
        if not -1 < point.correlation < 1:
            raise FitRefused(
                f"the correlation of {who} is {point.correlation:g}", "a value between -1 and 1", "Correct it."
            )
    used = [p for p in points if p.used]
    if len(used) < MIN_POINTS:
        aside = len(points) - len(used)
        raise FitRefused(
            f"{len(used)} usable point{'s' * (len(used) != 1)}" + (f" ({aside} set aside)" if aside else ""),
            f"at least {MIN_POINTS}",
            "Take more points, or put one back that was set aside.",
        )
    temperatures = [p.temperature for p in used]
    span = max(temperatures) - min(temperatures)
    if span < MIN_SPAN:
        raise FitRefused(
            f"the {len(used)} points lie within {span:.3g} K of each other",
            f"a span of at least {MIN_SPAN:g} K",
            "Take points at other temperatures.",
        )


def _in_range(what: str, value: float, limits: tuple[float, float], unit: str) -> None:
    low, high = limits
    if not low <= value <= high:  # written so that NaN is refused too
        raise FitRefused(
            f"{what} is {value:g} {unit}", f"{low:g} to {high:g} {unit}", "Check the unit, or set that point aside."
        )


def check_setting(baseline: SealedBaseline | None, setup: CellSetup, sensors: SensorPriors, air: str) -> None:
    """Refuses a baseline or a bench that contradicts itself."""
    if air not in AIR_MODES:
        raise ValueError(f"air is {air!r}; expected one of {', '.join(AIR_MODES)}")
    if air == "sealed":
        if baseline is None:
            raise FitRefused(
                "no sealed baseline",
                "temperature and pressure of the closed cell before the liquid went in",
                "Give it, or say that the cell was evacuated.",
            )
        _in_range("the sealed baseline's temperature", baseline.temperature, TEMPERATURES, "K")
        _in_range("the sealed baseline's pressure", baseline.pressure, PRESSURES, "Pa")
        _check_cell(setup)
    for name in (
        "u_offset_pressure",
        "u_gain_pressure",
        "u_offset_temperature",
        "u_gain_temperature",
        "noise_scale_sd",
    ):
        value = getattr(sensors, name)
        if not 0 <= value < math.inf:
            raise FitRefused(f"the sensors' {name} is {value:g}", "a number from 0 up", "Correct it.")


def _check_cell(setup: CellSetup) -> None:
    if not 0 < setup.cell_volume <= 0.1:
        raise FitRefused(
            f"the cell volume is {setup.cell_volume:g} m3", "more than 0 and at most 0.1 m3 (100 L)", "Check its unit."
        )
    if not 0 <= setup.charge_volume < setup.cell_volume:
        raise FitRefused(
            f"the charge is {setup.charge_volume * 1e6:g} mL in a cell of {setup.cell_volume * 1e6:g} mL",
            "less than the cell holds",
            "Check both volumes.",
        )
    if setup.room_humidity is not None and not 0 <= setup.room_humidity <= 1:
        raise FitRefused(
            f"the room humidity is {setup.room_humidity:g}", "a fraction from 0 to 1", "Give 0.45 for 45 %."
        )
    if not 0 <= setup.gas_above_water <= 1:
        raise FitRefused(
            f"the gas above the water is {setup.gas_above_water:g}", "a fraction from 0 to 1", "Give 0.05 for 5 %."
        )


def used_arrays(points: Sequence[FitPoint]) -> dict[str, Array]:
    """Columns of the points that are used, each of shape (n,)."""
    used = [p for p in points if p.used]
    names = ("temperature", "pressure", "u_temperature", "u_pressure", "correlation", "time", "lag", "u_lag")
    return {name: np.array([float(getattr(p, name)) for p in used]) for name in names}
