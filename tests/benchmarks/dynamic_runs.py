"""Whole simulated runs with a cooling bath: settling judged, points taken, fitted; bias, coverage, findings.

    python -m tests.benchmarks.dynamic_runs [RUNS] [judge] [healthy | main] [seed=N] [LIQUID ...]

Five points up and one return, the design of the study.  The bench is `sim.study` (its own state equations and
tables, lags and drift drawn, sensors with offset, gain, noise, wander and steps).  With `judge`, windows and lags come
from the settling judge (a second per run); else each window is the last minute of its hold and the lags come from the
fit of the whole trace.  `healthy` leaves out the benches with faults, `main` all but five up and one return.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass, replace

import numpy as np

from analysis.enthalpy import EnthalpyFit, fit_enthalpy
from analysis.evaporation_heat import cooling_by_vapour
from analysis.findings_trace import PlateauWindow, TraceReport, drift_of, find_in_traces
from analysis.fit_input import FitPoint, SensorPriors
from analysis.lag import slow_drift_lag
from analysis.liquids import Liquid, Sourced
from analysis.liquids import load_liquid as fit_liquid
from analysis.plateau import mean_of_correlated, plateau_point
from analysis.refusal import FitRefused
from analysis.settling import Block, Judge, Judgement
from analysis.trace_fit import fit_trace
from analysis.trapped_air import CellSetup, SealedBaseline
from sim.liquids import load_liquid as simulated_liquid
from sim.study import StudyRuns, random_runs
from sim.study_draws import DISSOLVED_SPREAD, SOLUBILITY_SPREAD
from tests.benchmarks.figures import show_figure
from tests.benchmarks.static_bench import moved_dz

#: What the study draws its sensors from (sim.study_draws), told to the fit.
SENSORS = SensorPriors(1000.0, 0.005, 0.0, 0.0, 210e3, 0.1, 0.001)
AT_LEAST = 60  # [s] after a step before a point may be taken
#: Four times the longest lags the study draws, so that nothing is to be refused; the heat that a volatile liquid takes
#: to evaporate makes it slower.  [s]
HOLDS = {"acetone": 900}
HOLD = 480


@dataclass
class Taken:
    """Everything one run gave."""

    fit: EnthalpyFit | None
    report: TraceReport
    truth: float
    missing: int
    refused: str


def setup_of(runs: StudyRuns, k: int, rng: np.random.Generator, humidity: float) -> CellSetup:
    """The bench as told to the fit: volumes drawn as uncertain as told, nothing uncertain that the study lacks."""
    b = runs.bench
    neck = float(b.neck_fraction[k])
    u_neck = 0.003 if neck else 0.0
    return CellSetup(
        cell_volume=float(b.volume[k]) + 0.5e-6 * rng.standard_normal(), u_cell_volume=0.5e-6,
        # The study's plunger takes out just what went in: an error of the charge does nothing there to the air.
        charge_volume=float(runs.liquid_volume[k]), u_charge_volume=1e-9,
        u_drawn_volume=0.0, tubing_volume=float(b.tube[k]), u_tubing_volume=0.0,
        tubing_vapour=0.65, u_tubing_vapour=0.2,  # vapour creeps into the tube within a quarter of an hour
        gas_above_water=max(neck + u_neck * rng.standard_normal(), 0.0), u_gas_above_water=u_neck,
        room_temperature=float(b.room[k]) + 0.3 * rng.standard_normal(), u_room_temperature=0.3,
        room_humidity=humidity, u_room_humidity=0.0, u_dissolved_air=DISSOLVED_SPREAD, glass_expansion=0.0, u_air=0.0,
    )  # fmt: skip


@dataclass
class Start:
    """What is the same for both ways of taking points."""

    t: np.ndarray
    x: np.ndarray
    p: np.ndarray
    baseline: SealedBaseline
    starts: list[float]
    ends: list[float]
    branches: list[str]


def start_of(runs: StudyRuns, k: int) -> Start:
    t, x, p = runs.time, runs.temperature[k], runs.pressure[k]
    sealed = (t > 2) & (t < runs.charge_at - 2)
    t0, u_t0, _ = mean_of_correlated(x[sealed], quantum=0.01)
    p0, u_p0, _ = mean_of_correlated(p[sealed], quantum=10.0)
    starts = [runs.charge_at, *runs.pour_at, *runs.down_at, *([runs.return_at] if runs.return_at else [])]
    branches = ["up"] * (1 + len(runs.pour_at)) + ["down"] * len(runs.down_at) + ["return"] * bool(runs.return_at)
    baseline = SealedBaseline(t0, p0, u_t0, max(u_p0, 2.0), time=0.5 * runs.charge_at)
    return Start(t, x, p, baseline, starts, [*starts[1:], float(t[-1])], branches)


Points = tuple[list[FitPoint], list[PlateauWindow], int]


def by_trace(s: Start, setup: CellSetup, liquid: Liquid, corrected: bool) -> Points:
    """The last minute of each hold; its lag from the fit of the trace: drift times the lags' share in the pressure."""
    try:
        trace = fit_trace(
            s.t, s.x, s.p, baseline=s.baseline, setup=setup, liquid=liquid, charged=s.starts[0], sensors=SENSORS
        )
    except FitRefused:
        trace = None
    points, windows = [], []
    for k, (begun, end) in enumerate(zip(s.starts, s.ends, strict=True)):
        first, last = end - 62.0, end - 2.0
        inside = (s.t > first) & (s.t <= last)
        mean_t, u_t, _ = mean_of_correlated(s.x[inside], quantum=0.01)
        mean_p, u_p, _ = mean_of_correlated(s.p[inside], quantum=10.0)
        lag = u_lag = 0.0
        if trace is not None and corrected:
            drift = drift_of(s.t[inside], s.x[inside])
            assert drift is not None
            vapour = mean_p - s.baseline.pressure * mean_t / s.baseline.temperature
            of_vapour = vapour * trace.apparent_enthalpy / (8.314462618 * mean_t**2)
            share = of_vapour / (of_vapour + s.baseline.pressure / s.baseline.temperature)
            behind = trace.liquid_lag + share * trace.vapour_lag
            found = slow_drift_lag(
                drift.slope, drift.u_slope, behind, float(np.hypot(1.5 * trace.u_lag, 0.15 * behind))
            )
            lag, u_lag = found.lag, found.u_lag
        branch = s.branches[k]
        points.append(
            FitPoint(mean_t - lag, mean_p, max(u_t, 0.003), max(u_p, 3.0), 0.0, 0.5 * (first + last), branch, "",
                     True, lag, u_lag)
        )  # fmt: skip
        windows.append(PlateauWindow(first, last, begun, branch))
    return points, windows, 0


