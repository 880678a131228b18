"""Prints how often whole simulated runs hold the reference enthalpy inside their 95 % interval.

    python -m tests.benchmarks.whole_run_seeds [--seeds 50] [--scenario calm]

Goal: at least 44 of 50 (a right 95 % interval misses more than six in 50 less than once in a hundred times).
"""

from __future__ import annotations

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from acquire.clocks import real_seconds
from acquire.commands.simulate import simulate
from sim.liquids import load_liquid
from sim.scenario import load_scenario
from tests.benchmarks.figures import show_figure


def one(job: tuple[str, int]) -> tuple[int, float, float, float, float, int]:
    """(seed, value, u, low, high, points) of one run; NaN where it gave no interval."""
    name, seed = job
    snapshot = simulate(load_scenario(name), seed, None)
    nothing = float("nan")
    if snapshot.result is None or snapshot.result["enthalpy_vap"]["at_298_15"]["interval_95"] is None:
        return seed, nothing, nothing, nothing, nothing, len(snapshot.points)
    found = snapshot.result["enthalpy_vap"]["at_298_15"]
    return seed, found["value"], found["standard_uncertainty"], *found["interval_95"], len(snapshot.points)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--seeds", type=int, default=50)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--scenario", default="calm")
    parser.add_argument("--workers", type=int, default=2)
    args = parser.parse_args()
    truth = load_liquid(load_scenario(args.scenario).liquid).enthalpy_vap(298.15)
    begun = real_seconds()
    jobs = [(args.scenario, seed) for seed in range(args.first, args.first + args.seeds)]
    with ProcessPoolExecutor(args.workers) as pool:
        rows = list(pool.map(one, jobs))
    inside = 0
    for seed, value, u, low, high, points in rows:
        holds = low <= truth <= high
        inside += holds
        where = "inside" if holds else "OUTSIDE"
        interval = f"[{low / 1e3:5.2f}, {high / 1e3:5.2f}]"
        print(f"seed {seed:3d}  {points} points  {value / 1e3:6.2f} ± {u / 1e3:4.2f}  {interval}  {where}")
    values = np.array([row[1] for row in rows])
    claimed = np.array([row[2] for row in rows])
    good = np.isfinite(values)
    errors = values[good] - truth
    print(
        f"{inside} of {len(rows)} hold {truth / 1e3:.3f} kJ/mol; {len(rows) - good.sum()} gave no interval; "
        f"mean error {errors.mean():+.0f} J/mol, scatter {errors.std(ddof=1):.0f}, claimed {claimed[good].mean():.0f}; "
        f"{(real_seconds() - begun) / len(rows):.2f} s a run"
    )
    show_figure(
        "result: whole simulated runs whose 95 % interval holds the truth",
        f"{inside} of {len(rows)}",
        f">= {int(np.ceil(0.88 * len(rows)))}",
    )


if __name__ == "__main__":
    main()
