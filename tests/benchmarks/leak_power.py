"""How small a leak the whole trace shows: five up and one return, simulated; and how often a tight cell is accused.

python -m tests.benchmarks.leak_power [RUNS]
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np

import sim.study
from analysis.findings_trace import find_in_traces
from sim.study import random_runs
from tests.benchmarks import dynamic_runs as dynamic
from tests.benchmarks.closure import constant_virial_of_air


@contextmanager
def leaking(hours: float) -> Iterator[None]:
    """Every bench that the study draws leaks with this e-fold of its over-pressure; zero: none does."""
    own = sim.study.draw_benches

    def drawn(count, generator, kind):
        bench = own(count, generator, kind)
        bench.leak_rate = np.full(count, 1 / (3600 * hours) if hours else 0.0)
        return bench

    sim.study.draw_benches = drawn
    try:
        yield
    finally:
        sim.study.draw_benches = own


def found(name: str, hours: float, count: int, *, returns: bool, seed: int) -> float:
    """Share of runs in which the trace shows a leak, per cent."""
    rng = np.random.default_rng(seed)
    with leaking(hours):
        runs = random_runs(count, rng, liquid=name, hold=360, returns=returns)
    hits = 0
    for k in range(count):
        s = dynamic.start_of(runs, k)
        setup = dynamic.setup_of(runs, k, rng, 0.0)
        liquid = dynamic.told_liquid(name, rng)
        report = find_in_traces(
            s.t, s.x, s.p, baseline=s.baseline, sealed=None, charged=runs.charge_at, windows=(), setup=setup,
            liquid=liquid, sensors=dynamic.SENSORS,
        )  # fmt: skip
        hits += "leak" in {f.code for f in report.findings}
    return 100 * hits / count


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    print(f"Leak found by the whole trace, per cent of {count} runs (37 min with return, 31 min without)")
    print(f"{'':14s}" + "".join(f"{h:>12s}" for h in ("tight", "200 h", "100 h", "60 h", "30 h", "10 h")))
    with constant_virial_of_air():
        for name in ("n-heptane", "ethanol", "acetone"):
            for returns in (True, False):
                row = [found(name, h, count, returns=returns, seed=3) for h in (0, 200, 100, 60, 30, 10)]
                title = f"{name}{' +return' if returns else ''}"
                print(f"{title:18s}" + "".join(f"{v:12.1f}" for v in row), flush=True)


if __name__ == "__main__":
    main()