def by_judge(s: Start, setup: CellSetup, liquid: Liquid, corrected: bool) -> Points:
    """The judge's last plateau of each hold, or the last minute where it saw none."""
    air = s.baseline.pressure / s.baseline.temperature

    def beta(temperature: float) -> float:
        assert liquid.saturation is not None
        low, high = liquid.saturation.range  # the judge looks far beyond the run; there the end of the range serves
        return float(liquid.beta(min(max(temperature, low), high))) + air

    blocks = [
        Block(i, float(s.t[i]) - 0.5, float(s.x[i]), float(s.p[i]), quantum_temperature=0.01, quantum_pressure=10.0)
        for i in range(len(s.t))
    ]

    def cooling(temperature: float) -> float:
        return cooling_by_vapour(liquid, setup.cell_volume, setup.charge_volume, temperature)

    judge = Judge(beta=beta, air_slope=air, cooling=cooling)
    judge.cell_closed(0.0)
    points: list[FitPoint] = []
    windows: list[PlateauWindow] = []
    best: Judgement | None = None
    stage, missing = -1, 0
    for i, block in enumerate(blocks):
        now = float(s.t[i])
        if stage + 1 < len(s.starts) and now > s.starts[stage + 1]:
            stage, best = stage + 1, None
            judge.charged(now) if stage == 0 else judge.step(now)
        judgement = judge.update(block)
        if stage < 0:
            continue
        if judgement.ready and now > s.starts[stage] + AT_LEAST:
            best = judgement
        if now < s.ends[stage] - 1 or len(points) > stage:
            continue
        window = None
        if best is None:  # never called level: what a person in a hurry takes, the last minute as it is
            missing += 1
            best, window = judgement, (now - 60.0, now)
        point = plateau_point(blocks[: i + 1], best, window=window)
        alone = float(np.sqrt(max(point.u_temperature_corrected**2 - point.u_lag**2, 1e-6)))
        branch = s.branches[stage]
        points.append(
            FitPoint(
                point.temperature_corrected if corrected else point.temperature, point.pressure, alone,
                max(point.u_pressure, 2.0), point.correlation, point.time, branch, "", True, point.lag, point.u_lag,
            )
        )  # fmt: skip
        windows.append(PlateauWindow(*point.window, s.starts[stage], branch, point.u_lag))
    return points, windows, missing


