"""Print what each kind of physics in `sim.study` does to a step: how late it settles, what lag and error it leaves.

    python -m tests.benchmarks.sim_stress [--count 300] [--seed 1]

For whoever sets thresholds: the figures say what a settling rule or a fit is up against before it is tried.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from sim.study import KINDS, random_steps
from sim.study_disturbed import UNSETTLED, random_unsettled


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    print(f"{args.count} steps each, seed {args.seed}; settled within 0.1 K of the slow course, noise-free")
    print(
        f"{'kind':13s} {'settled 5/50/95 % [s]':>22s} {'lag [s]':>9s} {'pair error at 300 s [K] rms':>28s} {'cost':>8s}"
    )
    for kind in KINDS:
        start = time.process_time()
        steps = random_steps(args.count, np.random.default_rng(args.seed), kind=kind)
        spent = time.process_time() - start
        low, mid, high = np.percentile(steps.settled, [5, 50, 95])
        drift = (steps.slow_probe[:, -1] - steps.slow_probe[:, -61]) / 60.0
        pair = (steps.slow_gauge[:, -1] - steps.equilibrium_pressure[:, -1]) / steps.slope
        moving = np.abs(drift) > 1e-3
        lag = np.median(-pair[moving] / drift[moving])
        at = int(np.searchsorted(steps.time, 300.0))
        early = (steps.gauge[:, at] - steps.equilibrium_pressure[:, at]) / steps.slope
        rms = float(np.sqrt(np.mean(early**2)))
        print(f"{kind:13s} {low:8.0f} {mid:6.0f} {high:6.0f} {lag:9.0f} {rms:28.3f} {spent:6.2f} s")
    for kind, words in UNSETTLED.items():
        data = random_unsettled(args.count, np.random.default_rng(args.seed), kind=kind)
        fall = (data.gauge[:, -1] - data.gauge[:, -61]) / data.slope
        print(f"{kind:13s} {words}; last minute moves p by {np.median(np.abs(fall)):.2f} K-eq (median)")


if __name__ == "__main__":
    main()
