"""What is known beforehand of a liquid: short forms with source, range and uncertainty; never extrapolated silently.

The shipped table `liquids.toml` is made by a script from general property libraries.  A table of the user's own has
the same form and is handed in as text (`parse_liquids`): this module opens no other file than its own.
"""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass, field
from functools import lru_cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from analysis.refusal import LiquidError, OutsideRangeError

GAS_CONSTANT = 8.314462618  # [J/mol/K] exact since 2019: product of the defined Boltzmann and Avogadro constants
ROOM_TEMPERATURE = 298.15  # [K] the temperature calorimetric tables use

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Sourced:
    """One number with where it is from.

    Parameters
    ----------
    value, u : float
        Value and standard uncertainty in SI.
    source : str
        Where it is from, in words.
    temperature : float
        The temperature it holds for; NaN where that says nothing.  [K]
    """

    value: float
    u: float
    source: str
    temperature: float = math.nan


@dataclass(frozen=True, slots=True)
class Changing(Sourced):
    """One that changes by `slope` with each kelvin; zero where that is not known."""

    slope: float = 0.0

    def at(self, temperature: float) -> float:
        """The value carried to another temperature.  [K]"""
        return self.value + self.slope * (temperature - self.temperature) if self.slope else self.value


@dataclass(frozen=True, slots=True)
class Form:
    """A short analytic form of a property of temperature.

    Parameters
    ----------
    coefficients : tuple of float
        As the property states; SI, kelvin.
    range : (float, float)
        Temperatures between which the source holds.  [K]
    u : float
        Standard uncertainty: relative for a saturation pressure, absolute for dZ.
    source : str
        Where it is from.
    deviation : float
        Largest relative distance of the form from its source.
    """

    coefficients: tuple[float, ...]
    range: tuple[float, float]
    u: float
    source: str
    deviation: float = 0.0


