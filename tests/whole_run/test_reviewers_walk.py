"""A reviewer's walk through the window on a virtual display, every step by the mouse and the keys of the X server.

The window tells what it shows as lines of JSON; the test waits for those lines, never for a time.  Places are told in
pixels of the screen: the virtual one says it has 100 dots per inch, so Qt counts 4 % fewer than it has.
"""

from __future__ import annotations

import json
import os
import queue
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from acquire.commands.simulate import simulate
from acquire.runfile.integrity import verify
from acquire.runfile.reader import read_run
from sim.scenario import load_scenario

PATIENCE = 120.0  # [s] until a line must have come; a busy machine is slow
MISSING = [name for name in ("Xvfb", "xdotool") if shutil.which(name) is None]

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(bool(MISSING), reason=f"{', '.join(MISSING)} not installed: there is no display to walk on"),
]

#: Opens the window as `satline review` does, and says what can be clicked where.
CHILD = """
import json, sys
from PyQt5.QtCore import QPoint, QTimer
from acquire.window.application import make_application
application = make_application(["satline"])
from acquire.commands.review import review_window
window = review_window(sys.argv[1], "marker")
opened = []
window._open_url = lambda url: opened.append(url.toLocalFile())
screen = application.primaryScreen()
window.setGeometry(screen.availableGeometry())
window.show()
last = ""

def on_screen(place):
    return [round(place.x() * screen.devicePixelRatio()), round(place.y() * screen.devicePixelRatio())]

def middle(widget):
    return on_screen(widget.mapToGlobal(QPoint(widget.width() // 2, widget.height() // 2)))

def tell():
    global last
    places = {name: middle(button) for name, button in window.buttons.items()}
    bar = window.tabs.tabBar()
    for index in range(window.tabs.count()):
        name = "tab " + window.tabs.tabText(index).split(" (")[0]
        places[name] = on_screen(bar.mapToGlobal(bar.tabRect(index).center()))
    for index, card in enumerate(window.findings.cards):
        if card.show_place.isVisible():
            places["finding %d" % index] = middle(card.show_place)
    if window.points.isVisible():
        for row in range(window.points.rowCount()):
            rect = window.points.visualItemRect(window.points.item(row, 0))
            places["point %d" % (row + 1)] = on_screen(window.points.viewport().mapToGlobal(rect.center()))
    if window.what_if.isVisible():
        places["humidity"] = middle(window.what_if.boxes["room.humidity"].lineEdit())
        places["ask"] = middle(window.what_if.ask)
    if window.reason.entry.isVisible():
        places["reason"] = middle(window.reason.entry)
    state = {
        "places": places, "complete": window.review.history.complete, "tab": window.tabs.tabText(
        window.tabs.currentIndex()).split(" (")[0], "marked": window.mark.stretch, "selected": window.selected,
        "changed": window.review.changed, "asked": window.reason.words.text(), "typed": window.reason.entry.text(),
        "answer": window.what_if.answer.text(), "recorded": window.what_if.recorded.text(), "opened": opened,
        "findings": [line.text for line in window._findings], "window": int(window.winId()),
        "humidity": window.what_if.boxes["room.humidity"].value(), "active": window.isActiveWindow(),
        "asking": window.reason.entry.isVisible(),
        "size": on_screen(QPoint(window.width(), window.height())),
    }
    line = json.dumps(state)
    if line != last:
        last = line
        print(line, flush=True)

timer = QTimer()
timer.timeout.connect(tell)
timer.start(30)
application.exec_()
"""


