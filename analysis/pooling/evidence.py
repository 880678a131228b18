"""From a single run's fit to what pooling takes of it: the value, and which part of its uncertainty is whose."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.enthalpy import enthalpy_at
from analysis.liquids import GAS_CONSTANT, ROOM_TEMPERATURE
from analysis.map_fit import MapFit
from analysis.pooling.curve import PooledRun
from analysis.pooling.runs import RunResult, Share

Floats = NDArray[np.float64]

LEAST_OWN = 0.05  # share of the standard uncertainty that stays a run's own: no run is another one's copy


@dataclass(frozen=True)
class ErrorPart:
    """One common error of a run: its key in the fit and its signed part of the standard uncertainty.  [J/mol]"""

    key: str
    part: float


def error_parts(fit: MapFit, temperature: float = ROOM_TEMPERATURE) -> list[ErrorPart]:
    """How each common error acts on the enthalpy at a temperature, with its sign: by how much it is too high when the
    error is one standard uncertainty.  [J/mol]
    """
    model, vapour, posterior = fit.model, fit.vapour, fit.posterior
    tm = model.mean_temperature
    slope = float(fit.theta[1]) * GAS_CONSTANT * tm
    gain = GAS_CONSTANT * tm * vapour.dz * posterior.gain_theta[:, 1, :]
    by_scale = gain @ posterior.columns
    for k, error in enumerate(model.errors):
        if error.key == "dz":
            by_scale[:, k] -= slope * vapour.u_dz
        elif error.key == "dcp":
            by_scale[:, k] -= vapour.u_heat_capacity * (temperature - tm)
    # root mean square over the noise scale, as in the budget; the sign is that of the mean
    effects = np.sign(posterior.weights @ by_scale) * np.sqrt(posterior.weights @ by_scale**2)
    return [ErrorPart(error.key, float(effect)) for error, effect in zip(model.errors, effects, strict=True)]


def result_of(run: PooledRun, fit: MapFit, time: float = math.nan) -> RunResult:
    """The run's enthalpy of vaporisation at 298.15 K for a consensus.

    Errors of one thing (all of a pressure sensor's, say) are one shared part each; what no other run can share, and
    the readings' own noise, is the run's own.
    """
    room = enthalpy_at(fit, ROOM_TEMPERATURE)
    shared: dict[Share, float] = {}
    for error in error_parts(fit):
        thing = ("liquid data", run.labels.get("liquid data", "all")) if error.key == "dcp" else run.share(error.key)
        if thing is not None and error.part != 0.0:
            # each error of the thing is shared by itself: offset with offset, gain with gain
            shared[thing[0], f"{thing[1]}, {error.key}"] = error.part
    common = math.fsum(part**2 for part in shared.values())
    own = math.sqrt(max(room.u**2 - common, (LEAST_OWN * room.u) ** 2))
    return RunResult(run.run, run.bench, room.value, own, shared, time)
