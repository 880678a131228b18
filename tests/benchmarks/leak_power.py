"""How small a leak the whole trace shows, by design of the run, simulated; and how often a tight cell is accused.

    python -m tests.benchmarks.leak_power [RUNS] [LIQUID ...]

Goals: 100 h found in at least 90 % with a down branch, 60 h in at least 85 % with one return point.
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


#: Title -> how the run goes on after five plateaus of six minutes.
DESIGNS = {
    "one return": {"returns": True},
    "four down": {"returns": False, "downs": 4},
    "up only": {"returns": False},
}
HOURS = (0, 200, 100, 60, 30, 10)


def found(name: str, hours: float, count: int, design: dict, *, seed: int) -> float:
    """Share of runs in which the trace shows a leak, per cent."""
    rng = np.random.default_rng([seed, int(hours)])
    with leaking(hours):
        runs = random_runs(count, rng, liquid=name, hold=360, **design)
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
    words = sys.argv[1:]
    count = int(words[0]) if words and words[0].isdigit() else 200
    liquids = [w for w in words if not w.isdigit()] or ["n-heptane", "ethanol", "acetone"]
    print(f"Leak found by the whole trace, per cent of {count} runs, plateaus of six minutes")
    print(f"{'':24s}" + "".join(f"{h:>10s}" for h in ("tight", *(f"{h} h" for h in HOURS[1:]))))
    for name in liquids:
        for title, design in DESIGNS.items():
            row = [found(name, h, count, design, seed=83) for h in HOURS]
            print(f"{name + ', ' + title:24s}" + "".join(f"{v:10.1f}" for v in row), flush=True)


if __name__ == "__main__":
    main()
