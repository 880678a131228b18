"""Where the uncertainty comes from: one line per source, adding up to the whole."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.findings import Facts
from analysis.map_fit import MapFit
from analysis.noise_scale import Distribution

LEAST_SHARE = 1e-6  # smaller shares are not worth a line
BETTER = 4.0  # how many times better an input is taken to be known when it is measured with care
BETTER_NOISE = 2.0  # the same for the noise of the readings
NOISE = "readings, noise"
LEAST_GAIN = 0.01  # a smaller gain is not worth the trouble
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class BudgetEntry:
    """One source: its part of the standard uncertainty [J/mol] and its share of the variance (0 to 1)."""

    source: str
    standard_uncertainty: float
    share: float


def budget(fit: MapFit, quantity: Distribution) -> tuple[BudgetEntry, ...]:
    """Sources of the uncertainty of a quantity, largest first; shares add up to one.

    The points' own noise is split between thermometer, pressure sensor and lag by what each brings into each point.
    """
    total = quantity.u**2
    if total == 0:
        return ()
    parts = {e.label: float(v) for e, v in zip(fit.model.errors, quantity.by_nuisance, strict=True)}
    pressure = np.minimum(fit.model.data["u_pressure"] ** 2 / fit.noise, 1.0)
    from_pressure = quantity.noise * float(quantity.by_point @ pressure)
    parts["readings, pressure noise"] = from_pressure
    parts["readings, temperature noise"] = quantity.noise - from_pressure
    entries = [BudgetEntry(label, math.sqrt(max(v, 0.0)), max(v, 0.0) / total) for label, v in parts.items()]
    kept = [e for e in entries if e.share >= LEAST_SHARE]
    return tuple(sorted(kept, key=lambda e: -e.share))


#: What nothing at the bench can improve.
OUT_OF_REACH = ("vapour non-ideality dZ",)


@dataclass(frozen=True, slots=True)
class Improvement:
    """What the standard uncertainty would be if a source were known better.  [J/mol]"""

    source: str
    now: float
    then: float

    @property
    def gain(self) -> float:
        """Share by which the standard uncertainty would fall."""
        return 1 - self.then / self.now if self.now > 0 else 0.0


def improvements(fit: MapFit, by_theta: Array, by_z: Array) -> tuple[Improvement, ...]:
    """For each source: the uncertainty of a quantity if that source were known better; largest gain first.

    Better is four times as well for an input, and half as much noise for the readings.  Not the same as the shares: a
    source that is known very badly has little share, because the fit leans on everything else instead; knowing it
    better is what helps.  At the mean square of the noise scale.
    """
    posterior = fit.posterior
    whole = np.column_stack([posterior.design, posterior.columns])
    weight = 1 / (posterior.mean_square_scale * posterior.noise)
    data = (whole.T * weight) @ whole
    prior = np.concatenate([np.zeros(posterior.design.shape[1]), np.ones(posterior.columns.shape[1])])
    q = np.concatenate([by_theta, by_z])
    sigma = np.linalg.inv(data + np.diag(prior))
    now = math.sqrt(float(q @ sigma @ q))
    found = []
    for k, error in enumerate(fit.model.errors, start=posterior.design.shape[1]):
        # A quarter of the uncertainty is sixteen times the information: a change of rank one.
        more = BETTER**2 - 1
        fallen = more * float(q @ sigma[:, k]) ** 2 / (1 + more * float(sigma[k, k]))
        found.append(Improvement(error.label, now, math.sqrt(max(now**2 - fallen, 0.0))))
    better = np.linalg.inv(BETTER_NOISE**2 * data + np.diag(prior))
    found.append(Improvement(NOISE, now, math.sqrt(float(q @ better @ q))))
    return tuple(sorted(found, key=lambda i: i.then))


def measure_better_first(found: tuple[Improvement, ...]) -> Facts | None:
    """Which input to measure better first: its name, how many times better, and the share by which that would lower
    the standard uncertainty; None where nothing at the bench would help much."""
    within_reach = [i for i in found if i.source not in OUT_OF_REACH and i.gain > LEAST_GAIN]
    if not within_reach:
        return None
    first = within_reach[0]
    return {"source": first.source, "times": BETTER_NOISE if first.source == NOISE else BETTER, "gain": first.gain}
