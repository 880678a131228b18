"""What is found in traces, and when a long lag is worth telling."""

from __future__ import annotations

from dataclasses import replace

import pytest

from acquire.rehearsal import plan_of
from acquire.run import Run
from acquire.simulation import simulated_run
from acquire.trace_findings import time_of, trace_findings
from analysis.liquids import load_liquid
from sim.scenario import load_scenario


@pytest.fixture(scope="module")
def run() -> Run:
    scenario = load_scenario("calm")
    simulated = simulated_run(scenario, 7, Run(plan_of(scenario), load_liquid("n-heptane")))
    simulated.until_closed()
    return simulated.session.run


def codes(run: Run, points) -> set[str]:
    found, _ = trace_findings(run.plan, run.liquid, run.blocks, list(run.journal), run.baselines, points)
    return {finding.code for finding in found}


@pytest.mark.slow
def test_a_lag_that_was_corrected_with_a_small_uncertainty_is_no_finding(run: Run) -> None:
    assert "lag-too-long" not in codes(run, run.points)


@pytest.mark.slow
def test_the_same_plateaus_cut_short_and_without_a_known_lag_are_a_finding(run: Run) -> None:
    hasty = [replace(p, u_lag=0.0, start=p.start - 120.0, end=p.end - 120.0) for p in run.points]
    assert "lag-too-long" in codes(run, hasty)
    corrected = [replace(p, u_lag=0.02) for p in hasty]
    assert "lag-too-long" not in codes(run, corrected)


@pytest.mark.slow
def test_nothing_is_looked_for_before_the_charge(run: Run) -> None:
    before = [entry for entry in run.journal if entry.time < time_of(list(run.journal), "charged")]
    assert trace_findings(run.plan, run.liquid, run.blocks, before, run.baselines, run.points) == ((), None)
    assert trace_findings(run.plan, run.liquid, run.blocks, list(run.journal), (), run.points) == ((), None)


@pytest.mark.slow
def test_the_stronger_a_leak_the_surer_it_is_found() -> None:
    # The search holds a leak back until the lags are near; what it did to the readings meanwhile is not their noise.
    scenario = load_scenario("leaky-seal")
    simulated = simulated_run(scenario, 6, Run(plan_of(scenario), load_liquid("n-heptane")))
    simulated.until_closed()
    run = simulated.session.run
    found, verdict = trace_findings(run.plan, run.liquid, run.blocks, list(run.journal), run.baselines, run.points)
    (leak,) = [finding for finding in found if finding.code == "leak"]
    assert leak.facts["time"] == pytest.approx(3 * 3600.0, rel=0.05)
    assert leak.statistic is not None
    assert leak.statistic > 10.0
    assert verdict == leak.statistic
