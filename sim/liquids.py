"""Saturation data of liquids from tables made of reference equations of state; knows nothing of the fit's tables."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from sim.errors import UnknownNameError

R = 8.31446261815324  # J/(mol K), exact in the SI of 2019
_FOLDER = Path(__file__).parent / "data"


@dataclass(frozen=True)
class Liquid:
    """One liquid: smooth functions through samples of its reference equation of state, all in SI.

    Every property raises `ValueError` outside the range of the samples, nan included.

    Attributes
    ----------
    name, cas, source, library
        What it is, and the equation and library the samples come from.
    molar_mass
        [kg/mol]
    lowest, highest
        Range of the samples.  [K]
    cross_virial_air
        Second virial coefficient between vapour and air.  [m3/mol]
    activity_water
        Activity coefficient of a trace of water in the liquid.  [1]
    ostwald_air
        Volume of air dissolved by one volume of liquid, at 298 K.  [1]
    """

    name: str
    cas: str
    source: str
    library: str
    molar_mass: float
    lowest: float
    highest: float
    cross_virial_air: float
    activity_water: float
    ostwald_air: float
    reference_temperature: float
    log_pressure: tuple[float, ...]
    z_vapour: tuple[float, ...]
    volume: tuple[float, ...]
    heat_capacity: tuple[float, ...]
    enthalpy: tuple[float, ...]

    def _check(self, temperature: float) -> None:
        if not self.lowest <= temperature <= self.highest:
            raise ValueError(
                f"temperature is {temperature:g} K; the table of {self.name} holds "
                f"from {self.lowest:g} K to {self.highest:g} K"
            )

    def saturation_pressure(self, temperature: float) -> float:
        """Saturation pressure.  [Pa]"""
        self._check(temperature)
        return math.exp(_polynomial(self.log_pressure, 1.0 / temperature - 1.0 / self.reference_temperature))

    def compressibility_vapour(self, temperature: float) -> float:
        """Compressibility factor of the saturated vapour.  [1]"""
        self._check(temperature)
        return _polynomial(self.z_vapour, temperature - self.reference_temperature)

    def density_vapour(self, temperature: float) -> float:
        """Molar density of the saturated vapour.  [mol/m3]"""
        z = self.compressibility_vapour(temperature)
        return self.saturation_pressure(temperature) / (z * R * temperature)

    def virial(self, temperature: float) -> float:
        """Second virial coefficient that gives back the density of the saturated vapour.  [m3/mol]"""
        return (self.compressibility_vapour(temperature) - 1.0) / self.density_vapour(temperature)

    def molar_volume(self, temperature: float) -> float:
        """Molar volume of the saturated liquid.  [m3/mol]"""
        self._check(temperature)
        return _polynomial(self.volume, temperature - self.reference_temperature)

    def molar_heat_capacity(self, temperature: float) -> float:
        """Isobaric heat capacity of the saturated liquid.  [J/(mol K)]"""
        self._check(temperature)
        return _polynomial(self.heat_capacity, temperature - self.reference_temperature)

    def enthalpy_vap(self, temperature: float) -> float:
        """Enthalpy of vaporisation.  [J/mol]"""
        self._check(temperature)
        return _polynomial(self.enthalpy, temperature - self.reference_temperature)


def _polynomial(coefficients: tuple[float, ...], x: float) -> float:
    """Horner's scheme, constant first."""
    value = 0.0
    for coefficient in reversed(coefficients):
        value = value * x + coefficient
    return value


def list_liquids() -> list[str]:
    """Names of the shipped liquids, sorted."""
    return sorted(_files())


@cache
def load_liquid(name: str) -> Liquid:
    """Read the table of one liquid.

    Raises
    ------
    UnknownNameError
        No such liquid is shipped; the message lists those that are.
    """
    files = _files()
    if name not in files:
        raise UnknownNameError("liquid", name, files)
    table = tomllib.loads(files[name].read_text(encoding="utf-8"))
    functions: dict[str, Any] = {key: tuple(values) for key, values in table["functions"].items()}
    return Liquid(
        name=table["name"],
        cas=table["cas"],
        source=table["source"],
        library=table["library"],
        molar_mass=table["molar_mass"],
        lowest=table["samples"]["temperature"][0],
        highest=table["samples"]["temperature"][-1],
        cross_virial_air=table["cross_virial_air"],
        activity_water=table["activity_water"],
        ostwald_air=table["ostwald_air"],
        reference_temperature=table["reference_temperature"],
        log_pressure=functions["log_pressure"],
        z_vapour=functions["z_vapour"],
        volume=functions["volume_liquid"],
        heat_capacity=functions["heat_capacity_liquid"],
        enthalpy=functions["enthalpy_vap"],
    )


@cache
def _files() -> dict[str, Path]:
    """Name of each liquid and its table; a file is named after its liquid with hyphens for spaces."""
    with_spaces = {"diethyl-ether": "diethyl ether", "dimethyl-carbonate": "dimethyl carbonate"}
    return {with_spaces.get(path.stem, path.stem): path for path in _FOLDER.glob("*.toml")}
