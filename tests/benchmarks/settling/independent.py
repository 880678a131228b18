"""The judge on cells that its own benchmark did not make: `sim.study`, energy balances and reference equations.

Prints for every kind of physics how far the lag-corrected temperature is off the one that belongs to the pressure.
Run: python -m tests.benchmarks.settling.independent [runs per kind]
"""

from __future__ import annotations

import sys

import numpy as np

from analysis.evaporation_heat import cooling_by_vapour
from analysis.plateau import PlateauInputError, plateau_point
from analysis.settling import Block, Judge, SettlingSettings
from sim.study import KINDS, StudyRuns, random_runs

HOLD = 480


def equilibrium(runs: StudyRuns, k: int) -> np.polynomial.Polynomial:
    """Equilibrium pressure of one charged cell as a function of bath temperature (degree 4, good to a few Pa)."""
    wet = runs.time > runs.charge_at + 5
    return np.polynomial.Polynomial.fit(runs.bath[k, wet], runs.equilibrium_pressure[k, wet], 4)


def judge_one(runs: StudyRuns, k: int, setting: SettlingSettings, known: bool) -> list[tuple[float, ...]]:
    """(seconds after the pour, error of the lag, u, lag) of every accepted plateau of one run."""
    curve = equilibrium(runs, k)
    slope = curve.deriv()
    dry = slice(20, int(runs.charge_at) - 2)
    air = float(np.mean(runs.pressure[k, dry]) / np.mean(runs.temperature[k, dry]))
    volume, charge = float(runs.bench.volume[k]), float(runs.liquid_volume[k])
    judge = Judge(
        setting,
        beta=(lambda t: 1.1 * float(slope(t))) if known else None,
        air_slope=air,
        cooling=lambda t: cooling_by_vapour(None, volume, charge, t),
    )
    starts = [*runs.pour_at, *([runs.return_at] if runs.return_at else [])]
    blocks, out, done = [], [], set()
    for i, time in enumerate(runs.time):
        block = Block(i, float(time), float(runs.temperature[k, i]), float(runs.pressure[k, i]))
        blocks.append(block)
        if i == 1:
            judge.cell_closed(block.time)
        if i == round(runs.charge_at):
            judge.charged(block.time)
        found = judge.update(block)
        step = int(np.searchsorted(starts, block.time)) - 1
        if not found.ready or step < 0 or step in done or block.time < starts[step] + 20:
            continue
        try:
            point = plateau_point(blocks[-200:], found)
        except PlateauInputError:
            continue
        done.add(step)
        window = (runs.time >= point.window[0]) & (runs.time <= point.window[1])
        gauge, bath = runs.gauge[k, window], runs.bath[k, window]
        belongs = bath + (gauge - curve(bath)) / slope(bath)
        true_lag = float(np.mean(runs.probe[k, window] - belongs))
        out.append((block.time - starts[step], point.lag - true_lag, point.u_temperature_corrected, true_lag))
    return out


def main(count: int) -> None:
    """Print one line per kind, mode and knowledge of beta."""
    for kind in KINDS:
        if kind == "leak":  # its equilibrium changes with time: nothing to compare a plateau with
            continue
        runs = random_runs(count, np.random.default_rng(77), kind=kind, hold=HOLD)
        steps = len(runs.pour_at) + (runs.return_at is not None)
        for mode, known in (("raw", True), ("corrected", True), ("raw", False)):
            rows = np.array(
                [r for k in range(count) for r in judge_one(runs, k, SettlingSettings(mode=mode), known)]
            ).reshape(-1, 4)
            if not len(rows):
                print(f"{kind:12s} {mode:9s} beta {'known' if known else 'learned'}: nothing accepted")
                continue
            error, u = rows[:, 1], rows[:, 2]
            print(
                f"{kind:12s} {mode:9s} beta {'known' if known else 'learned'}: {len(rows)}/{count * steps} after "
                f"{np.median(rows[:, 0]):.0f} s, lag {np.sqrt(np.mean(rows[:, 3] ** 2)):.3f} K -> left "
                f"{np.sqrt(np.mean(error**2)):.4f} K rms, bias {error.mean():+.4f}, 95 % cover "
                f"{100 * np.mean(np.abs(error) < 1.96 * u):.0f} %, "
                f"beyond 0.1 K {100 * np.mean(np.abs(error) > 0.1):.1f} %",
                flush=True,
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 8)
