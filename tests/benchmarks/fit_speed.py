"""How long a fit takes: points with interval, budget and findings; the whole trace; the answer to `--help`.

python -m tests.benchmarks.fit_speed
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np

from analysis.enthalpy import fit_enthalpy
from analysis.liquids import load_liquid
from analysis.trace_fit import fit_trace
from analysis.trapped_air import CellSetup, SealedBaseline
from sim.study import random_runs
from tests.benchmarks.coverage import SENSORS, SETUP
from tests.benchmarks.figures import show_figure
from tests.benchmarks.static_bench import run_of

HELP = "import sys; from acquire.commands.main import main; sys.argv = ['satline', '--help']; main()"


def milliseconds(what: Callable[[], object], times: int) -> float:
    """Median processor time."""
    what()
    spent = []
    for _ in range(times):
        began = time.process_time()
        what()
        spent.append(time.process_time() - began)
    return 1e3 * statistics.median(spent)


def main() -> None:
    liquid = load_liquid("n-heptane")
    at = np.linspace(296.15, 311.15, 6)
    base, points, known, _ = run_of("n-heptane", at, SETUP, SENSORS, np.random.default_rng(1))
    spent = milliseconds(lambda: fit_enthalpy(points, baseline=base, setup=SETUP, sensors=SENSORS, liquid=known), 30)
    show_figure("fit of six points with interval, budget and findings", f"{spent:.1f} ms", "< 15 ms", "")
    runs = random_runs(1, np.random.default_rng(4), kind="plain", hold=480)
    sealed = runs.time < runs.charge_at - 2
    baseline = SealedBaseline(
        float(runs.temperature[0][sealed].mean()), float(runs.pressure[0][sealed].mean()), 0.003, 3.0, time=30.0
    )
    setup = CellSetup(cell_volume=float(runs.bench.volume[0]), charge_volume=float(runs.liquid_volume[0]))
    spent = milliseconds(
        lambda: fit_trace(
            runs.time, runs.temperature[0], runs.pressure[0],
            baseline=baseline, setup=setup, liquid=liquid, charged=runs.charge_at,
        ), 10,
    )  # fmt: skip
    show_figure(f"fit of a whole trace of {runs.time[-1] / 60:.0f} min", f"{spent:.0f} ms", "< 100 ms", "")
    took = []
    for _ in range(7):
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", HELP], capture_output=True, check=False)
        took.append(time.perf_counter() - began)
    bare = []
    for _ in range(7):
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", "pass"], check=False)
        bare.append(time.perf_counter() - began)
    beside = f"{1e3 * statistics.median(bare):.0f} ms: Python that does nothing"
    show_figure("answer to --help", f"{1e3 * statistics.median(took):.0f} ms", "<= 40 ms", beside)


if __name__ == "__main__":
    main()
