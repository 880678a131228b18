"""Where the uncertainty comes from: one line per source, adding up to the whole."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from analysis.map_fit import MapFit
from analysis.noise_scale import Distribution

LEAST_SHARE = 1e-6  # smaller shares are not worth a line


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


#: What can be measured better, and how, by the source's words.
REMEDIES = {
    "pressure, offset": "read the sensor beside a barometer and enter the difference",
    "pressure, gain": "compare the sensor with a reference at two pressures",
    "temperature, offset": "check the probe in melting ice",
    "temperature, gain": "check the probe at two fixed temperatures, ice and the warmest bath",
    "cell volume": "weigh the cell empty and full of water",
    "charge volume": "weigh the syringe before and after charging",
    "plunger": "draw the plunger back by exactly the charge and note it",
    "tubing volume": "measure length and bore of the tube, or shorten it",
    "tubing gas": "keep the tube short, or warm it above the bath",
    "gas above the water": "submerge the cell to the stopper",
    "room temperature": "put a thermometer beside the bench",
    "room humidity": "read a hygrometer when the cell is closed, or fill the cell with dried air",
    "water taken up by the liquid": "fill the cell with dried air",
    "dissolved air": "say whether the liquid was degassed",
    "sealed baseline, pressure": "let the closed cell stand longer before charging",
    "sealed baseline, temperature": "let the closed cell stand longer in the bath before charging",
    "lag of liquid and probe": "stir and swirl, and wait longer at each point",
    "readings, pressure noise": "average longer at each point or take more points",
    "readings, temperature noise": "average longer at each point or take more points",
    "heat-capacity difference": "centre the points on the temperature the value is wanted for",
    "vapour non-ideality dZ": "none at the bench: the vapour itself is known no better",
}


def measure_better_first(entries: tuple[BudgetEntry, ...]) -> str:
    """One sentence: which input to measure better first, and how."""
    for entry in entries:
        if entry.source != "vapour non-ideality dZ":
            how = REMEDIES.get(entry.source, "measure it better")
            return f"{entry.source} brings {entry.share:.0%} of the variance: {how}."
    return "Nothing at the bench would help: the vapour's non-ideality is all that is left."