def take(runs: StudyRuns, k: int, liquid: Liquid, rng: np.random.Generator, *, corrected: bool, judged: bool) -> Taken:
    """Take, fit and look for findings in run k."""
    s = start_of(runs, k)
    setup = setup_of(runs, k, rng, 0.0)
    points, windows, missing = (by_judge if judged else by_trace)(s, setup, liquid, corrected)
    report = find_in_traces(
        s.t, s.x, s.p, baseline=s.baseline, sealed=(2.0, runs.charge_at - 2), charged=runs.charge_at, windows=windows,
        setup=setup, liquid=liquid, sensors=SENSORS,
    )  # fmt: skip
    fit, refused = None, ""
    try:
        fit = fit_enthalpy(
            points, baseline=s.baseline, setup=setup, sensors=SENSORS, liquid=liquid, run_findings=report.findings,
            trace_leak=report.leak,
        )  # fmt: skip
    except FitRefused as why:
        refused = str(why)
    return Taken(fit, report, runs.enthalpy_vap, missing, refused)


def told_liquid(name: str, rng: np.random.Generator) -> Liquid:
    """The fit's liquid, dZ and heat capacities drawn from their uncertainties; it knows what air dissolves as roughly
    as the study draws it."""
    liquid = fit_liquid(name)
    form, capacity = liquid.dz_form, liquid.heat_capacity_difference
    assert form is not None
    ostwald = simulated_liquid(name).ostwald_air
    return replace(
        liquid,
        air_solubility=Sourced(ostwald, SOLUBILITY_SPREAD * ostwald, "what the study draws about"),
        dz_form=replace(form, coefficients=moved_dz(form.coefficients, form.u * rng.standard_normal(), liquid)),
        heat_capacity_difference=replace(capacity, value=capacity.value + capacity.u * rng.standard_normal()),
    )


def study(
    name: str, count: int, kind: str, seed: int, *, corrected: bool = True, returns: bool = True, downs: int = 0,
    judged: bool = False,
) -> list[Taken]:  # fmt: skip
    rng = np.random.default_rng(seed)
    taken: list[Taken] = []
    while len(taken) < count:
        some = min(50, count - len(taken))
        runs = random_runs(some, rng, kind=kind, liquid=name, hold=HOLDS.get(name, HOLD), returns=returns, downs=downs)
        taken += [take(runs, k, told_liquid(name, rng), rng, corrected=corrected, judged=judged) for k in range(some)]
    return taken