@dataclass(frozen=True, slots=True)
class Liquid:
    """A liquid and what is known of it before a run.

    Everything may be None where nothing is known: see `unknown_liquid`.  Pressures in Pa, temperatures in K,
    enthalpies in J/mol, densities in kg/m3, heat capacities in J/mol/K, molar mass in kg/mol.
    """

    name: str
    molar_mass: float | None = None
    formula: str = ""
    cas: str = ""
    aliases: tuple[str, ...] = ()
    enthalpy_vap: Sourced | None = None
    saturation: Form | None = None
    dz_form: Form | None = None
    heat_capacity_difference: Changing = field(
        default_factory=lambda: Changing(-50.0, 25.0, "usual for molecular liquids; common practice, no source")
    )
    density: Sourced | None = None
    expansivity: float = 1.2e-3  # [1/K] at 298.15 K; usual for organic liquids
    expansivity_slope: float = 5e-6  # [1/K2] the same; middle of the shipped table
    heat_capacity: Sourced | None = None
    boiling_point: Sourced | None = None
    flash_point: Sourced | None = None
    air_solubility: Sourced = field(
        default_factory=lambda: Sourced(0.18, 0.08, "Ostwald coefficient usual for organic liquids, from memory")
    )
    water_activity: Sourced | None = None

    @property
    def known(self) -> bool:
        """Whether reference data stand behind this liquid."""
        return self.saturation is not None

    def molar_volume(self, temperature: float | Array) -> float | Array:
        """Of the liquid, V(298.15 K) (1 + a x + b x^2/2); 1e-4 m3/mol there where nothing is known.  [m3/mol]"""
        x = temperature - ROOM_TEMPERATURE
        at_room = 1e-4 if self.density is None or self.molar_mass is None else self.molar_mass / self.density.value
        return at_room * (1 + self.expansivity * x + 0.5 * self.expansivity_slope * x * x)

    def _check(self, form: Form | None, temperature: Array | float, what: str) -> Form:
        if form is None:
            raise LiquidError(
                f"no {what} is known for {self.name!r}",
                "a liquid with reference data",
                "Add it to a table of your own.",
            )
        low, high = form.range
        t = np.asarray(temperature, dtype=float)
        if not (t.min(initial=high) >= low and t.max(initial=low) <= high):  # written so that NaN is refused too
            worst = float(np.atleast_1d(t)[np.atleast_1d(~((t >= low) & (t <= high)))][0])
            raise OutsideRangeError(
                f"{what} of {self.name} was asked for at {worst:g} K",
                f"{low:g} K to {high:g} K, the range of its source",
                "Keep within the range or name another source.",
            )
        return form

    def saturation_pressure(self, temperature: float | Array) -> Array:
        """Saturation pressure, ln p = A + B/T + C ln T + D T; refuses temperatures outside its source.  [Pa]"""
        a, b, c, d = self._check(self.saturation, temperature, "saturation pressure").coefficients
        t = np.asarray(temperature, dtype=float)
        return np.exp(a + b / t + c * np.log(t) + d * t)

    def slope(self, temperature: float | Array) -> Array:
        """Apparent enthalpy, -R d(ln p)/d(1/T), of the reference.  [J/mol]"""
        _, b, c, d = self._check(self.saturation, temperature, "saturation pressure").coefficients
        t = np.asarray(temperature, dtype=float)
        return GAS_CONSTANT * (-b + c * t + d * t * t)

    def beta(self, temperature: float | Array) -> Array:
        """dp/dT of the saturation pressure.  [Pa/K]"""
        t = np.asarray(temperature, dtype=float)
        return self.saturation_pressure(t) * self.slope(t) / (GAS_CONSTANT * t * t)

    def dz(self, temperature: float | Array) -> Array:
        """Z of the vapour less Z of the liquid at saturation, 1 - exp(a + b/T + c ln T).  [1]"""
        a, b, c = self._check(self.dz_form, temperature, "vapour non-ideality dZ").coefficients
        t = np.asarray(temperature, dtype=float)
        return 1.0 - np.exp(a + b / t + c * np.log(t))

    def enthalpy_vap_reference(self, temperature: float | Array) -> Array:
        """Enthalpy of vaporisation of the reference: slope times dZ (Clapeyron).  [J/mol]"""
        return self.slope(temperature) * self.dz(temperature)


def unknown_liquid(name: str = "unknown liquid", molar_mass: float | None = None) -> Liquid:
    """A liquid of which nothing is known: the fit works, with wider priors and a finding that says so."""
    return Liquid(name=name, molar_mass=molar_mass)


@lru_cache(maxsize=1)
def _shipped() -> tuple[Liquid, ...]:
    from analysis.liquid_table import parse_liquids

    text = resources.files("analysis").joinpath("liquids.toml").read_text(encoding="utf-8")
    return parse_liquids(text, "the shipped table liquids.toml")


def list_liquids(own: tuple[Liquid, ...] = ()) -> tuple[Liquid, ...]:
    """Own liquids first, then the shipped ones whose name an own one has not taken."""
    taken = {liquid.name for liquid in own}
    return (*own, *(liquid for liquid in _shipped() if liquid.name not in taken))


def load_liquid(name: str, own: tuple[Liquid, ...] = ()) -> Liquid:
    """The liquid of this name, other name or CAS number.

    Raises
    ------
    LiquidError
        Where there is none; the message names the nearest ones.
    """
    wanted = name.strip().casefold()
    liquids = list_liquids(own)
    for liquid in liquids:
        if wanted in (liquid.name.casefold(), liquid.cas, *(alias.casefold() for alias in liquid.aliases)):
            return liquid
    names = [n for liquid in liquids for n in (liquid.name, *liquid.aliases)]
    near = difflib.get_close_matches(wanted, [n.casefold() for n in names], n=3)
    hint = f"Did you mean {', '.join(repr(n) for n in near)}? " if near else ""
    raise LiquidError(
        f"no liquid is called {name!r}",
        "a name, other name or CAS number from the table of liquids",
        hint + "List them, add your own, or fit it as an unknown liquid.",
    )
