"""The review windows stay within a small screen, whatever is done and said, in every language and theme."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import pytest
from PyQt5.QtWidgets import QApplication

from acquire.commands.fit import points_window
from acquire.commands.review import review_window
from acquire.commands.simulate import simulate
from acquire.runfile.reader import read_run
from acquire.window.compare_window import CompareWindow
from acquire.window.language import available_languages, load_language, use_language
from acquire.window.looks import Look
from acquire.window.review_findings_state import FindingLine
from acquire.window.review_state import Row
from acquire.window.themes import THEMES
from sim.scenario import load_scenario

pytestmark = [pytest.mark.slow, pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")]

WIDTH, HEIGHT = 1228, 768  # a screen of 1280 x 800 that says it has 100 dots per inch, in the pixels that Qt counts
LONG = "a sentence as long as the longest that a finding, a gate or a refusal has, and a good part longer " * 4
UNBROKEN = "n" * 300  # a name that has no place to break at


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("room") / "run.h5"
    simulate(load_scenario("calm"), 6, path)
    return path


def fits(window, after: str = "opening") -> None:
    QApplication.processEvents()
    least = window.minimumSizeHint()
    assert (least.width() <= WIDTH, least.height() <= HEIGHT) == (True, True), (after, least)
    assert (window.width(), window.height()) == (WIDTH, HEIGHT)


def acts(window):
    """Everything that a person can do there, and the longest that the window can say."""
    for index in range(window.tabs.count()):
        yield f"tab {index}", lambda index=index: window.tabs.setCurrentIndex(index)
    for index in range(len(window._findings)):
        yield f"finding {index}", lambda index=index: window.show_finding(index)
    yield "point", lambda: window.points.cellClicked.emit(2, 0)
    yield "ask", window.set_aside
    yield "say", lambda: window.reason.say(LONG)
    yield "say a name", lambda: window.reason.say(UNBROKEN)
    yield "split", window.split
    yield "take", window.take
    yield "moment", lambda: window.moment.show_rows([Row(LONG[:60], LONG)] * 8)
    line = FindingLine(
        "▲ " + LONG[:20], LONG, LONG, "points 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 · 1:03:07 to 1:41:59", None
    )
    yield "findings", lambda: window.findings.show_lines([line] * 6, "")
    yield "what if", lambda: window.what_if.show_answers(LONG, LONG)
    yield "badge", lambda: window.badge.setText("damaged: " + LONG)
    yield "result", lambda: window.tabs.setCurrentIndex(2)


@pytest.fixture(params=available_languages())
def _spoken(request):
    use_language(load_language(request.param))
    yield
    use_language(load_language("en"))


@pytest.mark.usefixtures("_spoken")
@pytest.mark.parametrize("theme", list(THEMES))
def test_the_review_window_never_outgrows_a_small_screen(qtbot, stored: Path, tmp_path: Path, theme: str) -> None:
    path = tmp_path / "run.h5"
    shutil.copy(stored, path)
    window = review_window(str(path), "marker", Look(THEMES[theme]))
    qtbot.addWidget(window)
    window.resize(WIDTH, HEIGHT)
    window.show()
    window.review.advance(math.inf)
    window.decide_more()
    fits(window)
    for name, act in acts(window):
        act()
        fits(window, name)
    window.close()


@pytest.mark.usefixtures("_spoken")
@pytest.mark.parametrize("theme", list(THEMES))
def test_the_windows_to_compare_and_to_type_points_never_outgrow_it(qtbot, stored: Path, theme: str) -> None:
    record = read_run(stored)
    for window in (CompareWindow([record, record], Look(THEMES[theme])), points_window()):
        qtbot.addWidget(window)
        window.resize(WIDTH, HEIGHT)
        window.show()
        fits(window)
        window.close()