class Walk:
    """The window in a process of its own, and hands on its mouse and keyboard."""

    def __init__(self, path: Path, display: str, home: Path) -> None:
        environment = {**os.environ, "DISPLAY": display, "QT_QPA_PLATFORM": "xcb", "LANG": "C.UTF-8"}
        self._environment = environment
        self._errors = (home / "errors.txt").open("w+", encoding="utf-8")
        self._child = subprocess.Popen(
            [sys.executable, "-c", CHILD, str(path)], env=environment, stdout=subprocess.PIPE, stderr=self._errors,
            text=True,
        )  # fmt: skip
        self._lines: queue.Queue[str | None] = queue.Queue()
        self._reader = threading.Thread(target=self._read, name="lines of the window")
        self._reader.start()
        self.state: dict[str, Any] = {}

    def _read(self) -> None:
        assert self._child.stdout is not None
        for line in self._child.stdout:
            self._lines.put(line)
        self._lines.put(None)

    def until(self, seen: Callable[[dict[str, Any]], Any]) -> dict[str, Any]:
        """Wait until the window shows this."""
        while not (self.state and seen(self.state)):
            line = self._lines.get(timeout=PATIENCE)
            if line is None:
                self._errors.seek(0)
                pytest.fail(f"the window ended: {self._errors.read()}")
            self.state = json.loads(line)
        return self.state

    def xdotool(self, *words: str) -> None:
        subprocess.run(["xdotool", *words], env=self._environment, check=True, timeout=PATIENCE)

    def click(self, what: str) -> None:
        x, y = self.until(lambda state: what in state["places"])["places"][what]
        self.xdotool("mousemove", "--sync", str(x), str(y), "click", "1")

    def keys(self, *keys: str) -> None:
        self.xdotool("key", "--clearmodifiers", *keys)

    def write(self, words: str) -> None:
        self.xdotool("type", "--delay", "5", words)

    def end(self) -> None:
        self._child.terminate()
        self._child.wait(PATIENCE)
        self._reader.join(PATIENCE)
        assert self._child.stdout is not None
        self._child.stdout.close()
        self._errors.close()


@pytest.fixture
def display() -> Iterator[str]:
    """A virtual display of its own, under a number that is free."""
    read, write = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", "1280x800x24", "-nolisten", "tcp"], pass_fds=(write,),
        stderr=subprocess.DEVNULL,
    )  # fmt: skip
    os.close(write)
    with os.fdopen(read) as numbers:
        number = numbers.readline().strip()
    if not number:
        server.wait(PATIENCE)
        pytest.skip("Xvfb could not start here")
    yield f":{number}"
    server.terminate()
    server.wait(PATIENCE)


def test_a_reviewer_finds_the_leak_leaves_a_point_out_asks_what_if_and_writes_the_report(
    tmp_path: Path, display: str
) -> None:
    path = tmp_path / "run.h5"
    simulate(load_scenario("leaky-seal"), 6, path)
    before = read_run(path)
    walk = Walk(path, display, tmp_path)
    try:
        walk.until(lambda state: state["complete"])
        walk.xdotool("windowfocus", "--sync", str(walk.state["window"]))
        walk.until(lambda state: state["active"])

        walk.click("tab Findings")
        walk.until(lambda state: state["tab"] == "Findings")
        assert walk.state["findings"][0].startswith("The cell loses gas")
        walk.click("finding 0")
        start, end = walk.until(lambda state: state["marked"])["marked"]
        charged = next(e.time for e in before.journal if e.data.get("act") == "charged")
        assert start == pytest.approx(charged)
        assert end > max(point.start for point in before.points)

        walk.click("tab Points")
        walk.click("point 3")
        walk.until(lambda state: state["selected"] == 3)
        walk.click("aside")
        walk.until(lambda state: state["asking"])
        assert walk.state["asked"] == "Why is point 3 set aside?"
        walk.write("gas was lost before it")
        walk.until(lambda state: state["typed"] == "gas was lost before it")
        walk.keys("Return")
        walk.until(lambda state: state["changed"])

        walk.click("tab What if")
        walk.until(lambda state: "ask" in state["places"])
        walk.click("humidity")
        walk.keys("ctrl+a")
        walk.write("80")
        walk.keys("Tab")
        walk.until(lambda state: state["humidity"] == 80.0)
        walk.click("ask")
        walk.until(lambda state: state["answer"])
        assert walk.state["answer"].removeprefix("what if") != walk.state["recorded"].removeprefix("recorded")

        walk.keys("ctrl+s")
        walk.until(lambda state: not state["changed"])
        walk.keys("ctrl+r")
        (page,) = walk.until(lambda state: state["opened"])["opened"]
        assert walk.state["size"] == [1280, 800], "the window must stay on the screen"
    finally:
        walk.end()

    after = read_run(path)
    assert after.results[0] == before.results[0], "the first result must still be there"
    assert len(after.results) == 2
    assert after.points[2].reason == "gas was lost before it"
    assert not after.points[2].used
    assert verify(path).intact
    assert "gas was lost before it" in Path(page).read_text(encoding="utf-8")
