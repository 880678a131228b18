"""A fit made again from a run file hears what the traces say of leaks, as the first one did."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from acquire import acts, trace_findings
from acquire.commands.main import main
from acquire.feed import stored_blocks
from acquire.journal import Journal
from acquire.plan import stored_plan
from acquire.pool.readers import summarise
from acquire.pool.settings import PoolSettings
from acquire.review.what_if import WhatIf, answer, recomputed
from acquire.trace_findings import stored_trace_findings
from analysis.findings import Finding
from analysis.findings_trace import TraceReport
from analysis.liquids import load_liquid
from analysis.trace_fit import TraceFit
from tests.acquire.pool.made import write_run
from tests.acquire.review.conftest import run_to_the_end
from tests.analysis.pooling.campaigns import bench_run

LEAK = Finding("leak", "refuse", 9.0, 2.5, "trace", {"time": 40e3})


@pytest.fixture(scope="module")
def record():
    return run_to_the_end()


@pytest.fixture
def heard(monkeypatch):
    """What the traces are asked with, and a report of a fast leak as the answer."""
    asked = []

    def report(time, temperature, pressure, **named):
        asked.append((len(time), named))
        numbers = dict.fromkeys(TraceFit.__slots__, 1.0) | {"leak_rate": 9e-5, "u_leak_rate": 1e-5, "blocks": 100}
        return TraceReport(TraceFit(**numbers), (LEAK,))

    monkeypatch.setattr("analysis.findings_trace.find_in_traces", report)
    return asked


def codes(fit) -> set[str]:
    return {finding.code for finding in fit.findings}


def test_asked_again_a_run_shows_the_findings_it_was_closed_with(record):
    stored = record.results[-1]
    assert {one["code"] for one in stored["findings"]} == codes(answer(record).fit)
    assert answer(record).fit.enthalpy_vap.interval_95 == pytest.approx(stored["enthalpy_vap"]["interval_95"])


def test_a_leak_that_the_traces_show_withholds_the_interval_of_what_if(record, heard):
    found = answer(record)
    assert found.fit.enthalpy_vap.interval_95 is None
    assert "leak" in codes(found.fit)
    assert found.refused
    (count, named) = heard[-1]
    assert count == len(stored_blocks(record.traces))
    assert len(named["windows"]) == sum(point.used for point in record.points)


def test_the_traces_are_asked_under_the_changed_inputs(record, heard):
    answer(record, WhatIf(plan={"cell.volume": 141e-6}, use={2: False}))
    named = heard[-1][1]
    assert named["setup"].cell_volume == 141e-6
    assert len(named["windows"]) == sum(point.used for point in record.points) - 1


def test_blocks_that_are_at_hand_are_used_and_none_leaves_it_to_the_points(record, heard):
    blocks = stored_blocks(record.traces)
    answer(record, blocks=blocks[:600])
    assert heard[-1][0] == 600
    assert "leak" not in codes(answer(record, blocks=()).fit)


def test_a_result_is_known_again_whatever_the_traces_say_now(record, heard):
    assert recomputed(record, record.results[-1]) is not None
    assert heard == []


def test_a_run_too_long_to_be_gone_through_at_once_is_left_to_its_points(record, heard, monkeypatch):
    monkeypatch.setattr(trace_findings, "MOST_READINGS", 100)
    assert stored_trace_findings(record, stored_plan(record.plan), load_liquid("n-heptane"), record.points) == (
        (),
        None,
    )
    assert heard == []


def test_a_run_of_an_archive_is_left_out_where_its_traces_show_a_leak(tmp_path, monkeypatch, heard):
    run = bench_run(np.random.default_rng(3), {}, run="r1", bench="bench 7")
    file = str(write_run(tmp_path / "r1.h5", run))
    assert summarise(file, PoolSettings()).used  # never charged, so there are no traces to speak of
    journal = Journal()
    for time, name in ((1.0, acts.VALVE_CLOSED), (2.0, acts.CHARGED)):
        journal.append(time=time, block=0, kind="act", actor="person", given=True, text=name, data={"act": name})
    read = trace_findings.stored_trace_findings

    def charged(record, *others):
        return read(replace(record, journal=tuple(journal)), *others)

    monkeypatch.setattr("acquire.pool.readers.stored_trace_findings", charged)
    summary = summarise(file, PoolSettings())
    assert not summary.used
    assert "leak" in summary.findings


def test_the_command_fits_a_run_file_with_what_its_traces_show(tmp_path, monkeypatch, capsys):
    run = bench_run(np.random.default_rng(3), {}, run="r1", bench="bench 7")
    file = str(write_run(tmp_path / "r1.h5", run))
    monkeypatch.setattr("acquire.trace_findings.stored_trace_findings", lambda *asked: ((LEAK,), 9.0))
    assert main(["fit", file, "--json"]) == 0
    fit = json.loads(capsys.readouterr().out)
    assert fit["enthalpy_vap"]["interval_95"] is None
    assert "leak" in {one["code"] for one in fit["findings"]}
