"""Does the 95 % interval cover 95 %?  Drawn benches at rest, many liquids, 3 to 10 points, noise right and wrong.

    python -m tests.benchmarks.coverage [RUNS]

Prints coverage, bias, rms error over the Cramer-Rao bound and half-width, for each liquid and together.
RUNS is per liquid (default 1500, twelve liquids).
"""

from __future__ import annotations

import sys

import numpy as np

from analysis.enthalpy import enthalpy_at, fit_enthalpy
from analysis.fit_input import SensorPriors
from analysis.trapped_air import CellSetup
from tests.benchmarks.figures import show_figure
from tests.benchmarks.static_bench import run_of

LIQUIDS = (
    "ethanol", "methanol", "acetone", "n-hexane", "water", "cyclohexane", "n-heptane", "cyclopentane",
    "tetrahydrofuran", "toluene", "dimethyl carbonate", "2-methylpentane",
)  # fmt: skip
SETUP = CellSetup(
    room_humidity=0.4, u_room_humidity=0.05, u_charge_volume=0.05e-6, tubing_volume=1e-6, u_tubing_volume=0.2e-6,
    gas_above_water=0.02, u_gas_above_water=0.005, room_temperature=295.15, u_room_temperature=0.5,
    glass_expansion=0.0,
)  # fmt: skip
SENSORS = SensorPriors()


def study(name: str, runs: int, points: int, noise: float, seed: int) -> dict[str, float]:
    """Coverage and errors of one liquid."""
    rng = np.random.default_rng([seed, points, int(100 * noise), sum(map(ord, name))])
    temperatures = np.linspace(296.15, 311.15, points)
    error, inside, line_inside, u, bound, half = [], [], [], [], [], []
    refused = 0
    for _ in range(runs):
        scale = noise if noise > 0 else float(np.exp(0.5 * rng.standard_normal()))
        base, taken, liquid, truth = run_of(name, temperatures, SETUP, SENSORS, rng, noise=scale)
        fit = fit_enthalpy(taken, baseline=base, setup=SETUP, sensors=SENSORS, liquid=liquid)
        found = fit.at_298_15
        error.append(found.value - truth)
        if found.interval_95 is None or found.standard_uncertainty is None:
            refused += 1
            error.pop()
            continue
        inside.append(found.interval_95[0] <= truth <= found.interval_95[1])
        half.append(0.5 * (found.interval_95[1] - found.interval_95[0]))
        u.append(found.standard_uncertainty)
        bound.append(_bound(fit, scale))
        line = fit.textbook_line
        line_inside.append(line is not None and line.interval_95[0] <= truth <= line.interval_95[1])
    e = np.array(error)
    return {
        "refused": 100 * refused / runs,
        "coverage": 100 * float(np.mean(inside)),
        "line": 100 * float(np.mean(line_inside)),
        "bias": 100 * float(np.mean(e)) / truth,
        "u_bias": 100 * float(np.std(e)) / truth / np.sqrt(runs),
        "rms": float(np.sqrt(np.mean(e**2))) / float(np.sqrt(np.mean(np.square(bound)))),
        "half": float(np.mean(half)) / 1e3,
        "value": truth / 1e3,
    }


def _bound(fit, scale: float) -> float:
    """Standard uncertainty with the noise known: the Cramer-Rao bound of the linearised model.  [J/mol]"""
    from analysis.noise_scale import NODES

    exact = np.exp(-0.5 * ((NODES - np.log(scale)) / 0.01) ** 2)
    nearest = np.argmin(np.abs(NODES - np.log(scale)))
    weights = np.zeros_like(exact)
    weights[nearest] = 1.0
    from dataclasses import replace

    known = replace(fit.fit, posterior=replace(fit.fit.posterior, weights=weights))
    return enthalpy_at(known, 298.15).u


def table(title: str, runs: int, points: int, noise: float, liquids=LIQUIDS, seed: int = 1) -> None:
    print(f"\n{title}: {points} points, {runs} runs for each liquid")
    heads = f"{'kJ/mol':>8s}{'covers %':>10s}{'bias %':>16s}{'rms/bound':>11s}{'half kJ':>9s}"
    heads += f"{'line covers %':>15s}{'refused %':>11s}"
    print(f"{'':20s}{heads}")
    rows = []
    for name in liquids:
        r = study(name, runs, points, noise, seed)
        rows.append(r)
        print(
            f"{name:20s}{r['value']:8.2f}{r['coverage']:10.2f}{r['bias']:9.3f} ±{r['u_bias']:5.3f}"
            f"{r['rms']:11.3f}{r['half']:9.2f}{r['line']:15.1f}{r['refused']:11.2f}",
            flush=True,
        )
    mean = {k: float(np.mean([r[k] for r in rows])) for k in rows[0]}
    error = np.sqrt(mean["coverage"] * (100 - mean["coverage"]) / (runs * len(rows)))
    print(
        f"{'all':20s}{'':8s}{mean['coverage']:10.2f}{mean['bias']:9.3f}{'':7s}{mean['rms']:11.3f}{mean['half']:9.2f}"
        f"{mean['line']:15.1f}{mean['refused']:11.2f}   (coverage ±{error:.2f}, {runs * len(rows)} runs)",
        flush=True,
    )
    if noise == 1.0 and points == 5:
        told = f"{mean['coverage']:.1f} % ± {error:.1f} of {runs * len(rows)} runs, {len(rows)} liquids"
        beside = f"{mean['line']:.0f} %: the straight line's interval that claims 95 %"
        show_figure("result: truth inside the 95 % interval", told, "95.0 ± 0.7 %", beside)


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 1500
    some = ("ethanol", "n-heptane", "water", "acetone")
    table("Noise as claimed", runs, 5, 1.0)
    for points in (3, 4, 6, 8, 10):
        table("Noise as claimed", max(runs // 3, 1), points, 1.0, some)
    for noise in (0.5, 1.5, 2.0):
        table(f"Noise {noise:g} times the claim", max(runs // 3, 1), 5, noise, some)
    table("Noise claimed wrongly at random (ln sd 0.5)", max(runs // 3, 1), 5, 0.0, some)


if __name__ == "__main__":
    main()
