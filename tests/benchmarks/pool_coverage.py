"""How often consensus intervals cover the truth in simulated campaigns whose runs share instruments and data.

Prints coverage and mean half-width for the plain average, the weighted mean that ignores sharing, Paule-Mandel with
and without the shared parts, the full likelihood, and least squares with the full covariance that knows the scatter
between benches.  In the last layout each run states its shared parts 5 % wrong.
Run: python -m tests.benchmarks.pool_coverage [campaigns] [seed]
"""

from __future__ import annotations

import math
import sys
from collections import defaultdict

import numpy as np

from analysis.pooling.likelihood import likelihood_consensus
from analysis.pooling.moments import consensus_of_runs, plain_average
from analysis.pooling.runs import RunResult, covariance, without_sharing

TRUTH = 36.57e3  # [J/mol] enthalpy of vaporisation of n-heptane at 298 K, CRC tables


def campaign(
    rng: np.random.Generator, *, benches: int, runs: int, between: float, own: float = 300.0, wrong: float = 0.0
) -> list[RunResult]:
    """Runs of several benches [J/mol].

    Own scatter about `own`, what the fit cannot see of one bench `between`, barometers shared by rooms of four benches,
    two types of thermometer, one stock of liquid and one set of liquid data for all.  Each run states its shared parts
    by a factor of about exp(`wrong`) off what they are.
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
            u_own = own * math.exp(rng.normal(0, 0.25))
            value = TRUTH + offset + rng.normal(0, u_own)
            for thing in labels.items():
                value += parts[thing[0]] * errors.setdefault(thing, rng.normal())
            stated = np.exp(wrong * rng.normal(size=len(parts))) if wrong else np.ones(len(parts))
            shared = {thing: parts[thing[0]] * float(x) for thing, x in zip(labels.items(), stated, strict=True)}
            found.append(RunResult(f"{bench}-{run}", f"bench {bench}", value, u_own, shared))
    return found


def least_squares(runs: list[RunResult], between: float) -> tuple[float, float]:
    """95 % interval of generalised least squares that is told the scatter between benches."""
    bench = np.array([run.bench for run in runs])
    inverse = np.linalg.inv(covariance(runs) + between**2 * (bench[:, None] == bench))
    mean = float(inverse.sum(axis=0) @ [run.value for run in runs] / inverse.sum())
    half = 1.959964 / math.sqrt(inverse.sum())
    return mean - half, mean + half


def intervals(runs: list[RunResult], between: float) -> dict[str, tuple[float, float]]:
    apart = without_sharing(runs)
    return {
        "least squares, full covariance": least_squares(runs, between),
        "plain average": plain_average([run.value for run in runs]).interval_95,
        "weighted, sharing ignored": consensus_of_runs(apart, "weighted mean").interval_95,
        "Paule-Mandel, sharing ignored": consensus_of_runs(apart).interval_95,
        "Paule-Mandel, sharing kept": consensus_of_runs(runs).interval_95,
        "full likelihood, sharing kept": likelihood_consensus(runs).interval_95,
    }


def main() -> None:
    campaigns = int(sys.argv[1]) if len(sys.argv) > 1 else 4000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 20_250_901
    for benches, runs, between, own, wrong in (
        (12, 2, 200.0, 300.0, 0.0),
        (6, 3, 200.0, 300.0, 0.0),
        (20, 1, 200.0, 300.0, 0.0),
        (12, 2, 0.0, 300.0, 0.0),
        (12, 8, 50.0, 30.0, 0.05),
    ):
        rng = np.random.default_rng(seed)
        hits: dict[str, int] = defaultdict(int)
        widths: dict[str, float] = defaultdict(float)
        for _ in range(campaigns):
            made = campaign(rng, benches=benches, runs=runs, between=between, own=own, wrong=wrong)
            for name, (low, high) in intervals(made, between).items():
                hits[name] += low <= TRUTH <= high
                widths[name] += (high - low) / 2
        print(
            f"\n{benches} benches x {runs} runs of {own:g} J/mol, between benches {between:g} J/mol, shared parts "
            f"{100 * wrong:g} % wrong, {campaigns} campaigns (goal of the last two: 95 +- 1.5 %)",
            flush=True,
        )
        for name, hit in hits.items():
            cover = hit / campaigns
            print(
                f"  {name:32s} covers {100 * cover:5.1f} % +- {100 * math.sqrt(cover * (1 - cover) / campaigns):.1f}, "
                f"half-width {widths[name] / campaigns:5.0f} J/mol"
            )


if __name__ == "__main__":
    main()
