"""False alarms and power of the findings that points alone can show, on drawn benches at rest.

python -m tests.benchmarks.findings_static [RUNS]
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import FitPoint
from analysis.refusal import FitRefused
from analysis.trapped_air import CellSetup, SealedBaseline
from sim.liquids import load_liquid as simulated_liquid
from tests.benchmarks.coverage import SENSORS, SETUP
from tests.benchmarks.figures import show_figure
from tests.benchmarks.static_bench import Bench, Cell, draw_bench, run_of, sensed

UP = np.linspace(296.15, 311.15, 5)
NOISE = (0.03, 30.0)


def healthy(liquid: str, rng: np.random.Generator, setup: CellSetup = SETUP) -> Counter[str]:
    base, points, told, _ = run_of(liquid, UP, setup, SENSORS, rng)
    return codes(base, points, told, setup)


def codes(base: SealedBaseline, points: list[FitPoint], told, setup: CellSetup) -> Counter[str]:
    """Codes of all findings above a note, `any` where there is one, `refused` where the fit itself refused."""
    try:
        fit = fit_enthalpy(points, baseline=base, setup=setup, sensors=SENSORS, liquid=told)
    except FitRefused:
        return Counter({"refused": 1, "any": 1, "any without reference": 1})
    found = {f.code for f in fit.findings if f.severity != "note"}
    own = found - {"level-off-reference", "enthalpy-off-reference"}
    return Counter([*found, *(["any"] if found else []), *(["any without reference"] if own else [])])


def faulty(
    liquid: str,
    rng: np.random.Generator,
    fault: Callable[[Bench], None] = lambda bench: None,
    *,
    setup: CellSetup = SETUP,
    told_setup: CellSetup | None = None,
    leak_hours: float = 0.0,
    leak_from: float = 0.0,
    returned: bool = False,
    hold: float = 360.0,
) -> Counter[str]:
    """One run with a fault: `fault` changes the bench, the fit is told `told_setup`."""
    from analysis.liquids import load_liquid as fit_liquid

    simulated, told = simulated_liquid(liquid), fit_liquid(liquid)
    bench = draw_bench(setup, SENSORS, told, rng)
    fault(bench)
    cell = Cell(bench, simulated)

    def read(t: float, p: float, elapsed: float) -> tuple[float, float]:
        shown_t, shown_p = sensed(bench, SENSORS, t, p, elapsed)
        return shown_t + NOISE[0] * rng.standard_normal(), shown_p + NOISE[1] * rng.standard_normal()

    base = SealedBaseline(*read(bench.t0, bench.p0, 0.0), *NOISE, time=0.0)
    temperatures = [*UP, 297.15] if returned else list(UP)
    points, share = [], 1.0
    for k, t in enumerate(temperatures):
        if leak_hours and hold * (k + 1) > leak_from:
            p = cell.pressure(float(t))
            # The gas that leaves is shared; the vapour is made good by the liquid, the air is not.
            share *= 1 - hold / (3600 * leak_hours) * (p - bench.p0) / p
            cell.leaked = share
        p = cell.pressure(float(t)) + cell.undissolved(float(t), hold * (k + 1))
        shown = read(float(t), p, k / (len(temperatures) - 1))
        branch = "return" if returned and k == len(temperatures) - 1 else "up"
        points.append(FitPoint(*shown, *NOISE, time=hold * (k + 1), branch=branch))
    return codes(base, points, told, told_setup or setup)


def let_in(millilitres: float) -> Callable[[Bench], None]:
    def change(bench: Bench) -> None:
        bench.air_factor *= 1 + millilitres * 1e-6 / (bench.volume + bench.tube)

    return change


FAULTS: dict[str, dict] = {
    "leak 30 h": {"leak_hours": 30.0},
    "leak 10 h": {"leak_hours": 10.0},
    "leak 3 h": {"leak_hours": 3.0},
    "leak 3 h from mid-run": {"leak_hours": 3.0, "leak_from": 1000.0},
    "leak 60 h, one return point": {"leak_hours": 60.0, "returned": True},
    "leak 10 h, one return point": {"leak_hours": 10.0, "returned": True},
    "air let in 0.5 mL": {"fault": let_in(0.5)},
    "air let in 1 mL": {"fault": let_in(1.0)},
    "plunger not drawn, not told": {"setup": replace(SETUP, plunger_drawn_back=False), "told_setup": SETUP},
    "damp 70 % told dry": {
        "setup": replace(SETUP, room_humidity=0.7),
        "told_setup": replace(SETUP, room_humidity=0.2, u_room_humidity=0.05),
    },
    "liquid 0.04 mL": {
        "setup": replace(SETUP, charge_volume=0.04e-6, u_charge_volume=0.001e-6, u_drawn_volume=0.0),
        "told_setup": SETUP,
    },
    "liquid 0.06 mL": {
        "setup": replace(SETUP, charge_volume=0.06e-6, u_charge_volume=0.001e-6, u_drawn_volume=0.0),
        "told_setup": SETUP,
    },
}


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    for liquid in ("ethanol", "n-heptane", "acetone"):
        rng = np.random.default_rng([7, len(liquid)])
        total: Counter[str] = Counter()
        for _ in range(4 * runs):
            total.update(healthy(liquid, rng))
        print(f"\n{liquid}: healthy runs with an alarm, per cent of {4 * runs}")
        print("  " + ", ".join(f"{code} {100 * n / (4 * runs):.2f}" for code, n in total.most_common()))
        wolf = total["any"] / (4 * runs)
        told = f"{100 * wolf:.1f} ± {100 * np.sqrt(wolf * (1 - wolf) / (4 * runs)):.1f} %"
        show_figure(f"findings: false alarms at rest, {liquid}", told, "<= 5 %", f"{4 * runs} healthy benches")
        print(f"{liquid}: found, per cent of {runs}")
        for title, arguments in FAULTS.items():
            total = Counter()
            for _ in range(runs):
                total.update(faulty(liquid, rng, **arguments))
            shown = ", ".join(f"{code} {100 * n / runs:.0f}" for code, n in total.most_common(7))
            print(f"  {title:30s} {shown}", flush=True)


if __name__ == "__main__":
    main()
