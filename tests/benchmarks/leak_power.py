"""How small a leak the whole trace shows, by design of the run, simulated; and how often a tight cell is accused.

    python -m tests.benchmarks.leak_power [RUNS] [goals] [seed=N] [hold=SECONDS] [LIQUID ...]

Goals: 100 h found in at least 90 % with a down branch, 60 h in at least 85 % with one return point.  `goals` measures
these and tight cells only.  Plateaus of six minutes are too short for acetone, whose lag is 1.6 min; take eight.
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
from tests.benchmarks.figures import show_figure


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
PLATEAUS = {"n-heptane": 360, "ethanol": 360, "acetone": 480}  # [s] four times the lag
HOURS = (0, 200, 100, 60, 30, 10)


#: The same -> the slowest leak that is to be found, and in how many of the runs.  [h], [%]
GOALS = {"one return": (60, 85), "four down": (100, 90)}


def found(name: str, hours: float, count: int, design: dict, *, seed: int, hold: int = 360) -> float:
    """Share of runs in which the trace shows a leak, per cent."""
    rng = np.random.default_rng([seed, int(hours)])
    with leaking(hours):
        runs = random_runs(count, rng, liquid=name, hold=hold, **design)
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
    values = dict(w.split("=") for w in words if "=" in w)
    count = next((int(w) for w in words if w.isdigit()), 200)
    seed = int(values.get("seed", 83))
    liquids = [w for w in words if not w.isdigit() and "=" not in w and w != "goals"] or list(PLATEAUS)
    print(f"Leak found by the whole trace, per cent of {count} runs")
    print(f"{'':34s}" + "".join(f"{h:>10s}" for h in ("tight", *(f"{h} h" for h in HOURS[1:]))))
    for name in liquids:
        minutes = values.get("hold", PLATEAUS[name])
        for title, design in DESIGNS.items():
            slowest, goal = GOALS.get(title, (None, None))
            if "goals" in words and slowest is None:
                continue
            hours = [h for h in HOURS if "goals" not in words or h in (0, slowest)]
            row = {h: found(name, h, count, design, seed=seed, hold=int(minutes)) for h in hours}
            shown = "".join(f"{row[h]:10.1f}" if h in row else f"{'':10s}" for h in HOURS)
            print(f"{f'{name}, {title}, {minutes} s':34s}" + shown, flush=True)
            if slowest is not None:
                what = f"findings: leak of {slowest} h found, {name}, {title}"
                tight = f"{row[0]:.1f} % of tight cells accused; {count} runs each"
                show_figure(what, f"{row[slowest]:.0f} %", f">= {goal} %", tight)


if __name__ == "__main__":
    main()
