"""The settling table: goals and what is reached, on fresh seeds; rivals on the same blocks; the error-delay curve.

Run: python -m tests.benchmarks.settling.table [--runs N] [--seed S] [--picture FILE.png] [--only CASE,...]

Every run has a dry hold, a charge and six steps of 600 s.  Seeds 11-25 and 105-108 served for tuning; report on others.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import replace

import matplotlib
import numpy as np

from analysis.settling import Blocker, Judge, SettlingSettings
from tests.benchmarks.figures import show_figure
from tests.benchmarks.settling.bench import DRY, DWELL, Case, Run, oracle, simulate
from tests.benchmarks.settling.rivals import RIVALS
from tests.benchmarks.settling.score import FRACTIONS, StepScore, score_case, short, summary, tolerance_of

matplotlib.use("agg")

RAW, CORRECTED = SettlingSettings(), SettlingSettings(mode="corrected")
STRESS = {
    "matched": {},
    "10 % slow vapour": {"slow_fraction": 0.1},
    "25 % slow vapour": {"slow_fraction": 0.25},
    "wall 15-30 s": {"wall": (15.0, 30.0)},
    "gas lag 3-8 s": {"gas": (3.0, 8.0)},
    "all lags x1.6": {"lag_scale": 1.6},
    "beta to 30 %": {"beta_error": 0.3},
    "second dose": {"second_dose": True},
    "T wanders 0.03 K": {"wander_t": 0.03},
    "p wanders 50 Pa": {"wander_p": 50.0},
    "drift 0.5-1 K/min": {"drift": (0.5, 1.0)},
}
NO_PLATEAU = ("leak", "ramp", "cycle")


def rival_scores(runs: list[Run]) -> dict[str, list[StepScore]]:
    """Scores of every rival; the value is the mean of the last 10 blocks, uncorrected."""
    out: dict[str, list[StepScore]] = {name: [] for name in RIVALS}
    for index, run in enumerate(runs):
        t = np.array([b.temperature for b in run.blocks])
        p = np.array([b.pressure for b in run.blocks])
        for k, start in enumerate(run.step_time.astype(int)):
            part = slice(start, start + DWELL)
            tolerance = tolerance_of(run, RAW.tolerance)
            beta = float(run.beta(np.nanmean(t[part])))
            for name, rule in RIVALS.items():
                score = StepScore(index, k, tolerance, oracle(run, k, tolerance))
                at = rule(t[part], p[part], beta, tolerance)
                if np.isfinite(at) and 12 <= at < DWELL:
                    there = np.flatnonzero(np.isfinite(t[: start + int(at) + 1] + p[: start + int(at) + 1]))
                    window = there[-10:]  # what a person would read, though the device was silent just then
                    true_beta = run.true_beta[start + int(at)]
                    mean_t, mean_p = t[window].mean(), p[window].mean()
                    score.accepted = at
                    score.error_p = (mean_p - run.slow_pressure[window].mean()) / true_beta
                    score.error_t = mean_t - run.slow_probe[window].mean()
                    score.pair = score.pair_raw = (mean_p - run.p_equilibrium(mean_t)) / run.slope_equilibrium(mean_t)
                    score.u_pair = 1.0
                out[name].append(score)
    return out


def enthalpy_errors(scores: list[StepScore], runs: list[Run], corrected: bool) -> np.ndarray:
    """Relative error of the enthalpy of every heating run, from a line through ln(p - air) against 1/T."""
    errors = []
    for index, run in enumerate(runs):
        points = [s.point for s in scores if s.run == index and s.point]
        if len(points) < 4:
            continue
        t = np.array([q[1] if corrected else q[0] for q in points])
        p = np.array([q[2] for q in points])
        slope = np.polyfit(1.0 / t, np.log(p - run.air * t), 1)[0]
        errors.append(-slope * 8.314462618 / run.enthalpy - 1.0)
    return np.array(errors)


def cost(runs: list[Run]) -> tuple[float, float]:
    """(microseconds per block, microseconds per raw reading at 50 Hz and two channels) on one core."""
    best = np.inf
    for run in runs[:2]:
        judge = Judge(RAW, beta=run.beta)
        begin = time.process_time()
        for block in run.blocks[:2000]:
            if block.index == DRY:
                judge.charged(block.time)
            judge.update(block)
        best = min(best, (time.process_time() - begin) / 2000)
    rng = np.random.default_rng(0)
    blocker, begin, seconds = Blocker(), time.process_time(), 200
    for k in range(seconds):
        when = k + np.arange(50) / 50.0
        blocker.add("temperature", when, rng.normal(300.0, 0.01, 50))
        blocker.add("pressure", when, rng.normal(1e5, 10.0, 50))
        blocker.close(k)
    reading = (time.process_time() - begin) / (seconds * 100)
    return best * 1e6, reading * 1e6


def picture(path: str, runs: list[Run], case: Case, rivals: dict[str, list[StepScore]]) -> None:
    """Share of false accepts against the median delay behind the oracle, for several strictnesses and the rivals."""
    from matplotlib import pyplot

    shares = (0.6, 0.8, 0.9, 1.0, 1.3)
    results, _ = score_case(case, tuple(replace(RAW, raw_share=s) for s in shares))
    figure, axes = pyplot.subplots(figsize=(9.0, 4.6))
    own = [summary(r) for r in results]
    axes.plot([s["delay median"] for s in own], [max(s["false %"], 0.05) for s in own], "o-", label="satline")
    for number, (share, s) in enumerate(zip(shares, own, strict=True)):
        at = s["delay median"], max(s["false %"], 0.05)
        up = -14 if number % 2 else 7  # neighbours lie close together
        axes.annotate(f"{share:g}", at, textcoords="offset points", xytext=(0, up), ha="center", fontsize=8)
    for marker, (name, scores) in zip("sDv^<>pPX*dh", rivals.items(), strict=False):
        s = summary(scores)
        label = f"{name}, never: {s['never %']:.0f} %"
        axes.plot(s["delay median"], max(s["false %"], 0.05), marker, color="0.35", ms=6, ls="none", label=label)
    axes.set_ylim(0.02, 200.0)
    axes.set(yscale="log", xlabel="median delay behind the oracle / s", ylabel="false accepts / % (0.05 = none)")
    axes.legend(loc="center left", bbox_to_anchor=(1.02, 0.5), fontsize=8)  # beside: the marks lie close together
    figure.tight_layout()
    figure.savefig(path, dpi=130)
    pyplot.close(figure)


def show_matched(raw: dict[str, float], corrected: dict[str, float]) -> None:
    """The figures of ordinary cells with their goals, for the ledger."""
    n = f"{raw['steps']:.0f} steps"
    show_figure("settling: accepted too early", f"{raw['false %']:.2f} %", "0.3 %", f"{n}; 60 s wait: 100 %")
    show_figure(
        "settling: delay behind the oracle, median and 95 %",
        f"{raw['delay median']:.0f} and {raw['delay p95']:.0f} s",
        "35 and 65 s",
        "12 s median with lags known exactly (study)",
    )
    show_figure("settling: never accepted", f"{raw['never %']:.2f} %", "0.1 %", n)
    show_figure(
        "settling: error of a corrected pair",
        f"{corrected['pair rms']:.4f} K, {corrected['delay median']:+.0f} s",
        "0.02 K, -10 s",
        "0.18 K uncorrected (study)",
    )
    show_figure(
        "settling: 95 % interval of a pair covers",
        f"{raw['coverage %']:.0f} and {corrected['coverage %']:.0f} %",
        "94 to 97 %",
        "readings level, and corrected while they are not",
    )
    show_figure(
        "settling: 90 % forecast covers, at .3, .5, .75, .9 of the time",
        ", ".join(f"{raw.get(f'forecast {f}: cover %', np.nan):.0f}" for f in FRACTIONS) + " %",
        "88 to 94 %",
        n,
    )


def no_plateau(name: str, runs: int, seed: int) -> None:
    """How often a course that never gets level is accepted."""
    results, made = score_case(Case(name, runs, steps=2, seed=seed, last=name), (RAW, CORRECTED))
    for mode, scores in zip(("raw", "corrected"), results, strict=True):
        last = [s for s in scores if s.step == 1]
        if name == "ramp":  # a ramp that the heat loss has slowed below the limit is a legitimate drift
            last = [s for s in last if _rate(made[s.run], s) > 0.6 / 60.0]
        taken = sum(np.isfinite(s.accepted) for s in last)
        print(
            f"  {name:6s} {mode:9s} accepted {taken}/{len(last)} = {100 * taken / max(len(last), 1):.2f} %", flush=True
        )


def _rate(run: Run, score: StepScore) -> float:
    at = score.accepted if np.isfinite(score.accepted) else DWELL - 10.0
    i = int(run.step_time[1] + at)
    return abs(run.probe[i] - run.probe[i - 30]) / 30.0


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=60)
    parser.add_argument("--seed", type=int, default=9000)
    parser.add_argument("--picture", default="")
    parser.add_argument("--only", default="")
    options = parser.parse_args()
    only = set(options.only.split(",")) - {""}
    for number, (name, change) in enumerate(STRESS.items()):
        if only and name not in only:
            continue
        runs = options.runs if name == "matched" else max(options.runs // 4, 4)
        case = Case(name, runs, seed=options.seed + number, **change)
        results, _ = score_case(case, (RAW, CORRECTED))
        found = [summary(scores) for scores in results]
        for mode, figures in zip(("raw", "corrected"), found, strict=True):
            print(short(f"{name} {mode}", figures), flush=True)
        if name == "matched":
            show_matched(*found)
    if not only or "enthalpy" in only:
        for name in ("matched", "10 % slow vapour", "25 % slow vapour"):
            case = Case(
                name, max(options.runs // 3, 4), seed=options.seed + 50, heating_only=True, still=0.0, **STRESS[name]
            )
            results, runs_made = score_case(case, (RAW, CORRECTED))
            for mode, scores in zip(("raw", "corrected"), results, strict=True):
                for kind in (False, True):
                    e = 100.0 * enthalpy_errors(scores, runs_made, kind)
                    print(
                        f"  enthalpy, {name}, {mode} mode, {'lag-corrected' if kind else 'uncorrected'}: n {len(e)} "
                        f"bias {e.mean():+.3f} % sd {e.std():.3f} % rms {np.sqrt(np.mean(e**2)):.3f} %",
                        flush=True,
                    )
    for number, name in enumerate(NO_PLATEAU):
        if not only or name in only:
            no_plateau(name, options.runs, options.seed + 70 + number)
    if not only or "rivals" in only:
        case = Case("matched", max(options.runs // 6, 4), seed=options.seed + 90)
        runs_made = simulate(case)
        rivals = rival_scores(runs_made)
        for name, scores in rivals.items():
            print(short(name, summary(scores)), flush=True)
        if options.picture:
            picture(options.picture, runs_made, case, rivals)
        block, reading = cost(runs_made)
        show_figure("settling: processor time of a second", f"{block:.0f} us", "100 us", "both channels")
        show_figure("settling: processor time of a reading at 50 Hz", f"{reading:.2f} us", "2 us", "")


if __name__ == "__main__":
    main()
