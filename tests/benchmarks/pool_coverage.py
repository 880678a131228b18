"""How often consensus intervals cover the truth in simulated campaigns whose runs share instruments and data.

Prints coverage and mean half-width for the plain average, the weighted mean that ignores sharing, Paule-Mandel with
and without correlations, and the full likelihood.  Run: python -m tests.benchmarks.pool_coverage [campaigns] [seed]
"""

from __future__ import annotations

import math
import sys
from collections import defaultdict

import numpy as np

from analysis.pooling.likelihood import likelihood_consensus
from analysis.pooling.moments import consensus_of_runs, plain_average
from analysis.pooling.runs import RunResult, without_sharing

TRUTH = 36.57e3  # [J/mol] enthalpy of vaporisation of n-heptane at 298 K, CRC tables


def campaign(rng: np.random.Generator, *, benches: int, runs: int, between: float) -> list[RunResult]:
    """Runs of several benches [J/mol].

    Own scatter 300, what the fit cannot see of one bench `between`, barometers shared by rooms of four benches,
    two types of thermometer, one stock of liquid and one set of liquid data for all.
    """
    parts = {"barometer": 250.0, "thermometer type": 150.0, "stock": 120.0, "liquid data": 110.0}
    errors: dict[tuple[str, str], float] = {}
    found = []
    for bench in range(benches):
        offset = rng.normal(0, between)
        labels = {
            "barometer": f"room {bench // 4}",
            "thermometer type": f"{bench % 2}",
            "stock": "a",
            "liquid data": "a",
        }
        for run in range(runs):
            own = 300.0 * math.exp(rng.normal(0, 0.25))
            value = TRUTH + offset + rng.normal(0, own)
            for thing in labels.items():
                value += parts[thing[0]] * errors.setdefault(thing, rng.normal())
            shared = {thing: parts[thing[0]] for thing in labels.items()}
            found.append(RunResult(f"{bench}-{run}", f"bench {bench}", value, own, shared))
    return found


def intervals(runs: list[RunResult]) -> dict[str, tuple[float, float]]:
    apart = without_sharing(runs)
    return {
        "plain average": plain_average([run.value for run in runs]).interval_95,
        "weighted, sharing ignored": consensus_of_runs(apart, "weighted mean").interval_95,
        "Paule-Mandel, sharing ignored": consensus_of_runs(apart).interval_95,
        "Paule-Mandel, sharing kept": consensus_of_runs(runs).interval_95,
        "full likelihood, sharing kept": likelihood_consensus(runs).interval_95,
    }


def main() -> None:
    campaigns = int(sys.argv[1]) if len(sys.argv) > 1 else 4000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 20_250_901
    for benches, runs, between in ((12, 2, 200.0), (6, 3, 200.0), (20, 1, 200.0), (12, 2, 0.0)):
        rng = np.random.default_rng(seed)
        hits: dict[str, int] = defaultdict(int)
        widths: dict[str, float] = defaultdict(float)
        for _ in range(campaigns):
            for name, (low, high) in intervals(campaign(rng, benches=benches, runs=runs, between=between)).items():
                hits[name] += low <= TRUTH <= high
                widths[name] += (high - low) / 2
        print(f"\n{benches} benches x {runs} runs, between benches {between:g} J/mol, {campaigns} campaigns")
        for name, hit in hits.items():
            cover = hit / campaigns
            print(
                f"  {name:32s} covers {100 * cover:5.1f} % +- {100 * math.sqrt(cover * (1 - cover) / campaigns):.1f}, "
                f"half-width {widths[name] / campaigns:5.0f} J/mol"
            )


if __name__ == "__main__":
    main()
