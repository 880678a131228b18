"""Print what simulated runs cost: physics alone, the whole device with its bytes, many runs side by side.

python -m tests.benchmarks.sim_speed
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np

from sim.attended import AttendedBench
from sim.device import BenchAct, SimulatedBench
from sim.liquids import load_liquid
from sim.parameters import BathParameters, CellParameters, ChargeParameters
from sim.plant import Plant
from sim.scenario import load_scenario
from sim.stepping import advance
from sim.study import random_runs, random_steps
from tests.benchmarks.figures import show_figure


def cost(do: Callable[[], object], times: int) -> tuple[float, float]:
    """Smallest and median processor time.  [ms]"""
    spent = []
    for _ in range(times):
        start = time.process_time()
        do()
        spent.append((time.process_time() - start) * 1e3)
    return min(spent), statistics.median(spent)


def physics(step: float, **cell: float) -> None:
    """Half an hour: closed, charged, five warm steps, a cold one."""
    plant = Plant(
        CellParameters(**cell),
        BathParameters(),
        load_liquid("n-heptane"),
        room_temperature=294.65,
        room_pressure=100.9e3,
        step=step,
        refresh=round(10 / step),
    )

    def seconds(duration: float) -> None:
        advance(plant, round(duration / step))

    seconds(60)
    plant.valve_open = False
    plant.charge(ChargeParameters(), 294.65)
    seconds(240)
    for _ in range(4):
        plant.pour(60e-6, 343.15)
        seconds(300)
    plant.draw(200e-6)
    plant.pour(200e-6, 280.15)
    seconds(300)


def device(rate: float) -> int:
    """The calm scenario for half an hour with all its lines."""
    scenario = load_scenario("calm")
    scenario = scenario.model_copy(update={"device": scenario.device.model_copy(update={"rate_Hz": rate})})
    bench = SimulatedBench(scenario, 1)
    bench.advance(60.0)
    bench.act(BenchAct("close_valve"))
    bench.act(BenchAct("charge"))
    return len(bench.advance(1800.0))


GOALS = {
    "30 min of physics, step 1 s, plain cell": "< 10 ms",
    "1000 runs of 31 min side by side, with readings and truth": "< 1500 ms",
}


def main() -> None:
    rows = [
        ("30 min of physics, step 0.5 s, plain cell", lambda: physics(0.5, tube=0.0), 15),
        ("30 min of physics, step 0.5 s, neck, tube and stagnant part",
         lambda: physics(0.5, tube=2e-6, neck_fraction=0.05, stagnant_fraction=0.15), 15),
        ("30 min of physics, step 1 s, plain cell", lambda: physics(1.0, tube=0.0), 15),
        ("30 min of the device, 10 lines/s", lambda: device(10.0), 7),
        ("30 min of the device, 1 line/s", lambda: device(1.0), 7),
        ("a whole attended run of 38.5 min, 10 lines/s",
         lambda: AttendedBench(load_scenario("calm"), 1).advance(2310.0), 5),
        ("1000 runs of 31 min side by side, with readings and truth",
         lambda: random_runs(1000, np.random.default_rng(1)), 3),
        ("1000 single steps side by side, with their slow course",
         lambda: random_steps(1000, np.random.default_rng(1), kind="everything"), 3),
    ]  # fmt: skip
    print(f"{'processor time':60s} {'least':>9s} {'median':>9s}")
    for name, do, times in rows:
        least, median = cost(do, times)
        print(f"{name:60s} {least:6.1f} ms {median:6.1f} ms")
        if name in GOALS:
            show_figure(f"simulation: {name}", f"{least:.1f} ms", GOALS[name])


if __name__ == "__main__":
    main()
