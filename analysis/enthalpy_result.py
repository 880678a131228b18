"""The records a fit answers with, and the JSON document made of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.budget import BudgetEntry
from analysis.findings import Finding
from analysis.liquids import GAS_CONSTANT
from analysis.map_fit import MapFit
from analysis.noise_scale import Distribution

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with standard uncertainty and 95 % interval; both None where the fit refuses to give them.

    Parameters
    ----------
    value : float
        SI.
    standard_uncertainty : float or None
    interval_95 : (float, float) or None
    temperature : float or None
        The temperature it is for, where it is for one.  [K]
    """

    value: float | None
    standard_uncertainty: float | None
    interval_95: tuple[float, float] | None
    temperature: float | None = None

    def as_dict(self) -> dict[str, Any]:
        interval = None if self.interval_95 is None else list(self.interval_95)
        found: dict[str, Any] = {
            "value": self.value,
            "standard_uncertainty": self.standard_uncertainty,
            "interval_95": interval,
        }
        return found if self.temperature is None else {**found, "temperature": self.temperature}


@dataclass(frozen=True, slots=True)
class TextbookLine:
    """ln p against 1/T by ordinary least squares, slope read as the enthalpy, with its own too-narrow interval.

    Parameters
    ----------
    enthalpy_vap, standard_uncertainty, interval_95
        From the slope and its scatter alone.  [J/mol]
    slope, intercept
        Of ln(p/Pa) against 1/T.  [K, 1]
    """

    enthalpy_vap: float
    standard_uncertainty: float
    interval_95: tuple[float, float]
    slope: float
    intercept: float

    def as_dict(self) -> dict[str, Any]:
        names = ("enthalpy_vap", "standard_uncertainty", "slope", "intercept")
        return {**{n: getattr(self, n) for n in names}, "interval_95": list(self.interval_95)}


@dataclass(frozen=True, slots=True)
class PointResult:
    """One point as the fit sees it; NaN where a point set aside has no value.  Pressures in Pa, temperatures in K.

    `residual` is the reading less what the fit expects; `standard_residual` the same over its own noise.
    """

    temperature: float
    pressure_total: float
    pressure_air: float
    pressure_vapour: float
    u_temperature: float
    u_pressure_total: float
    u_pressure_air: float
    u_pressure_vapour: float
    residual: float
    used: bool
    standard_residual: float = math.nan
    label: str = ""
    branch: str = "up"
    time: float = math.nan

    def as_dict(self) -> dict[str, Any]:
        names = (
            "temperature", "pressure_total", "pressure_air", "pressure_vapour", "u_temperature", "u_pressure_total",
            "u_pressure_air", "u_pressure_vapour", "residual", "used",
        )  # fmt: skip
        return {n: _finite(getattr(self, n)) for n in names}


@dataclass(frozen=True, slots=True)
class Comparison:
    """The value beside the reference, made after the fit.

    `difference` is value less reference at 298.15 K [J/mol]; `normalised` the same over its standard uncertainty.
    """

    reference: float
    u_reference: float
    source: str
    difference: float
    normalised: float | None


@dataclass(frozen=True, slots=True)
class Leak:
    """Leak rate (share of the over-pressure lost per second), its uncertainty, and whether it was corrected.

    `effect` is what it does to the enthalpy where nothing corrects it.  [J/mol]
    """

    rate: float
    u_rate: float
    corrected: bool
    reason: str
    effect: float


