"""Run the judge over simulated runs and score every step against the truth."""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from analysis.plateau import PlateauInputError, plateau_point
from analysis.settling import Judge, SettlingSettings
from tests.benchmarks.settling.bench import DRY, DWELL, Case, Run, oracle, simulate

FRACTIONS = (0.3, 0.5, 0.75, 0.9)


@dataclass
class StepScore:
    """One step under one rule.  Errors in kelvin-equivalents, times in seconds after the step."""

    run: int
    step: int
    tolerance: float
    oracle: float
    accepted: float = np.nan
    error_p: float = np.nan  # value over the window minus quasi-equilibrium at its centre
    error_t: float = np.nan
    pair: float = np.nan  # corrected pair: how far off equilibrium
    pair_raw: float = np.nan
    u_pair: float = np.nan
    point: tuple = ()
    forecasts: tuple = ()  # (fraction, true time left, low, middle, high)
    tail: float = np.nan
    method: str = ""

    @property
    def false(self) -> bool:
        return bool(max(abs(self.error_p), abs(self.error_t)) > self.tolerance)


def pair_error(run: Run, temperature: float, pressure: float) -> float:
    """Pressure minus equilibrium pressure at this temperature, in kelvin."""
    return (pressure - run.p_equilibrium(temperature)) / run.slope_equilibrium(temperature)


def tolerance_of(run: Run, asked: float) -> float:
    """What the sensors of this run allow: twice the true uncertainty of a mean of 60 s, at least what was asked."""
    i = run.info
    factor = 1.0
    if i["phi_time"] > 0.0:
        phi = np.exp(-1.0 / (i["rate"] * i["phi_time"]))
        factor = (1 + phi) / (1 - phi)
    u_t = i["sd_t"] * np.sqrt(factor / (60 * i["rate"]))
    u_p = i["sd_p"] * np.sqrt(factor / (60 * i["rate"])) / run.true_beta[-1]
    return max(asked, 2 * u_t, 2 * u_p)


def judge_run(
    run: Run, index: int, settings: tuple[SettlingSettings, ...], known_beta: bool = True
) -> list[list[StepScore]]:
    """Scores of all steps of a run, one list per settings."""
    out = []
    starts = run.step_time
    for setting in settings:
        judge = Judge(setting, beta=run.beta if known_beta else None)
        scores = []
        for k in range(len(starts)):
            tolerance = tolerance_of(run, setting.tolerance)
            scores.append(StepScore(index, k, tolerance, oracle(run, k, tolerance)))
        seen = {}
        for block in run.blocks:
            if block.index == 10:
                judge.cell_closed(block.time)
            if block.index == DRY:
                judge.charged(block.time)
            found = judge.update(block)
            k = int(np.searchsorted(starts, block.time)) - 1
            if k < 0:
                continue
            score, since = scores[k], block.time - starts[k]
            for fraction in FRACTIONS:
                at = fraction * score.oracle
                if at <= since < at + 1.0:
                    seen.setdefault(k, []).append((fraction, found.channels["pressure"].level_in))
            if found.ready and np.isnan(score.accepted) and since > 20:
                _accept(run, score, found, since)
        for k, entries in seen.items():
            cross = _pressure_crossing(run, k, scores[k].tolerance)
            scores[k].forecasts = tuple(
                (f, cross - f * scores[k].oracle, *(level if level else (np.nan,) * 3)) for f, level in entries
            )
        out.append(scores)
    return out


def _pressure_crossing(run: Run, k: int, tolerance: float) -> float:
    first = int(run.step_time[k])
    part = slice(first, min(first + DWELL, len(run.time)) - 1)
    off = np.abs(run.pressure[part] - run.slow_pressure[part]) / run.true_beta[part]
    bad = np.flatnonzero(off > tolerance)
    return float(bad[-1] + 1) if len(bad) else 0.0


def _accept(run: Run, score: StepScore, found, since: float) -> None:
    try:
        point = plateau_point(run.blocks[int(found.window[0]) : int(found.window[1]) + 1], found)
    except PlateauInputError:
        return
    score.accepted = since
    beta = float(np.interp(point.time, run.time, run.true_beta))
    score.error_p = (point.pressure - float(np.interp(point.time, run.time, run.slow_pressure))) / beta
    score.error_t = point.temperature - float(np.interp(point.time, run.time, run.slow_probe))
    score.pair = pair_error(run, point.temperature_corrected, point.pressure)
    score.pair_raw = pair_error(run, point.temperature, point.pressure)
    score.u_pair = float(np.hypot(point.u_temperature_corrected, point.u_pressure / beta))
    score.point = (point.temperature, point.temperature_corrected, point.pressure, point.lag, point.u_lag)
    score.tail = found.slow_tail
    score.method = found.method


