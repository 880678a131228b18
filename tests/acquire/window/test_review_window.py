"""A reviewer's walk through the window, by keys and clicks on a stored run."""

from __future__ import annotations

import math
import shutil
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from PyQt5.QtWidgets import QApplication

from acquire.commands.review import review_window
from acquire.commands.simulate import simulate
from acquire.runfile.integrity import verify
from acquire.runfile.reader import read_run
from acquire.whereabouts import leave_word
from acquire.window.compare_window import CompareWindow
from acquire.window.review_state import moment_rows, readings_rows
from acquire.window.review_store import FileStore
from acquire.window.what_if_panel import WhatIfPanel
from sim.scenario import load_scenario


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("review") / "run.h5"
    simulate(load_scenario("calm"), 6, path)
    return path


@pytest.mark.slow
def test_a_reviewer_excludes_a_point_with_a_reason_and_the_file_keeps_the_first_result(
    qtbot, stored: Path, tmp_path: Path
) -> None:
    path = tmp_path / "run.h5"
    shutil.copy(stored, path)
    before = read_run(path)
    window = review_window(str(path), "marker")
    qtbot.addWidget(window)
    window.show()
    window.review.advance(math.inf)
    window.decide_more()
    assert window.review.why_not_edit == ""
    assert not window.buttons["aside"].isEnabled()
    window.points.cellClicked.emit(2, 0)
    assert window.selected == 3
    window.buttons["aside"].click()
    assert window.reason.words.text() == "Why is point 3 set aside?"
    window.reason.entry.setText("   ")
    window.reason.entry.returnPressed.emit()
    assert not window.review.changed, "an edit without a reason must not go through"
    window.reason.entry.setText("cell was lifted")
    window.reason.entry.returnPressed.emit()
    assert window.review.changed
    assert not window.review.points[2].used
    assert window.close() is False, "unsaved edits are asked about once"
    window.save()
    assert not window.review.changed
    window.what_if.boxes["room.humidity"].setValue(80.0)
    window.what_if.ask.click()
    assert window.what_if.answer.text().startswith("what if: ")
    assert window.what_if.answer.text().split(": ")[1] != window.what_if.recorded.text().split(": ")[1]
    after = read_run(path)
    assert after.results[0] == before.results[0]
    assert len(after.results) == 2
    assert after.points[2].reason == "cell was lifted"
    assert verify(path).intact
    assert window.close()


def with_reason(window, why: str) -> None:
    window.reason.entry.setText(why)
    window.reason.entry.returnPressed.emit()


@pytest.mark.slow
def test_every_act_of_a_reviewer_changes_what_it_says_and_undo_takes_it_back(
    qtbot, stored: Path, tmp_path: Path
) -> None:
    path = tmp_path / "run.h5"
    shutil.copy(stored, path)
    window = review_window(str(path), "marker")
    qtbot.addWidget(window)
    window.show()
    window.review.advance(math.inf)
    window.decide_more()
    assert not window.strips.follow.isVisible(), "a complete run has nothing to follow"
    assert {name for name, button in window.buttons.items() if button.isEnabled()} == {"take", "report", "figures"}
    before = window.review.points
    point = before[2]

    window.points.cellClicked.emit(2, 0)
    window.buttons["aside"].click()
    with_reason(window, "bumped")
    assert (window.buttons["aside"].isEnabled(), window.buttons["restore"].isEnabled()) == (False, True)
    window.buttons["restore"].click()
    with_reason(window, "it was another one")
    assert window.review.points[2].used
    assert window.review.points[2].temperature == point.temperature

    window.move_cursor(point.start + 1.0)
    window.buttons["split"].click()
    with_reason(window, "too near to its edge")
    assert "cannot be split there" in window.reason.words.text()
    assert len(window.review.points) == len(before)

    middle = math.floor((point.start + point.end) / 2)
    window.move_cursor(middle)
    window.buttons["split"].click()
    with_reason(window, "two plateaus")
    parts = [p for p in window.review.points if p.start >= point.start and p.end <= point.end]
    assert [(p.start, p.end) for p in parts] == [(point.start, middle), (middle, point.end)]
    window.buttons["undo"].click()
    window.buttons["undo"].click()
    assert [(p.start, p.end, p.used) for p in window.review.points if p.used] == [
        (p.start, p.end, p.used) for p in before
    ]
    window.buttons["redo"].click()
    assert window.review.points[2].end == middle
    window.buttons["undo"].click()

    window._window_moved(3, point.start + 2.0, point.end)
    with_reason(window, "the first seconds were still moving")
    assert window.review.points[2].start == point.start + 2.0
    window.show_stretch(point.start - 30.0, point.start - 5.0)
    window.buttons["take"].click()
    with_reason(window, "nobody took this one")
    taken = window.review.points[-1]
    assert point.start - 31.0 <= taken.start < taken.end <= point.start - 4.0
    assert window.points.rowCount() == len(window.review.points)
    window.save()
    assert verify(path).intact
    assert [p.used for p in read_run(path).points] == [p.used for p in window.review.points]
    assert window.close()