@dataclass(frozen=True, slots=True)
class EnthalpyFit:
    """Everything a fit answers; `as_dict` gives the document of `satline fit --json`.

    Parameters
    ----------
    enthalpy_vap
        At the mean temperature of the points.  [J/mol]
    at_298_15
        Carried to 298.15 K with the heat-capacity difference.  [J/mol]
    textbook_line
        The usual line, for comparison; None where it cannot be drawn.
    normal_boiling_point
        Where the fitted line reaches 101 325 Pa; value None where that lies too far away.  [K]
    refusals
        The findings for which no interval is given; empty where one is.
    """

    enthalpy_vap: Estimate
    at_298_15: Estimate
    textbook_line: TextbookLine | None
    normal_boiling_point: Estimate
    budget: tuple[BudgetEntry, ...]
    findings: tuple[Finding, ...]
    points: tuple[PointResult, ...]
    method: dict[str, Any]
    refusals: tuple[Finding, ...]
    comparison: Comparison | None
    leak: Leak | None
    fit: MapFit

    @property
    def pulls(self) -> dict[str, float]:
        """How far each common error was pulled from zero, in its own standard uncertainties."""
        return {e.label: float(z) for e, z in zip(self.fit.model.errors, self.fit.z, strict=True)}

    @property
    def covariance(self) -> Array:
        """Covariance of (ln of the vapour pressure, apparent enthalpy) at the mean temperature.  [1, J/mol], (2, 2)"""
        scale = np.array([1.0, GAS_CONSTANT * self.fit.model.mean_temperature])
        return np.asarray(self.fit.posterior.covariance_theta() * np.outer(scale, scale), dtype=np.float64)

    def predict_ln_pressure(self, temperature: float) -> Distribution:
        """Logarithm of the vapour pressure on the fitted line, with its interval.  [ln Pa]"""
        return line_at(self.fit, temperature)

    def predict_pressure(self, temperature: float) -> Estimate:
        """Vapour pressure on the fitted line at a true temperature, with its interval.  [Pa]"""
        found = line_at(self.fit, temperature)
        value = math.exp(found.value)
        if self.refusals:
            return Estimate(value, None, None, temperature)
        low, high = (math.exp(x) for x in found.interval)
        return Estimate(value, value * found.u, (low, high), temperature)

    def by_antoine(self) -> tuple[float, float]:
        """A second road to the enthalpy at the mean temperature: Antoine's constants, then Clapeyron.  [J/mol]

        Value and standard uncertainty from the scatter alone; raises `FitRefused` with fewer than five points or less
        than 15 K between them.
        """
        from analysis.antoine import fit_antoine

        model = self.fit.model
        antoine = fit_antoine(model.temperature, model.pressure - self.fit.foreign)
        return antoine.enthalpy_vap(model.mean_temperature, self.fit.vapour.dz)

    def band(self, temperatures: Array) -> tuple[Array, Array, Array]:
        """Vapour pressure, lower and upper 95 % bound along the line, for drawing; arrays of the given shape.  [Pa]"""
        found = [line_at(self.fit, float(t)) for t in np.ravel(temperatures)]
        columns = (np.array(x) for x in zip(*((d.value, *d.interval) for d in found), strict=True))
        value, low, high = (np.exp(c).reshape(np.shape(temperatures)) for c in columns)
        return value, low, high

    def as_dict(self) -> dict[str, Any]:
        """The JSON document of the command line, SI, plain types, no NaN."""
        line = None if self.textbook_line is None else self.textbook_line.as_dict()
        return {
            "enthalpy_vap": {**self.enthalpy_vap.as_dict(), "at_298_15": _without_temperature(self.at_298_15)},
            "textbook_line": line,
            "normal_boiling_point": self.normal_boiling_point.as_dict(),
            "budget": [
                {"source": e.source, "standard_uncertainty": e.standard_uncertainty, "share": e.share}
                for e in self.budget
            ],
            "findings": [f.as_dict() for f in self.findings],
            "points": [p.as_dict() for p in self.points],
            "method": self.method,
        }


def _without_temperature(estimate: Estimate) -> dict[str, Any]:
    return {k: v for k, v in estimate.as_dict().items() if k != "temperature"}


def _finite(value: Any) -> Any:
    return None if isinstance(value, float) and not math.isfinite(value) else value


def line_at(fit: MapFit, temperature: float) -> Distribution:
    """ln of the vapour pressure at a true temperature as a distribution."""
    if not 100.0 < temperature < 1000.0:
        raise ValueError(f"temperature is {temperature:g} K; the line is drawn from 100 K to 1000 K")
    model, theta, vapour = fit.model, fit.theta, fit.vapour
    tm, x = model.mean_temperature, temperature
    shape = tm / x - 1 + math.log(x / tm)
    by_theta = np.zeros(len(theta))
    by_theta[0] = 1.0
    by_theta[1] = -tm * (1 / x - 1 / tm) - tm * vapour.dz_slope / vapour.dz * shape
    by_z = np.zeros(len(model.errors))
    for k, error in enumerate(model.errors):
        if error.key == "dcp":
            by_z[k] = vapour.u_heat_capacity / (GAS_CONSTANT * vapour.dz) * shape
    at = float(np.log(model.line(np.array([x]), theta, vapour)[0]))
    return fit.posterior.of(by_theta, by_z, at)
