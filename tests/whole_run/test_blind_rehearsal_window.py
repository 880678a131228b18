"""A blind rehearsal from its start to the debrief in the bench window, by keyboard, over the recorder process."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PyQt5.QtCore import Qt

from acquire.clocks import real_seconds
from acquire.commands.window_services import MachineServices
from acquire.runfile.integrity import verify
from acquire.runfile.reader import read_run
from acquire.window.bench import BenchWindow
from acquire.window.start_state import StartChoice

KEYS = {"⏎": Qt.Key_Return, "␣": Qt.Key_Space}


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_a_blind_rehearsal_is_run_by_the_keys_shown_and_ends_with_the_debrief(qtbot, tmp_path: Path) -> None:
    path = tmp_path / "blind.h5"
    machine = MachineServices(out=str(path), seed=1)
    opened = machine.open(StartChoice(("sim:blind-1",), "", "", 300.0))
    window = BenchWindow(opened.session, now=real_seconds, finish=opened.finish, open_url=lambda url: None)
    qtbot.addWidget(window, before_close_func=lambda closing: closing.finish_now())
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()

    def step() -> bool:
        window.show_all()
        assert window.snapshot is not None
        if len(window.snapshot.points) < 3:
            for button in window.panels.acts.buttons:
                sign = button.text().rpartition("  ")[2]
                due = button.property("due") == "true"
                if due and not button.isHidden() and button.isEnabled() and sign in KEYS:
                    qtbot.keyClick(window, KEYS[sign])
            return False
        if window.snapshot.stage != "closed":
            # Three points are enough to tell what happened: end the run early, which takes two presses.
            qtbot.keyClick(window, Qt.Key_F, Qt.ControlModifier)
        return window.finished is not None

    qtbot.waitUntil(step, timeout=180_000)  # a busy machine is slow; an idle one takes a tenth of it
    finished = window.finished
    assert finished is not None
    assert finished.trouble == ""
    assert finished.report.endswith("-debrief.html")
    page = Path(finished.report).read_text(encoding="utf-8")
    record = read_run(path)
    assert verify(path).intact
    assert record.truth["debrief"]["mishaps"]
    for mishap in record.truth["debrief"]["mishaps"]:
        assert mishap["words"] in page
    window.close()
