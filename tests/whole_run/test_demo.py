"""`satline demo` as a newcomer runs it: a real pseudo-terminal, files left behind, exit status 0."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from acquire.runfile.reader import read_run
from drivers.readings import UNUSABLE


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_the_demo_leaves_a_run_file_and_a_report(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "acquire.commands.main", "demo", "--no-window", "--out", str(tmp_path)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "ΔvapH(298.15 K)" in done.stdout
    record = read_run(tmp_path / "demo-run.h5")
    used = [p for p in record.points if p.used]
    assert len([p for p in used if p.branch != "return"]) >= 5
    assert [p.branch for p in used].count("return") == 1
    low, high = record.results[-1]["enthalpy_vap"]["at_298_15"]["interval_95"]
    assert low < 36_570.0 < high  # CRC Handbook table, as shipped in `chemicals`
    trace = record.traces["temperature"]
    assert not (trace.quality & UNUSABLE).any()
    assert (np.diff(trace.time) >= 0).all()
    # The driver counts by the device's own clock: a lost line is a gap, a spoilt one is rejected, and both are told.
    told = {entry.data["event"] for entry in record.journal if entry.kind == "device"}
    assert told == {"opened", "closed"}
    report = (tmp_path / "demo-run.html").read_text(encoding="utf-8")
    assert "<svg" in report
    assert "http-equiv" not in report
