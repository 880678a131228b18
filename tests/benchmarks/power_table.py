"""How often each fault of a bench is found, beside the figures of the study that preceded the program.

    python -m tests.benchmarks.power_table [RUNS] [rest | runs] [clock] [seed=N]

Ethanol, five points up, no return point, all tests together at 5 % false alarm, as in that study.  `rest`: drawn
benches at rest, points alone.  `runs`: whole simulated runs with a cooling bath, points by the settling judge (with
`clock` in the last minute of each hold, which is quicker and alarms oftener), traces looked at too; steps take eight
minutes, not six, for their lags are drawn up to twice as long.  For each fault two figures: found by any test, and by
any that does not use the reference values of the liquid.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

import sim.study
from sim.study import StudyRuns, random_runs
from sim.study_mishaps import StudyMishaps
from sim.study_plant import StudyBench
from tests.benchmarks import dynamic_runs as dynamic
from tests.benchmarks.coverage import SETUP
from tests.benchmarks.figures import show_figure
from tests.benchmarks.findings_static import FAULTS, faulty, let_in

LIQUID = "ethanol"
BY_REFERENCE = {"level-off-reference", "enthalpy-off-reference"}
DRY = replace(SETUP, room_humidity=0.0, u_room_humidity=0.05)


@dataclass(frozen=True)
class Row:
    """One fault: the two figures of the study before (per cent), and how to make it, at rest and in a whole run."""

    title: str
    before: tuple[int, int]
    rest: dict[str, Any] | None = None
    mishap: str = ""
    size: float = 0.0  # 0 to 1 between the least and the largest that the study draws; it may lie outside
    bench: Callable[[StudyBench], None] | None = None


def evaporating(seconds: float) -> Callable[[StudyBench], None]:
    """The pressure follows the liquid with this time constant."""

    def change(bench: StudyBench) -> None:
        bench.evaporation_time = np.full(len(bench), seconds)
        bench.condensation_time = 0.6 * bench.evaporation_time

    return change


def between(low: float, high: float, value: float) -> float:
    """Where a value lies between the ends of what the study draws."""
    return (value - low) / (high - low)


def efold(hours: float) -> float:
    return float(np.log(hours) / np.log(10))


def little(millilitres: float) -> dict[str, Any]:
    small = replace(SETUP, charge_volume=millilitres * 1e-6, u_charge_volume=1e-9, u_drawn_volume=0.0)
    return {"setup": small, "told_setup": SETUP}


def humid(share: float) -> dict[str, Any]:
    return {"setup": replace(SETUP, room_humidity=share), "told_setup": DRY}


def neck(share: float) -> dict[str, Any]:
    return {"setup": replace(SETUP, gas_above_water=share), "told_setup": replace(SETUP, gas_above_water=0.0)}


ROWS = (
    Row("healthy", (5, 5), {}),
    Row("leak 30 h", (7, 7), None, "leak", efold(30)),
    Row("leak 10 h", (42, 42), None, "leak", efold(10)),
    Row("leak 3 h", (100, 99), None, "leak", efold(3)),
    Row("leak 3 h from mid-run", (100, 100), FAULTS["leak 3 h from mid-run"]),
    Row("air let in 0.2 mL", (5, 3), {"fault": let_in(0.2)}, "air_with_charge", between(0.3, 1, 0.2)),
    Row("air let in 0.5 mL", (15, 3), {"fault": let_in(0.5)}, "air_with_charge", between(0.3, 1, 0.5)),
    Row("air let in 1 mL", (72, 5), {"fault": let_in(1.0)}, "air_with_charge", 1.0),
    Row("plunger not drawn, not told", (100, 62), FAULTS["plunger not drawn, not told"], "plunger_left_in"),
    Row("room air 20 %, told dry", (56, 15), humid(0.2)),
    Row("room air 50 %, told dry", (100, 76), humid(0.5)),
    Row("vapour 90 s behind", (62, 62), bench=evaporating(90.0)),
    Row("vapour 150 s behind", (99, 99), bench=evaporating(150.0)),
    Row("vapour 250 s behind", (100, 100), bench=evaporating(250.0)),
    # At rest 0.06 mL of ethanol do not run out in 125 mL: 0.046 mL are vapour at 38 °C.
    Row("only 0.06 mL of liquid", (100, 100), None, "small_charge", between(0.02, 0.1, 0.06)),
    Row("only 0.04 mL of liquid", (100, 100), little(0.04), "small_charge", between(0.02, 0.1, 0.04)),
    Row("only 0.03 mL of liquid", (100, 100), little(0.03), "small_charge", between(0.02, 0.1, 0.03)),
    Row("bath 1 K warmer at closing", (33, 33), None, "cell_not_soaked", between(1, 4, 1)),
    Row("bath 3 K warmer at closing", (100, 100), None, "cell_not_soaked", between(1, 4, 3)),
    Row("stopper popped, sat down again", (100, 100), None, "stopper_lifts"),
    Row("neck 5 % of the gas, not told", (5, 5), neck(0.05)),
    Row("neck 20 % of the gas, not told", (5, 5), neck(0.20)),
)


@dataclass
class Found:
    """Shares of the runs, and which tests told most often.  [%]"""

    any: float
    own: float
    first: str
    count: int
    codes: Counter[str] = field(default_factory=Counter)


def summed(total: Counter[str], count: int) -> Found:
    told = [f"{code} {100 * n / count:.0f}" for code, n in total.most_common() if not code.startswith("any")]
    return Found(
        100 * total["any"] / count, 100 * total["any without reference"] / count, ", ".join(told[:3]), count, total
    )


def at_rest(row: Row, count: int, seed: int, judged: bool) -> Found:
    rng = np.random.default_rng([seed, *map(ord, row.title)])
    total: Counter[str] = Counter()
    for _ in range(count):
        total.update(faulty(LIQUID, rng, **(row.rest or {})))
    return summed(total, count)


@contextmanager
def with_fault(row: Row) -> Iterator[None]:
    """Every bench that the study draws has the fault, of one size."""
    own_draw, own_mishaps = sim.study.draw_benches, sim.study.StudyMishaps

    def drawn(count: int, generator: np.random.Generator, kind: str) -> StudyBench:
        bench = own_draw(count, generator, kind)
        if row.bench is not None:
            row.bench(bench)
        return bench

    class OneSize(StudyMishaps):
        def __init__(self, names: Any, generator: np.random.Generator) -> None:
            super().__init__(names, generator)
            self._size = np.full(len(names), row.size)

    sim.study.draw_benches, sim.study.StudyMishaps = drawn, OneSize
    try:
        yield
    finally:
        sim.study.draw_benches, sim.study.StudyMishaps = own_draw, own_mishaps


def whole_runs(row: Row, count: int, seed: int, judged: bool) -> Found:
    rng = np.random.default_rng([seed, *map(ord, row.title)])
    with with_fault(row):
        mishaps = [row.mishap] * count if row.mishap else ()
        runs: StudyRuns = random_runs(count, rng, liquid=LIQUID, hold=dynamic.HOLD, returns=False, mishaps=mishaps)
    total: Counter[str] = Counter()
    for k in range(count):
        taken = dynamic.take(runs, k, dynamic.told_liquid(LIQUID, rng), rng, corrected=True, judged=judged)
        if taken.fit is None:
            total.update(["refused", "any", "any without reference"])
            continue
        codes = {f.code for f in taken.fit.findings if f.severity != "note"}
        own = codes - BY_REFERENCE
        total.update([*codes, *(["any"] if codes else []), *(["any without reference"] if own else [])])
    return summed(total, count)


def main() -> None:
    words = sys.argv[1:]
    count = next((int(w) for w in words if w.isdigit()), 100)
    seed = next((int(w.removeprefix("seed=")) for w in words if w.startswith("seed=")), 5)
    ways = {"rest": at_rest, "runs": whole_runs}
    for way, found_by in ways.items():
        if set(words) & set(ways) and way not in words:
            continue
        print(f"\n{LIQUID}, {'points of benches at rest' if way == 'rest' else 'whole runs'}, {count} each, per cent")
        print(f"{'':32s}{'found':>7s}{'study':>7s}{'no ref.':>9s}{'study':>7s}   first tests")
        short, rows = [], 0
        for row in ROWS:
            possible = row.rest is not None if way == "rest" else not (row.rest and not row.mishap)
            if not possible:
                continue
            f = found_by(row, count, seed, "clock" not in words)
            study, own_study = row.before
            print(f"{row.title:32s}{f.any:7.0f}{study:7d}{f.own:9.0f}{own_study:7d}   {f.first}", flush=True)
            if row.title == "healthy":
                told = f"{f.any:.1f} ± {np.sqrt(f.any * (100 - f.any) / count):.1f} %"
                show_figure(f"findings: false alarms, {LIQUID}, {way}", told, "<= 5 %", f"{count} healthy benches")
                continue
            rows += 1
            # Two standard errors of a share of so many runs, at least one run.
            error = max(200 * np.sqrt(max(study * (100 - study), 400) / 1e4 / count), 100 / count)
            if f.any < study - error:
                short.append(f"{row.title} {f.any:.0f}")
        what = f"findings: faults found as often as in the study before the program, {LIQUID}, {way}"
        show_figure(what, f"{rows - len(short)} of {rows}", "all", "short: " + (", ".join(short) or "none"))


if __name__ == "__main__":
    main()
