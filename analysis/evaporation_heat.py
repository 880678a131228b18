"""What evaporation costs the liquid in warmth: its lag grows by that, the more so the more volatile it is."""

from __future__ import annotations

from analysis.liquids import GAS_CONSTANT, ROOM_TEMPERATURE, Liquid

#: Heat capacity of an organic liquid of which nothing is known; common practice, no source.  [J/m3/K]
USUAL_CAPACITY = 1.7e6
#: Heat of evaporation of a liquid of which nothing is known; middle of the shipped table.  [J/mol]
USUAL_HEAT = 35e3


def liquid_capacity(liquid: Liquid | None, charge: float) -> float:
    """Heat capacity of a charge of this volume [m3] at room temperature.  [J/K]"""
    if liquid is None or liquid.heat_capacity is None or liquid.density is None or not liquid.molar_mass:
        return USUAL_CAPACITY * charge
    return liquid.heat_capacity.value * liquid.density.value / liquid.molar_mass * charge


def cooling_by_vapour(liquid: Liquid | None, cell_volume: float, charge: float, temperature: float) -> float:
    """By how much a charge cools when vapour evaporates from it that raises the pressure in its cell by one pascal.

    In a cell of volume V that is V/(R T) moles, each of which takes the heat L from what is left of the liquid.  The
    glass that the liquid wets takes a share of that, a tenth or so, which is left out.  A saturation pressure that
    rises by a pascal calls for somewhat less: what is there already expands.

    Parameters
    ----------
    liquid : Liquid or None
        Usual values stand for what is not known of it.
    cell_volume, charge : float
        [m3]
    temperature : float
        [K]

    Returns
    -------
    float
        0 where there is no charge to cool.  [K/Pa]
    """
    gas = cell_volume - charge
    capacity = liquid_capacity(liquid, charge)
    if not capacity > 0.0 or not gas > 0.0:
        return 0.0
    heat, left = USUAL_HEAT, 1.0
    if liquid is not None and liquid.enthalpy_vap is not None:
        known = liquid.enthalpy_vap
        heat = known.value + liquid.heat_capacity_difference.value * (temperature - known.temperature)
    if liquid is not None and liquid.saturation is not None and liquid.density is not None:
        low, high = liquid.saturation.range
        pressure = float(liquid.saturation_pressure(min(max(temperature, low), high)))
        gone = pressure * gas / (GAS_CONSTANT * temperature)
        left = max(1.0 - gone * float(liquid.molar_volume(ROOM_TEMPERATURE)) / charge, 0.1)
    return gas * heat / (GAS_CONSTANT * temperature) / (capacity * left)
