"""The gas that is not vapour: how much was closed in, and what it presses at each later temperature.

The sealed baseline (cell closed, liquid not yet in) gives the amount of air; every way in which that amount, or the
room it has, changes later is an input with its own uncertainty.  Evacuated cells need none of this.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.liquids import GAS_CONSTANT, ROOM_TEMPERATURE, Liquid, load_liquid

Array = NDArray[np.float64]

#: Relative humidity taken where none was measured, and its standard uncertainty: rooms are between 20 % and 75 %.
UNMEASURED_HUMIDITY = (0.45, 0.18)  # common practice, no source
#: Time in which the liquid takes up or gives off air until both are in balance: median [s] and standard deviation of
#: the logarithm.  Guessed: minutes in a swirled flask, far longer than heat and vapour take.
SOLUTION_TIME = (300.0, 0.7)


@dataclass(frozen=True, slots=True)
class SealedBaseline:
    """Temperature and pressure of the closed cell just before the liquid goes in.

    Parameters
    ----------
    temperature, u_temperature : float
        Probe reading and the random part of its standard uncertainty.  [K]
    pressure, u_pressure : float
        Sensor reading and the random part of its standard uncertainty.  [Pa]
    time : float
        When it was taken; NaN where not known.  [s]
    """

    temperature: float
    pressure: float
    u_temperature: float = 0.03
    u_pressure: float = 30.0
    time: float = math.nan


@dataclass(frozen=True, slots=True)
class CellSetup:
    """What the bench is like: each quantity beside its standard uncertainty `u_...`.

    Parameters
    ----------
    cell_volume
        Gas space of the closed cell without liquid and without tubing.  [m3]
    charge_volume
        Liquid put in.  [m3]
    plunger_drawn_back
        Whether the plunger was drawn back by the charge volume before the valve was closed again; None: not known.
    u_drawn_volume
        Of what the plunger was drawn back by; it errs on its own, not with the charge.  [m3]
    tubing_volume
        Gas outside the bath, at room temperature: tube, sensor, connectors.  [m3]
    tubing_vapour
        How far that gas takes up vapour: 0 air only, 1 saturated at room temperature.
    gas_above_water
        Fraction of the cell's gas space above the water line, taken half-way to room temperature.
    room_temperature, room_humidity, room_pressure
        Room air when the cell was closed; humidity from 0 to 1, None: not measured (a wide prior is used); pressure
        None: that of the sealed baseline.  [K, 1, Pa]
    dissolved_air
        Air in the liquid before charging, as a fraction of saturation: 1 as bought, 0 degassed.
    glass_expansion
        Volumetric, of the cell.  [1/K]  Default: borosilicate, 3 x 3.3e-6 (from memory).
    u_air
        Any further relative uncertainty of the amount of air.
    """

    cell_volume: float = 125e-6
    u_cell_volume: float = 1.5e-6
    charge_volume: float = 3e-6
    u_charge_volume: float = 0.05e-6
    plunger_drawn_back: bool | None = True
    u_drawn_volume: float = 0.05e-6
    tubing_volume: float = 0.0
    u_tubing_volume: float = 0.2e-6
    tubing_vapour: float = 0.5
    u_tubing_vapour: float = 0.3
    gas_above_water: float = 0.0
    u_gas_above_water: float = 0.005
    room_temperature: float = 295.15
    u_room_temperature: float = 1.0
    room_humidity: float | None = None
    u_room_humidity: float = 0.05
    room_pressure: float | None = None
    dissolved_air: float = 1.0
    u_dissolved_air: float = 0.1
    glass_expansion: float = 1.0e-5
    u_air: float = 0.0005


@dataclass(frozen=True, slots=True)
class AirInput:
    """One uncertain input of the air balance: key, value, standard uncertainty, words for the budget."""

    key: str
    value: float
    u: float
    label: str


@dataclass(frozen=True, slots=True)
class AirPressure:
    """Pressure of everything that is not vapour of the liquid.

    Parameters
    ----------
    value
        Shape (n,).  [Pa]
    derivatives
        For each input its effect per standard uncertainty, shape (n,); common to all temperatures, so fully
        correlated.  [Pa]
    u_common
        Their root sum of squares, shape (n,).  [Pa]
    """

    value: Array
    derivatives: dict[str, Array]
    u_common: Array


def air_inputs(baseline: SealedBaseline, setup: CellSetup, liquid: Liquid | None) -> tuple[AirInput, ...]:
    """All uncertain inputs of the air balance, with the words the budget uses for them."""
    humidity, u_humidity = (
        UNMEASURED_HUMIDITY if setup.room_humidity is None else (setup.room_humidity, setup.u_room_humidity)
    )
    drawn = {True: 1.0, False: 0.0, None: 0.5}[setup.plunger_drawn_back]
    u_drawn = {True: setup.u_drawn_volume, False: 0.0, None: 0.5 * setup.charge_volume}[setup.plunger_drawn_back]
    solubility = (liquid or _NOTHING_KNOWN).air_solubility
    activity = (liquid or _NOTHING_KNOWN).water_activity
    gamma, u_gamma = (10.0, 1.0) if activity is None else (activity.value, activity.u / activity.value)
    return (
        AirInput("p0", baseline.pressure, baseline.u_pressure, "sealed baseline, pressure"),
        AirInput("t0", baseline.temperature, baseline.u_temperature, "sealed baseline, temperature"),
        AirInput("extra", 0.0, setup.u_air, "amount of air, anything else"),
        AirInput("volume", setup.cell_volume, setup.u_cell_volume, "cell volume"),
        AirInput("charge", setup.charge_volume, setup.u_charge_volume, "charge volume"),
        AirInput("drawn", drawn * setup.charge_volume, u_drawn, "plunger"),
        AirInput("tube", setup.tubing_volume, setup.u_tubing_volume, "tubing volume"),
        AirInput(
            "tube_vapour", setup.tubing_vapour, setup.u_tubing_vapour if setup.tubing_volume else 0.0, "tubing gas"
        ),
        AirInput("neck", setup.gas_above_water, setup.u_gas_above_water, "gas above the water"),
        AirInput("room", setup.room_temperature, setup.u_room_temperature, "room temperature"),
        AirInput("humidity", humidity, u_humidity, "room humidity"),
        AirInput("log_gamma", math.log(gamma), u_gamma, "water taken up by the liquid"),
        AirInput("dissolved", setup.dissolved_air, setup.u_dissolved_air, "dissolved air"),
        AirInput("ostwald", solubility.value, solubility.u, "solubility of air"),
    )


_NOTHING_KNOWN = Liquid(name="unknown liquid")


def second_virial_air(temperature: float | Array) -> Array:
    """Second virial coefficient of dry air.  [m3/mol]

    Parameters
    ----------
    temperature : float or array
        From 260 K to 380 K.  [K]

    Notes
    -----
    Quadratic through the equation of state of air in CoolProp 8.0 at 273.15, 323.15 and 373.15 K (a test compares).
    Only its change with temperature matters here.
    """
    x = (np.asarray(temperature, dtype=float) - 323.15) / 50.0
    return (-3.662 + 8.374 * x - 1.527 * x * x) * 1e-6


def foreign_pressure(
    temperature: Array,
    pressure_vapour: Array,
    inputs: Mapping[str, Any],
    setup: CellSetup,
    liquid: Liquid | None,
    slope: float,
    slope_change: float = 0.0,
    slope_at: float = ROOM_TEMPERATURE,
) -> Array:
    """Pressure in the cell beside the vapour pressure of the liquid: air, and water vapour that came with it.

    Parameters
    ----------
    temperature : array
        True temperature of the liquid, shape (n,) or (m, n).  [K]
    pressure_vapour : array
        Vapour pressure of the liquid there, same shape.  [Pa]
    inputs : mapping
        Values of `air_inputs` by key: numbers, or arrays of shape (m, 1) to work out m cases at once.
    slope : float
        Apparent enthalpy -R d(ln p)/d(1/T), for the colder vapour in neck and tubing.  [J/mol]
    slope_change, slope_at : float
        Its change with temperature, and the temperature it holds for.  [J/mol/K], [K]

    Notes
    -----
    Air is conserved: what was in cell, neck and tubing at closing, less what the drawn plunger took, plus what the
    liquid brought dissolved, is later in the gas space at T, in the neck half-way to room temperature, in the tubing
    at room temperature and dissolved in the liquid.  Pressure is equal everywhere; in neck and tubing the vapour is
    at most what condenses there, so air makes up the rest.  The air-vapour cross virial coefficient cancels against
    the fugacity of the vapour to first order at constant volume; what is left of the virial terms is the change of
    the second virial coefficient of air.

    A liquid that air presses upon has more vapour above it than alone (Poynting), and a little less for the air that
    is dissolved in it (Raoult): ln of the ratio is V (1 - L) p_air/(R T), L the Ostwald coefficient.  It is nearly the
    same at all temperatures, half a per cent, but as liquids expand it bends the line a little.  What the vapour has
    beyond its saturation pressure counts as foreign.
    """
    g, t, pv = inputs, temperature, pressure_vapour
    t0, room, volume = g["t0"], g["room"], g["volume"]
    is_water = liquid is not None and liquid.cas == "7732-18-5"
    water = load_liquid("water")

    # At closing: amounts per gas constant, n R.
    neck0 = 0.5 * (t0 + room)
    spread0 = (1 - g["neck"]) * volume / t0 + g["neck"] * volume / neck0 + g["tube"] / room
    water0 = np.clip(g["humidity"], 0.0, 1.0) * water.saturation_pressure(np.clip(room, 273.2, 370.0))
    kept = 1 - g["drawn"] / (volume + g["tube"] - g["charge"] + g["drawn"])
    scale = (1 + g["extra"]) * kept * spread0
    air = (g["p0"] - water0) * scale
    moist = water0 * scale

    # What is colder than the liquid: neck half-way to room temperature, tubing at it.
    neck = 0.5 * (t + room)
    ratio_room = _of_vapour_pressure(room, t, slope, slope_change, slope_at)
    ratio_neck = np.minimum(_of_vapour_pressure(neck, t, slope, slope_change, slope_at), 1.0)
    in_tube = g["tube_vapour"] * np.minimum(ratio_room, 1.0)

    # The liquid: volume at T, less what has evaporated; air it brought and air it holds.
    known = liquid or _NOTHING_KNOWN
    molar_volume = known.molar_volume(t)
    charged = g["charge"] * molar_volume / known.molar_volume(room)
    cell = volume * (1 + setup.glass_expansion * (t - t0))
    wet = (cell - charged) * ((1 - g["neck"]) / t + g["neck"] * ratio_neck / neck) + g["tube"] * in_tube / room
    liquid_volume = np.maximum(charged - pv * wet / GAS_CONSTANT * molar_volume, 0.0)
    gas = cell - liquid_volume
    air = air + g["dissolved"] * g["ostwald"] * (g["p0"] - pv * ratio_room) * g["charge"] / room

    # Where the air is later.
    a = (1 - g["neck"]) * gas / t
    b = g["neck"] * gas / neck
    d = g["tube"] / room
    c = g["ostwald"] * liquid_volume / t
    pressed = np.exp(molar_volume * (1 - g["ostwald"]) * air / ((a + b + c + d) * GAS_CONSTANT * t))
    vapour_gap = pressed * pv * ((1 - ratio_neck) * b + (1 - in_tube) * d)
    pressure_air = (air - vapour_gap) / (a + b + c + d)
    change = (second_virial_air(t) - second_virial_air(t0)) * a / (a + b + d)
    pressure_air = pressure_air * (1 + change * pressure_air / (GAS_CONSTANT * t)) + pv * (pressed - 1)
    if is_water:
        return pressure_air
    return pressure_air + _water_pressure(t, pv, moist, a + b + d, g, liquid, water)


def undissolved_air(
    temperature: Array, pressure_vapour: Array, pressure_air: Array, inputs: Mapping[str, Any], slope: float
) -> Array:
    """What the air that the liquid has yet to take up adds to the pressure just after the charge; below zero where the
    liquid has air to give off.  [Pa]

    In its bottle the liquid is in balance with air that makes room for the vapour; in the cell vapour comes on top.
    Parameters as for `foreign_pressure`, which gives the pressure of air once both are in balance.
    """
    g, t = inputs, temperature
    at_room = pressure_vapour * np.exp(-slope / GAS_CONSTANT * (1 / g["room"] - 1 / t))
    brought = g["dissolved"] * np.maximum(g["p0"] - at_room, 0.0) * t / g["room"]
    return np.asarray(g["ostwald"] * g["charge"] / (g["volume"] - g["charge"]) * (pressure_air - brought))


def _of_vapour_pressure(there: Any, t: Array, slope: float, slope_change: float, slope_at: float) -> Array:
    """Saturation pressure at another temperature over that at t, with the slope half-way between.  [1]"""
    between = slope + slope_change * (0.5 * (there + t) - slope_at)
    return np.asarray(np.exp(-between / GAS_CONSTANT * (1 / there - 1 / t)))


def _water_pressure(
    t: Array, pv: Array, moist: Array, space: Array, g: Mapping[str, Any], liquid: Liquid | None, water: Liquid
) -> Array:
    """What the room's water vapour still presses, less what it takes from the liquid's own vapour (Raoult).  [Pa]

    Henry's law: in the liquid its activity is gamma times its mole fraction.
    """
    amount_liquid = np.maximum(g["charge"], 1e-12) / (liquid or _NOTHING_KNOWN).molar_volume(g["room"])
    gamma = np.exp(g["log_gamma"])
    held = GAS_CONSTANT * amount_liquid / (gamma * water.saturation_pressure(np.clip(t, 273.2, 378.0)))
    pressure = moist / (space + held)
    mole_fraction = pressure * held / GAS_CONSTANT / amount_liquid
    return pressure - mole_fraction * pv


def air_pressure(
    temperature: float | Array,
    baseline: SealedBaseline,
    setup: CellSetup,
    liquid: Liquid | None,
    pressure: float | Array | None = None,
    slope: float | None = None,
) -> AirPressure:
    """Pressure of trapped air (and room moisture) in the charged cell, with what each input contributes.

    Parameters
    ----------
    temperature : float or array
        Of the liquid, shape (n,).  [K]
    baseline, setup, liquid
        The sealed baseline, the bench, the liquid (None: nothing known).
    pressure : float or array, optional
        Total pressure read there, shape (n,); without it the liquid's reference saturation pressure is added.  [Pa]
    slope : float, optional
        Apparent enthalpy for the colder vapour outside the bath; default from the liquid, else 40 kJ/mol.  [J/mol]
    """
    t = np.atleast_1d(np.asarray(temperature, dtype=float))
    known = liquid is not None and liquid.known
    if slope is None:
        slope = float(np.mean(liquid.slope(t))) if liquid is not None and known else 40e3
    listed = air_inputs(baseline, setup, liquid)
    base = {i.key: i.value for i in listed}
    vapour = np.asarray(liquid.saturation_pressure(t)) if liquid is not None and known else np.zeros_like(t)
    if pressure is not None:
        for _ in range(3):  # contracts by the share of gas outside the bath, a few per cent, each time
            vapour = np.maximum(pressure - foreign_pressure(t, vapour, base, setup, liquid, slope), 0.0)
    value = foreign_pressure(t, vapour, base, setup, liquid, slope)
    unsure = [item for item in listed if item.u]
    cases: dict[str, Any] = dict(base)  # two for each unsure input: it alone a standard uncertainty up, and down
    for k, item in enumerate(unsure):
        cases[item.key] = np.full((2 * len(unsure), 1), item.value)
        cases[item.key][2 * k : 2 * k + 2, 0] += item.u, -item.u
    found = foreign_pressure(t, vapour, cases, setup, liquid, slope)
    found = np.broadcast_to(found, (2 * len(unsure), len(t)))  # an input that does not enter leaves one row
    change = 0.5 * (found[::2] - found[1::2])
    derivatives = {item.label: change[k] for k, item in enumerate(unsure)}
    u_common = np.sqrt(sum((d * d for d in derivatives.values()), np.zeros_like(t)))
    return AirPressure(value, derivatives, u_common)


def faultless(setup: CellSetup) -> CellSetup:
    """The same bench with every uncertainty set to zero; for planning and for tests."""
    zeros: dict[str, Any] = {f.name: 0.0 for f in fields(setup) if f.name.startswith("u_")}
    return replace(setup, **zeros)
