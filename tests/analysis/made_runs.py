"""Small made runs for the tests of the fit: ethanol or another liquid in a usual cell, noise only where asked for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import load_liquid
from analysis.trapped_air import (
    SOLUTION_TIME,
    CellSetup,
    SealedBaseline,
    air_inputs,
    air_pressure,
    undissolved_air,
)

UP = (295.15, 299.15, 303.15, 307.15, 311.15)
BASELINE = SealedBaseline(295.15, 100e3, 0.03, 30.0, time=0.0)
SETUP = CellSetup(room_humidity=0.3)
SENSORS = SensorPriors()


def made_points(
    name: str = "ethanol",
    temperatures: tuple[float, ...] = UP,
    *,
    setup: CellSetup = SETUP,
    baseline: SealedBaseline = BASELINE,
    rng: np.random.Generator | None = None,
    u: tuple[float, float] = (0.03, 30.0),
    hold: float = 360.0,
    returned: bool = False,
) -> list[FitPoint]:
    """Points of a bench that is exactly as told; with a generator, noise of the stated size is added."""
    liquid = load_liquid(name)
    t = np.array(temperatures)
    vapour = liquid.saturation_pressure(t)
    time = hold * (1.0 + np.arange(len(t)))
    air = air_pressure(t, baseline, setup, liquid).value
    inputs = {i.key: i.value for i in air_inputs(baseline, setup, liquid)}
    slope = float(np.mean(liquid.slope(t)))
    left = np.exp(-(time - baseline.time) / SOLUTION_TIME[0])
    p = vapour + air + left * undissolved_air(t, vapour, air, inputs, slope)
    if rng is not None:
        t = t + u[0] * rng.standard_normal(len(t))
        p = p + u[1] * rng.standard_normal(len(p))
    last = len(t) - 1
    return [
        FitPoint(float(a), float(b), *u, time=float(time[k]), branch="return" if returned and k == last else "up")
        for k, (a, b) in enumerate(zip(t, p, strict=True))
    ]


def changed(points: list[FitPoint], index: int, **changes: object) -> list[FitPoint]:
    """The same points with one of them changed."""
    return [replace(p, **changes) if k == index else p for k, p in enumerate(points)]  # type: ignore[arg-type]
