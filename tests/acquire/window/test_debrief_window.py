"""The debrief on the screen: everything of the page is there, and the keyboard is enough."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PyQt5.QtCore import Qt

from acquire.report.debrief_content import DebriefContent, DebriefTable
from acquire.window.bench import BenchWindow
from acquire.window.debrief_window import DebriefWindow
from acquire.window.looks import Look
from acquire.window.start_state import Finished

ROWS = tuple((f"{n}", f"{20 + n}.0 °C", "+0.02 K") for n in range(1, 41))
CONTENT = DebriefContent(
    title="Debrief: a run", subtitle="blind-1", aims=("see a leak",), lines=("2 points were taken too early.",),
    results=(("true value", "36.59 kJ/mol"),), points=(), mishaps=(),
    tables=(
        DebriefTable("Your points", ("Point", "Bath", "Still to come"), ROWS, "none", "a note"),
        DebriefTable("Mishaps", ("What",), (), "This scenario had none."),
    ),
)  # fmt: skip


@pytest.fixture
def pages():
    return []


@pytest.fixture
def window(qtbot, pages):
    window = DebriefWindow(CONTENT, Look(), lambda: pages.append("page"))
    qtbot.addWidget(window)
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()
    return window


def test_every_sentence_and_cell_is_shown(window):
    told = " ".join(window.texts())
    for text in ("2 points were taken too early.", "36.59 kJ/mol", "40", "60.0 °C", "a note", "see a leak"):
        assert text in told
    assert "This scenario had none." in told


def test_ctrl_q_leaves_the_debrief_and_the_program(qtbot):
    """Whoever presses the key that leaves the bench window means it here too."""
    left = []
    window = DebriefWindow(CONTENT, Look(), lambda: None, lambda: left.append("all"))
    qtbot.addWidget(window)
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()
    qtbot.keyClick(window, Qt.Key_Q, Qt.ControlModifier)
    assert not window.isVisible()
    assert left == ["all"]


def test_it_is_read_and_left_by_keyboard(window, qtbot, pages):
    bar = window.area.verticalScrollBar()
    qtbot.keyClick(window.area, Qt.Key_PageDown)
    assert bar.value() > 0
    qtbot.keyClick(window, Qt.Key_End)
    assert bar.value() == bar.maximum()
    window.page.click()
    assert pages == ["page"]
    qtbot.keyClick(window, Qt.Key_Escape)
    assert not window.isVisible()


def test_nothing_is_wider_than_the_window(window):
    assert window.area.horizontalScrollBar().maximum() == 0


def test_it_opens_when_the_rehearsal_is_closed(qtbot, snap):
    class Closed:
        def snapshot(self):
            return snap(stage="closed")

        def trace(self, channel, since=0):
            return (), ()

        def entries(self, since=0):
            return ()

    bench = BenchWindow(Closed(), now=lambda: 0.0, finish=lambda: Finished("", "run.h5", "page.html", debrief=CONTENT))
    qtbot.addWidget(bench, before_close_func=lambda closing: closing.finish_now())
    with qtbot.waitExposed(bench):
        bench.show()

    def seen() -> bool:
        bench.show_all()
        return bench.debrief is not None

    qtbot.waitUntil(seen)
    qtbot.addWidget(bench.debrief)
    assert bench.debrief.isVisible()
    assert "Debrief: a run" in bench.debrief.texts()


def test_letters_stop_growing_where_a_table_would_be_wider_than_the_window(qtbot):
    wide = DebriefTable("Wide", tuple(f"Donaudampfschifffahrt {n}" for n in range(6)), (("1",) * 6,), "none")
    window = DebriefWindow(replace(CONTENT, tables=(wide,)), Look(text=2.0), lambda: None)
    qtbot.addWidget(window)
    with qtbot.waitExposed(window):
        window.show()
    assert window.width() == 1280
    assert window.area.horizontalScrollBar().maximum() == 0
