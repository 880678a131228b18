"""Rehearsals: the truth stays hidden until the end, and the debrief tells it."""

from __future__ import annotations

import os
import select
import signal
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from acquire import acts
from acquire.acts import Act
from acquire.debrief import make_debrief, noticed
from acquire.journal import Entry
from acquire.rehearsal import plan_of
from acquire.report.debrief_content import NoDebriefError, debrief_content
from acquire.report.debrief_page import debrief_html
from acquire.run import Run
from acquire.runfile.reader import read_run
from acquire.simulation import simulated_run
from analysis.liquids import load_liquid
from sim.scenario import load_scenario

HEADER = {
    "plan_text": "", "profile_texts": {}, "devices": {}, "start_time": "2026-01-01T10:00:00+00:00", "end_time": "",
    "program": "",
}  # fmt: skip


@pytest.mark.slow
def test_the_debrief_holds_points_mishaps_and_reactions_against_the_truth() -> None:
    scenario, liquid = load_scenario("leaky-seal"), load_liquid("n-heptane")
    run = Run(plan_of(scenario), liquid)
    simulated = simulated_run(scenario, 3, run)
    simulated.until_closed()
    record = simulated.session.record(HEADER)
    data = make_debrief(record, run, simulated.bench, liquid)
    assert len(data["points"]) == len([p for p in run.points if p.used])
    (leak,) = data["mishaps"]
    assert leak["visible_from"] > leak["began"]
    assert leak["person"] is None, "the simulated operator wrote nothing"
    assert data["program"]["result"] == data["result"], "every point was the program's own"
    content = debrief_content(replace(record, truth={"debrief": data}))
    assert content.mishaps[0].person == "—"
    assert "nobody wrote or did anything" in " ".join(content.lines)
    assert "A rehearsal on a simulated bench" in debrief_html(replace(record, truth={"debrief": data}))


@pytest.mark.slow
def test_a_note_of_the_trainee_counts_as_the_first_reaction() -> None:
    scenario, liquid = load_scenario("leaky-seal"), load_liquid("n-heptane")
    run = Run(plan_of(scenario), liquid)
    simulated = simulated_run(scenario, 3, run)
    while not run.points:
        simulated.advance(1.0)
    run.act(Act(acts.NOTE, data={"text": "it leaks"}))
    run.act(Act(acts.FINISH))
    data = make_debrief(simulated.session.record(HEADER), run, simulated.bench, liquid)
    assert data["mishaps"][0]["person"]["text"] == "it leaks"


def test_a_real_run_has_no_debrief() -> None:
    simulated = simulated_run(load_scenario("calm"), 1, Run(plan_of(load_scenario("calm")), None))
    simulated.advance(5.0)
    with pytest.raises(NoDebriefError, match="has no truth to be held against"):
        debrief_content(simulated.session.record(HEADER))


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_a_blind_rehearsal_in_the_terminal_ends_with_a_debrief(tmp_path: Path) -> None:
    out = tmp_path / "rehearsal.h5"
    command = [
        sys.executable, "-m", "acquire.commands.main", "rehearse", "blind-1", "--no-window", "--speed", "200",
        "--out", str(out),
    ]  # fmt: skip
    child, terminal = os.forkpty()
    if child == 0:
        os.environ["TERM"] = "xterm"
        os.execv(command[0], command)
    said = b""
    keys = [(b"keys:", b"b"), (b"room baseline", b"n"), (b"type the text", b"wet glass\nF")]
    try:
        while True:
            ready, _, _ = select.select([terminal], [], [], 30.0)
            assert ready, said[-2000:]
            assert len(said) < 500_000, said[-2000:]  # the picture is redrawn for ever when a key was not understood
            try:
                data = os.read(terminal, 65536)
            except OSError:  # the child closed its end
                break
            said += data
            if keys and keys[0][0] in said:
                os.write(terminal, keys.pop(0)[1])
    except AssertionError:
        os.kill(child, signal.SIGKILL)
        raise
    finally:
        _, status = os.waitpid(child, 0)
        os.close(terminal)
    assert os.waitstatus_to_exitcode(status) == 0, said[-2000:]
    record = read_run(out)
    assert record.truth["debrief"]["truth"]["scenario"] == "blind-1"
    assert any(e.data.get("text", "").endswith("wet glass") for e in record.journal)
    page = (tmp_path / "rehearsal-debrief.html").read_text(encoding="utf-8")
    assert "Debrief" in page


def test_what_every_run_says_is_no_sign_of_a_mishap() -> None:
    def entry(kind: str, **data: str) -> Entry:
        return Entry(1, 50.0, 50, kind, "program", False, kind, data)

    plain = (
        entry("withdrawn", why="the bath was changed"),
        entry("caution", code="near pressure limit"),
        entry("device", event="opened"),
    )
    assert noticed(10.0, plain, "leak")["program"] is None
    assert noticed(10.0, plain, "noisy_line")["program"] is None
    cell = (entry("withdrawn", why="the pressure moves"), entry("caution", code="sudden drop"))
    line = entry("device", event="rejected")
    for sign in cell:
        assert noticed(10.0, (*plain, sign), "leak")["program"]["time"] == 50.0
        assert noticed(10.0, (*plain, sign), "noisy_line")["program"] is None, "the cell says nothing of the line"
    assert noticed(10.0, (*plain, line), "noisy_line")["program"] == {
        "time": 50.0,
        "text": "device",
        "event": "rejected",
    }
    assert noticed(10.0, (*plain, line), "leak")["program"] is None, "the line says nothing of the cell"
    assert noticed(None, plain, "leak") == {"person": None, "program": None}