def show(title: str, taken: list[Taken]) -> None:
    fits = [t for t in taken if t.fit is not None]
    given = [t for t in fits if t.fit and t.fit.at_298_15.interval_95]
    error = np.array([t.fit.at_298_15.value - t.truth for t in given]) / 1e3  # type: ignore[union-attr]
    inside = [t.fit.at_298_15.interval_95[0] <= t.truth <= t.fit.at_298_15.interval_95[1] for t in given]  # type: ignore
    u = np.array([t.fit.at_298_15.standard_uncertainty for t in given]) / 1e3  # type: ignore[union-attr]
    cross = np.array([t.report.trace.enthalpy_vap - t.fit.enthalpy_vap.value for t in given if t.report.trace]) / 1e3  # type: ignore
    found: Counter[str] = Counter()
    for t in fits:
        codes = {f.code for f in t.fit.findings if f.severity != "note"}  # type: ignore[union-attr]
        found.update(codes)
        found["any"] += bool(codes)
    n = max(len(fits), 1)
    print(
        f"{title:42s} runs {len(taken)}, fitted {len(fits)}, interval {len(given)}, points missed "
        f"{sum(t.missing for t in taken)}"
    )
    if len(error):
        rms = np.sqrt(np.mean(error**2))
        print(
            f"    bias {error.mean():+.3f} ±{error.std() / np.sqrt(len(error)):.3f} kJ/mol, rms {rms:.3f}, "
            f"mean u {u.mean():.3f}, covers {100 * np.mean(inside):.1f} %; trace less points "
            f"{cross.mean() if len(cross) else 0:+.2f} ±{cross.std() if len(cross) else 0:.2f}"
        )
    print("    " + ", ".join(f"{code} {100 * c / n:.1f}" for code, c in found.most_common(9)), flush=True)


def show_figures(name: str, taken: list[Taken], judged: bool) -> None:
    """The figures of healthy runs that the ledger keeps."""
    given = [t for t in taken if t.fit is not None and t.fit.at_298_15.interval_95 is not None]
    if not given:
        return
    error = np.array([t.fit.at_298_15.value - t.truth for t in given]) / 1e3  # type: ignore[union-attr]
    inside = [t.fit.at_298_15.interval_95[0] <= t.truth <= t.fit.at_298_15.interval_95[1] for t in given]  # type: ignore
    alarmed = [t.fit is None or any(f.severity != "note" for f in t.fit.findings) for t in taken]
    how = f"{len(taken)} whole runs, points by the {'judge' if judged else 'clock'}"
    share, wolf = float(np.mean(inside)), float(np.mean(alarmed))
    part = f"result: {name}, cooling bath"
    u_bias = error.std() / np.sqrt(len(error))
    show_figure(f"{part}: bias", f"{error.mean():+.3f} ± {u_bias:.3f} kJ/mol", "within 0.1 kJ/mol", how)
    u_share = 100 * np.sqrt(share * (1 - share) / len(given))
    show_figure(f"{part}: truth inside", f"{100 * share:.1f} ± {u_share:.1f} %", "95 ± 1.5 %", how)
    u_wolf = 100 * np.sqrt(wolf * (1 - wolf) / len(taken))
    show_figure(f"{part}: false alarms", f"{100 * wolf:.1f} ± {u_wolf:.1f} %", "<= 5 %", how)


def main() -> None:
    words = sys.argv[1:]
    judged, healthy, only_main = ("judge" in words), ("healthy" in words or "main" in words), "main" in words
    count = next((int(w) for w in words if w.isdigit()), 400)
    seed = next((int(w.removeprefix("seed=")) for w in words if w.startswith("seed=")), 11)
    others = {"judge", "healthy", "main"}
    named = [w for w in words if w not in others and not w.isdigit() and not w.startswith("seed=")]
    liquids = named or ["n-heptane", "ethanol", "acetone"]
    for name in liquids:
        some = max(count // 4, 1)
        taken = study(name, count, "plain", seed, judged=judged)
        show(f"{name}, five up and one return", taken)
        show_figures(name, taken, judged)
        if only_main:
            continue
        show(
            f"{name}, five up and four down",
            study(name, some, "plain", seed + 1, returns=False, downs=4, judged=judged),
        )
        show(f"{name}, five up", study(name, some, "plain", seed + 1, returns=False, judged=judged))
        if healthy:
            continue
        show(f"{name}, without lag correction", study(name, some, "plain", seed, corrected=False, judged=judged))
        for kind in ("leak", "slow vapour", "wandering", "cold neck", "everything"):
            show(f"{name}, {kind}", study(name, some, kind, seed + 2, judged=judged))


if __name__ == "__main__":
    main()