def _job(args):
    run, index, settings, known = args
    return judge_run(run, index, settings, known)


def score_case(case: Case, settings: tuple[SettlingSettings, ...], *, known_beta: bool = True, workers: int = 2):
    """[(settings, scores of all steps)] of a case, and its runs."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    runs = simulate(case)
    stripped = [(run, k, settings, known_beta) for k, run in enumerate(runs)]
    results = _map(stripped, workers)
    return [[score for run_scores in results for score in run_scores[i]] for i in range(len(settings))], runs


_RUNS: list = []


def _indexed(k: int):
    return _job(_RUNS[k])


def _map(jobs: list, workers: int):
    # Runs hold a function (beta), which cannot be sent to a process; a forked child finds them by number.
    import multiprocessing

    _RUNS[:] = jobs
    with ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("fork")) as pool:
        return list(pool.map(_indexed, range(len(jobs)), chunksize=1))


def summary(scores: list[StepScore]) -> dict[str, float]:
    """The figures of the table."""
    taken = [s for s in scores if np.isfinite(s.accepted)]
    true = [s for s in taken if np.isfinite(s.oracle)]
    delay = np.array([s.accepted - s.oracle for s in true])
    pair = np.array([s.pair for s in taken])
    u = np.array([s.u_pair for s in taken])
    n = max(len(scores), 1)
    out = {
        "steps": len(scores),
        "false %": 100.0 * sum(s.false for s in taken) / n,
        "never %": 100.0 * (1 - len(taken) / n),
        "delay median": float(np.median(delay)) if len(delay) else np.nan,
        "delay p95": float(np.percentile(delay, 95)) if len(delay) else np.nan,
        "p rms": float(np.sqrt(np.mean([s.error_p**2 for s in taken]))) if taken else np.nan,
        "pair rms": float(np.sqrt(np.mean(pair**2))) if taken else np.nan,
        "pair raw rms": float(np.sqrt(np.mean([s.pair_raw**2 for s in taken]))) if taken else np.nan,
        "pair > tol %": 100.0 * float(np.mean(np.abs(pair) > [s.tolerance for s in taken])) if taken else np.nan,
        "coverage %": 100.0 * float(np.mean(np.abs(pair) < 1.96 * u)) if taken else np.nan,
        "z": float(np.sqrt(np.mean((pair / u) ** 2))) if taken else np.nan,
        "u median": float(np.median(u)) if taken else np.nan,
    }
    for fraction in FRACTIONS:
        rows = np.array([f[1:] for s in scores for f in s.forecasts if f[0] == fraction and f[1] > 0])
        if len(rows):
            given = rows[np.isfinite(rows[:, 2])]
            out[f"forecast {fraction}: error"] = float(np.median(np.abs(given[:, 2] - given[:, 0])))
            out[f"forecast {fraction}: cover %"] = 100.0 * float(
                np.mean((given[:, 1] <= given[:, 0]) & (given[:, 0] <= given[:, 3]))
            )
            out[f"forecast {fraction}: width"] = float(np.median(given[:, 3] - given[:, 1]))
    return out


def short(name: str, s: dict[str, float]) -> str:
    """One line."""
    return (
        f"{name:22s} n {s['steps']:4d} false {s['false %']:5.2f} never {s['never %']:5.2f} "
        f"delay {s['delay median']:5.0f}/{s['delay p95']:4.0f} p {s['p rms']:.3f} "
        f"pair {s['pair rms']:.4f} (raw {s['pair raw rms']:.3f}) >tol {s['pair > tol %']:.2f} "
        f"cover {s['coverage %']:.1f} z {s['z']:.2f} u {s['u median']:.3f} | "
        + " ".join(
            f"{f}: {s.get(f'forecast {f}: error', np.nan):.0f}s {s.get(f'forecast {f}: cover %', np.nan):.0f}% "
            f"w{s.get(f'forecast {f}: width', np.nan):.0f}"
            for f in FRACTIONS
        )
    )


__all__ = ["StepScore", "judge_run", "pair_error", "replace", "score_case", "short", "summary"]
