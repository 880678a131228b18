"""What one more point would gain, worked out on the fit that stands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.enthalpy import enthalpy_at
from analysis.enthalpy_result import EnthalpyFit
from analysis.fit_input import FitPoint
from analysis.liquids import GAS_CONSTANT
from analysis.map_fit import MapFit, linearise
from analysis.noise_scale import solve
from analysis.planning import PointGain
from analysis.reading_model import ReadingModel


def next_point_gain(result: EnthalpyFit, temperatures: Sequence[float]) -> tuple[PointGain, ...]:
    """Uncertainty of the enthalpy with one more point at each of the temperatures.

    The new point is taken to be as good as the median of those taken, later than all of them, and to lie on the line;
    the noise scale stays what it was.  Temperatures in K.
    """
    fit = result.fit
    model, d = fit.model, fit.model.data
    now = enthalpy_at(fit, None).u
    last = float(np.max(d["time"])) if np.all(np.isfinite(d["time"])) else math.nan
    step = float(np.median(np.diff(np.sort(d["time"])))) if len(d["time"]) > 1 else 0.0
    names = ("temperature", "pressure", "u_temperature", "u_pressure", "correlation", "time", "lag", "u_lag")
    taken = [FitPoint(**{name: float(d[name][i]) for name in names}) for i in range(len(d["time"]))]  # type: ignore[arg-type]
    gains = []
    for t in temperatures:
        extra = FitPoint(
            float(t),
            float(np.interp(t, np.sort(model.temperature), model.pressure[np.argsort(model.temperature)])),
            float(np.median(d["u_temperature"])),
            float(np.median(d["u_pressure"])),
            time=last + step,
            u_lag=float(np.median(d["u_lag"])),
        )
        gains.append(PointGain(float(t), now, _with(fit, [*taken, extra])))
    return tuple(gains)


def _with(fit: MapFit, points: list[FitPoint]) -> float:
    """Standard uncertainty of the enthalpy at the same line with these points.  [J/mol]"""
    old = fit.model
    model = ReadingModel(
        points, old.baseline, old.setup, old.sensors, old.liquid, "sealed" if old.sealed else "none", old.leak
    )
    model.mean_temperature = old.mean_temperature  # theta keeps its meaning
    slope = float(fit.theta[1]) * GAS_CONSTANT * old.mean_temperature
    z = np.zeros(len(model.errors))
    _, foreign, design, columns = linearise(model, fit.theta, z, fit.vapour, slope)
    vapour = model.line(model.temperature, fit.theta, fit.vapour)
    noise = model.noise(fit.theta, foreign, vapour)
    posterior = solve(np.zeros(len(points)), design, columns, noise, model.sensors.noise_scale_sd)
    posterior = replace(posterior, weights=fit.posterior.weights)
    return enthalpy_at(replace(fit, model=model, posterior=posterior), None).u


def best_next_point(result: EnthalpyFit, lowest: float, highest: float, steps: int = 9) -> PointGain:
    """The temperature between two bounds at which one more point gains most."""
    return min(next_point_gain(result, list(np.linspace(lowest, highest, steps))), key=lambda g: g.then)
