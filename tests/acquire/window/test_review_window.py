"""A reviewer's walk through the window, by keys and clicks on a stored run."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import pytest

from acquire.commands.review import review_window
from acquire.commands.simulate import simulate
from acquire.runfile.integrity import verify
from acquire.runfile.reader import read_run
from acquire.whereabouts import leave_word
from acquire.window.compare_window import CompareWindow
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
