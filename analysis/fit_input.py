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
MOST_VOLUME = 0.1  # [m3] of a cell; narrow enough to notice litres or millilitres in place of cubic metres


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


def number_of(points: Sequence[FitPoint], index: int) -> str:
    """How messages call a point: its number, with its label behind it where it has one."""
    label = points[index].label
    return f"{index + 1}" + (f" ({label})" if label else "")


def check_points(points: Sequence[FitPoint]) -> None:
    """Refuses points that no fit can use, naming the first one."""
    for index, point in enumerate(points):
        who = number_of(points, index)
        if not point.used:
            continue
        for what, value, limits in (
            ("temperature", point.temperature, TEMPERATURES),
            ("pressure", point.pressure, PRESSURES),
        ):
            if not limits[0] <= value <= limits[1]:  # written so that NaN is refused too
                raise FitRefused("point-outside", what, point=who, value=value, low=limits[0], high=limits[1])
        for what, value, most in (
            ("temperature", point.u_temperature, MAX_U_TEMPERATURE),
            ("pressure", point.u_pressure, 0.5 * point.pressure),
            ("lag", point.u_lag, MAX_U_TEMPERATURE),
        ):
            if not 0 <= value <= most:
                raise FitRefused("uncertainty-outside", what, point=who, value=value, high=most)
        if point.u_temperature == 0 and point.u_pressure == 0:
            raise FitRefused("no-uncertainty", point=who)
        if not -1 < point.correlation < 1:
            raise FitRefused("correlation-outside", point=who, value=point.correlation)
    used = [p for p in points if p.used]
    if len(used) < MIN_POINTS:
        aside = len(points) - len(used)
        variant = ("one" if len(used) == 1 else "some") + ("-aside" if aside else "")
        raise FitRefused("too-few-points", variant, used=len(used), aside=aside, least=MIN_POINTS)
    temperatures = [p.temperature for p in used]
    span = max(temperatures) - min(temperatures)
    if span < MIN_SPAN:
        raise FitRefused("span-too-small", points=len(used), span=span, least=MIN_SPAN)


def check_setting(baseline: SealedBaseline | None, setup: CellSetup, sensors: SensorPriors, air: str) -> None:
    """Refuses a baseline or a bench that contradicts itself."""
    if air not in AIR_MODES:
        raise ValueError(f"air is {air!r}; expected one of {', '.join(AIR_MODES)}")
    if air == "sealed":
        if baseline is None:
            raise FitRefused("no-baseline")
        for what, value, (low, high) in (
            ("temperature", baseline.temperature, TEMPERATURES),
            ("pressure", baseline.pressure, PRESSURES),
        ):
            if not low <= value <= high:
                raise FitRefused("baseline-outside", what, value=value, low=low, high=high)
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
            raise FitRefused("sensor-outside", name=name, value=value)


def _check_cell(setup: CellSetup) -> None:
    if not 0 < setup.cell_volume <= MOST_VOLUME:
        raise FitRefused("cell-volume-outside", value=setup.cell_volume, high=MOST_VOLUME)
    if not 0 <= setup.charge_volume < setup.cell_volume:
        raise FitRefused("charge-outside", charge=setup.charge_volume, cell=setup.cell_volume)
    if setup.room_humidity is not None and not 0 <= setup.room_humidity <= 1:
        raise FitRefused("humidity-outside", value=setup.room_humidity)
    if not 0 <= setup.gas_above_water <= 1:
        raise FitRefused("gas-above-water-outside", value=setup.gas_above_water)


def used_arrays(points: Sequence[FitPoint]) -> dict[str, Array]:
    """Columns of the points that are used, each of shape (n,)."""
    used = [p for p in points if p.used]
    names = ("temperature", "pressure", "u_temperature", "u_pressure", "correlation", "time", "lag", "u_lag")
    return {name: np.array([float(getattr(p, name)) for p in used]) for name in names}
