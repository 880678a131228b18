"""Benches with planted faults among forty: how many are found, with what reason, and who is wrongly named.

Three benches leak (10 h to 30 h), one has a barometer 8 kPa off, one holds cyclohexane in place of n-heptane; forty
benches, three runs each, five points and a return point.  A second table has no fault at all.
Run from the top folder: python -m tests.benchmarks.pool_planted_benches [campaigns] [seed]
"""

from __future__ import annotations

import math
import sys
import time
from collections import Counter

import numpy as np

from analysis.liquids import load_liquid
from analysis.pooling.benches import compare_benches
from analysis.pooling.curve import fit_pooled_curve, start_curve
from tests.analysis.pooling.campaigns import Fault, campaign

OTHERS = ("cyclohexane", "n-hexane", "n-pentane", "ethanol", "methanol", "acetone", "toluene", "water")


def planted(rng: np.random.Generator) -> dict[int, Fault]:
    chosen = [int(i) for i in rng.permutation(40)[:5]]
    leaks = [Fault(leak_rate=1 / (3600.0 * math.exp(rng.uniform(math.log(10), math.log(30))))) for _ in range(3)]
    others = [Fault(barometer=float(rng.choice([-8e3, 8e3]))), Fault(liquid="cyclohexane")]
    return dict(zip(chosen, leaks + others, strict=True))


def main() -> None:
    campaigns = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 7_310
    heptane = load_liquid("n-heptane")
    liquids = {name: start_curve(load_liquid(name)) for name in OTHERS}
    for with_return in (True, False):
        for with_faults in (True, False):
            rng = np.random.default_rng(seed)
            found, named, wrong, seconds = Counter(), Counter(), 0, 0.0
            for _ in range(campaigns):
                faults = planted(rng) if with_faults else {}
                runs, rooms = campaign(rng, faults=faults, return_to=24.0 if with_return else None)
                start = time.perf_counter()
                _, sums = fit_pooled_curve(runs, heptane)
                result = compare_benches(sums, rooms, liquids)
                seconds += time.perf_counter() - start
                truth = {f"bench {i + 1:02d}": kind(fault) for i, fault in faults.items()}
                for outlying in result.outlying:
                    if outlying.bench in truth:
                        found[truth[outlying.bench]] += 1
                        named[truth[outlying.bench]] += outlying.reason == truth[outlying.bench]
                    else:
                        wrong += 1
            title = "return point" if with_return else "no return point"
            print(f"\n{campaigns} campaigns, {title}, {'five faults' if with_faults else 'no fault'}")
            for reason, each in (("leak", 3), ("pressure sensor", 1), ("liquid", 1)):
                if with_faults:
                    total = each * campaigns
                    print(f"  {reason:16s} found {found[reason]}/{total}, right reason {named[reason]}/{total}")
            print(f"  healthy benches named: {wrong} ({20 * wrong / campaigns:.2f} in 20 campaigns)")
            print(f"  {1e3 * seconds / campaigns:.0f} ms per campaign of 120 runs")


def kind(fault: Fault) -> str:
    if fault.leak_rate:
        return "leak"
    return "liquid" if fault.liquid else "pressure sensor"


if __name__ == "__main__":
    main()
