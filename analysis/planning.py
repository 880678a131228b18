"""Aids for the bench: water to pour, pressure to expect, time to wait, liquid to charge."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.fit_input import FitPoint
from analysis.liquids import GAS_CONSTANT, Liquid
from analysis.refusal import FitRefused
from analysis.trapped_air import CellSetup, SealedBaseline, air_pressure

WATER_HEAT_CAPACITY = 4180.0  # [J/kg/K] at bath temperatures; CRC Handbook value, from memory
WATER_DENSITY = 997.0  # [kg/m3]
#: Glass, stirrer and stand of a one-litre beaker bath [J/K]; its heat loss [W/K].  Assumed; better learnt from the run.
USUAL_VESSEL, USUAL_LOSS = 115.0, 1.6


def hot_water(
    bath_volume: float,
    temperature: float,
    target: float,
    water: float,
    *,
    room: float = 295.15,
    duration: float = 0.0,
    loss: float = USUAL_LOSS,
    vessel: float = USUAL_VESSEL,
) -> float:
    """Hot (or cold) water that brings a bath to a target temperature.  [m3]

    Parameters
    ----------
    bath_volume : float
        Water in the bath.  [m3]
    temperature, target, water, room : float
        Of bath, goal, water to pour, and room.  [K]
    duration : float
        Time the pouring and mixing take, over which the bath loses heat.  [s]
    loss : float
        Heat loss per kelvin above the room.  [W/K]
    vessel : float
        Heat capacity of what else follows the bath.  [J/K]

    Raises
    ------
    FitRefused
        The water to pour does not lie beyond the target.

    Notes
    -----
    V rho c (T_water - T_target) = (m c + C)(T_target - T) + UA (mean T - T_room) dt, the energy balance of the bath.
    """
    if (water - target) * (target - temperature) <= 0:
        raise FitRefused("water-cannot", water=water, temperature=temperature, target=target)
    capacity = bath_volume * WATER_DENSITY * WATER_HEAT_CAPACITY + vessel
    needed = capacity * (target - temperature) + loss * (0.5 * (temperature + target) - room) * duration
    return max(needed / (WATER_DENSITY * WATER_HEAT_CAPACITY * (water - target)), 0.0)


def bath_loss(
    bath_volume: float, temperature: float, drift: float, room: float, *, vessel: float = USUAL_VESSEL
) -> float | None:
    """Heat loss of the bath per kelvin above the room, learnt from how it drifted on a plateau.  [W/K]

    UA = -C dT/dt / (T - T_room).  None where the bath was within 1 K of the room, or drifted the wrong way.
    """
    above = temperature - room
    if abs(above) < 1.0:
        return None
    capacity = bath_volume * WATER_DENSITY * WATER_HEAT_CAPACITY + vessel
    value = -capacity * drift / above
    return value if value > 0 else None


def expected_pressure(
    temperature: float,
    baseline: SealedBaseline,
    setup: CellSetup,
    liquid: Liquid | None,
    points: Sequence[FitPoint] = (),
) -> float:
    """Total pressure to expect at a temperature; NaN where nothing is known to say.  [Pa]

    The sealed air carried there, plus vapour: from the nearest point taken so far, carried along the slope of the
    points or of the reference; without points from the reference.  Outside the range of the reference its nearest slope
    serves: this is a forecast for the bench and no result.
    """
    used = sorted((p for p in points if p.used), key=lambda p: p.temperature)
    slope = _slope(used, baseline, setup, liquid)
    air = float(air_pressure(temperature, baseline, setup, _within(liquid, temperature), 0.0, slope).value[0])
    if used:
        near = min(used, key=lambda p: abs(p.temperature - temperature))
        there = air_pressure(near.temperature, baseline, setup, liquid, near.pressure, slope).value[0]
        vapour = max(near.pressure - float(there), 0.0)
        return air + vapour * math.exp(-slope / GAS_CONSTANT * (1 / temperature - 1 / near.temperature))
    if liquid is None or liquid.saturation is None:
        return math.nan
    low, high = liquid.saturation.range
    inside = min(max(temperature, low), high)
    vapour = float(liquid.saturation_pressure(inside))
    return air + vapour * math.exp(-float(liquid.slope(inside)) / GAS_CONSTANT * (1 / temperature - 1 / inside))


def _within(liquid: Liquid | None, temperature: float) -> Liquid | None:
    """The liquid, or None where its reference does not reach the temperature: the air balance can do without."""
    if liquid is None or liquid.saturation is None:
        return liquid
    low, high = liquid.saturation.range
    return liquid if low <= temperature <= high else None


def _slope(used: Sequence[FitPoint], baseline: SealedBaseline, setup: CellSetup, liquid: Liquid | None) -> float:
    if len(used) >= 2 and used[-1].temperature - used[0].temperature > 2.0:
        ends = [used[0], used[-1]]
        vapours = [
            p.pressure - float(air_pressure(p.temperature, baseline, setup, liquid, p.pressure, 40e3).value[0])
            for p in ends
        ]
        if min(vapours) > 0 and vapours[1] > vapours[0]:
            return (
                GAS_CONSTANT * math.log(vapours[1] / vapours[0]) / (1 / ends[0].temperature - 1 / ends[1].temperature)
            )
    if liquid is not None and liquid.saturation is not None:
        low, high = liquid.saturation.range
        return float(liquid.slope(min(max(300.0, low), high)))
    return 40e3  # usual for liquids of a teaching bench


def temperature_at_limit(
    limit: float,
    baseline: SealedBaseline,
    setup: CellSetup,
    liquid: Liquid | None,
    points: Sequence[FitPoint] = (),
    *,
    highest: float = 373.15,
) -> float | None:
    """Temperature at which the expected total pressure reaches a limit; None where it does not up to `highest`.  [K]

    `limit` is an absolute pressure.  [Pa]
    """
    low, high = baseline.temperature - 20.0, highest

    def over(t: float) -> float:
        return expected_pressure(t, baseline, setup, liquid, points) - limit

    if not over(high) >= 0:
        return None
    if over(low) >= 0:
        return low
    from scipy.optimize import brentq

    return float(brentq(over, low, high, xtol=1e-3))


def minimum_charge(liquid: Liquid, temperature: float, volume: float) -> float | None:
    """Liquid that fills a gas space with saturated vapour and no more; None where the liquid is not known.  [m3]

    p V / (Z R T) moles of it, Z taken as dZ; charge several times as much.
    """
    if liquid.saturation is None or liquid.density is None or liquid.molar_mass is None or liquid.dz_form is None:
        return None
    moles = float(liquid.saturation_pressure(temperature)) * volume / (float(liquid.dz(temperature)) * GAS_CONSTANT)
    return moles / temperature * liquid.molar_mass / liquid.density.value


#: Diffusion volumes of Fuller, Ensley and Giddings (Poling, Prausnitz, O'Connell, Table 11-1; from memory).  [cm3/mol]
_DIFFUSION_VOLUMES = {"C": 15.9, "H": 2.31, "O": 6.11, "N": 4.54, "Cl": 21.0, "Br": 21.9, "F": 14.7, "S": 22.9}
_AIR_DIFFUSION_VOLUME, _AIR_MOLAR_MASS = 19.7, 28.96  # [cm3/mol], [g/mol]


def diffusion_coefficient(liquid: Liquid, temperature: float, pressure: float = 101_325.0) -> float | None:
    """Of the vapour in air, after Fuller, Schettler and Giddings; None without formula or molar mass.  [m2/s]"""
    parts = re.findall(r"([A-Z][a-z]?)(\d*)", liquid.formula)
    if not parts or liquid.molar_mass is None or any(symbol not in _DIFFUSION_VOLUMES for symbol, _ in parts):
        return None
    volume = sum(_DIFFUSION_VOLUMES[symbol] * int(count or 1) for symbol, count in parts)
    mass = 2 / (1 / (1e3 * liquid.molar_mass) + 1 / _AIR_MOLAR_MASS)
    width = volume ** (1 / 3) + _AIR_DIFFUSION_VOLUME ** (1 / 3)
    return 1e-4 * 0.00143 * temperature**1.75 / (pressure / 1e5 * math.sqrt(mass) * width**2)


def saturation_time(liquid: Liquid, temperature: float, depth: float) -> float | None:
    """Time constant with which still gas of this depth [m] over the liquid saturates by diffusion alone.  [s]

    4 L^2 / (pi^2 D), the slowest mode of a layer closed at the top; swirling shortens it many times.
    """
    d = diffusion_coefficient(liquid, temperature)
    return None if d is None else 4 * depth**2 / (math.pi**2 * d)


@dataclass(frozen=True, slots=True)
class PointGain:
    """What one more point would do: its temperature [K], standard uncertainty now and then [J/mol]."""

    temperature: float
    now: float
    then: float

    @property
    def gain(self) -> float:
        """Share by which the uncertainty would fall."""
        return 1 - self.then / self.now if self.now > 0 else 0.0