def test_what_was_not_measured_is_no_change_of_a_what_if(qtbot) -> None:
    panel = WhatIfPanel({"room": {}, "cell": {"volume": 140e-6}})
    qtbot.addWidget(panel)
    assert panel.boxes["room.humidity"].text() == "not measured"
    with qtbot.waitSignal(panel.asked) as asked:
        panel.ask.click()
    assert "room.humidity" not in asked.args[0].shown
    panel.boxes["room.humidity"].setValue(60.0)
    with qtbot.waitSignal(panel.asked) as asked:
        panel.ask.click()
    assert asked.args[0].shown["room.humidity"] == 60.0


def test_a_stored_trace_is_drawn_in_the_unit_shown() -> None:
    class Readings:
        first_time, last_time = 0.0, 2.0

        def __len__(self):
            return 3

        def stretch(self, start, end, most):
            kelvin = np.array([300.0, 301.0, np.nan])
            return SimpleNamespace(time=np.arange(3.0), minimum=kelvin, maximum=kelvin, rows_per_bucket=1)

    time, value = FileStore(Readings(), 1.0, -273.15).outline(0.0, 2.0, 10)
    assert time.tolist() == [0.0, 1.0]
    assert value == pytest.approx([26.85, 27.85])


@pytest.mark.slow
def test_the_cursor_shows_what_was_known_then(qtbot, stored: Path) -> None:
    window = review_window(str(stored), "marker")
    qtbot.addWidget(window)
    window.review.advance(math.inf)
    window.decide_more()
    window.move_cursor(400.0)
    texts = [value.text() for name, value in window.moment._rows if not name.isHidden()]
    assert texts[0].startswith("6:39")
    window.move_cursor(-50.0)
    assert window.looked_at == 0.0
    window.close()


@pytest.mark.slow
def test_two_runs_lie_over_each_other(qtbot, stored: Path) -> None:
    record = read_run(stored)
    window = CompareWindow([record, record])
    qtbot.addWidget(window)
    window.show()
    assert window.table.rowCount() == 2
    for index in range(window.moment.count()):
        window.moment.setCurrentIndex(index)
        assert len(window.pressure.getPlotItem().items) == 2
    window.close()


def test_the_window_says_where_the_recording_went_on(qtbot, stored: Path, tmp_path: Path) -> None:
    path, there = tmp_path / "run.h5", tmp_path / "spare" / "run.h5"
    shutil.copy(stored, path)
    leave_word(path, there)
    window = review_window(str(path), "marker")
    qtbot.addWidget(window)
    said = f"The recording went on as {there}"
    assert window.reason.words.text() == f"{said}; the run file is made there when the run is closed."
    window.reason.ask("Why?", print)
    window.work.looked.emit()
    assert window.reason.words.text() == "Why?", "a question is not pushed away"
    window.reason.say("")
    there.parent.mkdir()
    shutil.copy(stored, there)
    window.work.looked.emit()
    assert window.reason.words.text() == f"{said}: everything from the beginning is there."
    window.reason.say("Something else.")
    window.work.decided.emit(True)
    assert window.reason.words.text().endswith(f"{said}: everything from the beginning is there.")
    window.close()


@pytest.mark.slow
@pytest.mark.parametrize("decided", [True, False], ids=["decided again", "not yet decided again"])
def test_after_many_moves_the_window_shows_what_a_fresh_look_shows(qtbot, stored: Path, decided: bool) -> None:
    def opened():
        window = review_window(str(stored), "marker")
        qtbot.addWidget(window)
        window.work.stop()
        window.resize(1280, 800)
        window.show()
        qtbot.waitExposed(window)
        if decided:
            window.review.advance(math.inf)
            window.decide_more()
        QApplication.processEvents()
        return window

    moved, fresh = opened(), opened()
    end = moved.review.record.duration
    rng = np.random.default_rng(20_311)
    for place in rng.uniform(0.0, end - 300.0, 25):
        moved.show_stretch(place, place + 300.0)
        for ahead in (10.0, 200.0, 150.5):
            moved.move_cursor(place + ahead)
            QApplication.processEvents()
    for window in (moved, fresh):
        window.show_stretch(500.0, 900.0)
        window.move_cursor(640.0)
        for _ in range(3):
            QApplication.processEvents()

    def seen(window):
        rows = [(name.text(), value.text()) for name, value in window.moment._rows if not name.isHidden()]
        return rows, [line.value() for line in window.lines], window.overview.region.getRegion(), window.looked_at

    assert seen(moved) == seen(fresh)
    known = moved.review.at(640.0)
    rows = moment_rows(known) if decided else readings_rows(moved.review.record, 640.0, 0)
    assert seen(moved)[0] == [(row.name, row.value) for row in rows]
    assert len(rows) > (3 if decided else 2)
    for one, other in zip(moved.strips.strips, fresh.strips.strips, strict=True):
        for drawn, expected in zip(one.curve.data, other.curve.data, strict=True):
            np.testing.assert_array_equal(drawn, expected)
    for name in ("overview", "moment"):
        assert getattr(moved, name).grab().toImage() == getattr(fresh, name).grab().toImage(), name
    # What stands on the screen after the last move, piece by piece, is what painting everything anew gives.
    screen = moved.screen().grabWindow(moved.winId()).toImage()
    moved.strips.view.viewport().update()
    moved.overview.viewport().update()
    QApplication.processEvents()
    again = moved.screen().grabWindow(moved.winId()).toImage()
    assert not screen.isNull()
    assert screen == again
    for window in (moved, fresh):
        window.close()
