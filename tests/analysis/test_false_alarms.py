"""How often healthy runs are accused, against what each finding claims; and that slow leaks are found.

Small seeded versions of `tests/benchmarks/findings_static`, `leak_power` and `dynamic_runs`.  A count may lie as far
above the claimed rate as one healthy program in a thousand would have it (binomial).
"""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from scipy.stats import binom, chi2

from analysis.enthalpy import fit_enthalpy
from analysis.findings_points import Z_TRACE_LEAK
from analysis.findings_trace import TRACE_ALARM, _not_conditioned
from analysis.trace_fit import fit_trace
from sim.study import random_runs
from tests.benchmarks import dynamic_runs as dynamic
from tests.benchmarks.coverage import SENSORS, SETUP
from tests.benchmarks.findings_static import UP
from tests.benchmarks.leak_power import DESIGNS, leaking
from tests.benchmarks.static_bench import run_of

SURE = 0.999
ALL_TOGETHER = 0.05


def most(runs: int, rate: float) -> int:
    """The count that a true rate passes in one of a thousand tries."""
    return int(binom.ppf(SURE, runs, rate))


@pytest.fixture(scope="module")
def at_rest() -> tuple[int, Counter[str], dict[str, float]]:
    """Healthy benches at rest: their number, runs with each finding above a note, and the rates the findings claim."""
    rng = np.random.default_rng(20261128)
    found: Counter[str] = Counter()
    claimed: dict[str, float] = {}
    count = 120
    for k in range(count):
        base, points, liquid, _ = run_of(("ethanol", "n-heptane", "acetone")[k % 3], UP, SETUP, SENSORS, rng)
        fit = fit_enthalpy(points, baseline=base, setup=SETUP, sensors=SENSORS, liquid=liquid)
        alarms = {f.code: f.false_alarm for f in fit.findings if f.severity != "note"}
        found.update(alarms)
        found["any"] += bool(alarms)
        claimed |= {code: rate for code, rate in alarms.items() if rate is not None}
    return count, found, claimed


def test_points_of_healthy_benches_are_accused_as_seldom_as_each_finding_claims(at_rest):
    count, found, claimed = at_rest
    assert set(found) - {"any"} == set(claimed), "an alarm without a claimed rate"
    for code, rate in claimed.items():
        assert found[code] <= most(count, rate), f"{code}: {found[code]} of {count}, claimed {rate}"


def test_all_findings_of_the_points_together_accuse_a_healthy_bench_in_at_most_one_of_twenty(at_rest):
    count, found, _ = at_rest
    assert found["any"] <= most(count, ALL_TOGETHER)


def _autocorrelated(rng: np.random.Generator, count: int, memory: float) -> np.ndarray:
    """Unit normal noise whose neighbours share exp(-1/memory)."""
    kept = np.exp(-1 / memory)
    noise = rng.standard_normal(count)
    for k in range(1, count):
        noise[k] = kept * noise[k - 1] + np.sqrt(1 - kept**2) * noise[k]
    return noise


def test_a_dry_cell_at_rest_is_called_unconditioned_as_seldom_as_claimed(monkeypatch):
    monkeypatch.setattr("analysis.findings_trace.CELL_NOT_WORTH", 0.0)  # what is left out as harmless counts here too
    rng = np.random.default_rng(5)
    runs, hits, claimed = 250, 0, 0.0
    t = np.arange(60.0)
    for _ in range(runs):
        white_p, white_t = rng.uniform(5.0, 40.0), rng.uniform(0.003, 0.015)
        p = 100e3 + 6.0 * _autocorrelated(rng, 60, 20.0) + white_p * rng.standard_normal(60)
        x = 295.0 + 0.004 * _autocorrelated(rng, 60, 20.0) + white_t * rng.standard_normal(60)
        found = _not_conditioned(t, np.round(x, 2), 10 * np.round(p / 10), (2.0, 58.0))
        hits += len(found)
        claimed = max([claimed, *(f.false_alarm or 0.0 for f in found)])
    assert 0 < claimed < 0.02
    assert hits <= most(runs, claimed)


def test_a_dry_cell_may_move_as_little_as_is_of_no_account():
    rng, t = np.random.default_rng(6), np.arange(60.0)
    x = 295.0 + 0.002 * rng.standard_normal(60)
    found = [
        _not_conditioned(t, x, 100e3 - rate / 60 * 100e3 / 295 * t + rng.standard_normal(60), (2.0, 58.0))
        for rate in (0.15, 0.3)  # [K/min], both far beyond the noise
    ]
    assert [len(one) for one in found] == [0, 1]


def rates(hours: float, count: int, design: str) -> np.ndarray:
    """Leak rate over its standard uncertainty of simulated ethanol runs with plateaus of six minutes."""
    rng = np.random.default_rng([11, int(hours)])
    with leaking(hours):
        runs = random_runs(count, rng, liquid="ethanol", hold=360, **DESIGNS[design])
    found = []
    for k in range(count):
        s = dynamic.start_of(runs, k)
        trace = fit_trace(
            s.t, s.x, s.p, baseline=s.baseline, setup=dynamic.setup_of(runs, k, rng, 0.0),
            liquid=dynamic.told_liquid("ethanol", rng), charged=runs.charge_at, sensors=dynamic.SENSORS,
        )  # fmt: skip
        found.append(trace.leak_rate / trace.u_leak_rate)
    return np.array(found)


@pytest.mark.parametrize(("design", "hours", "least"), [("one return", 60, 0.85), ("four down", 100, 0.90)])
def test_a_slow_leak_is_found_and_a_tight_cell_is_not_accused(design, hours, least):
    count = 8
    tight = rates(0, count, design)
    assert (tight > Z_TRACE_LEAK).sum() <= most(count, TRACE_ALARM)
    assert (tight**2).sum() <= chi2.ppf(SURE, count), "the stated uncertainty of the rate is too small"
    leaks = rates(hours, count, design)
    assert (leaks > Z_TRACE_LEAK).sum() >= binom.ppf(1 - SURE, count, least)
