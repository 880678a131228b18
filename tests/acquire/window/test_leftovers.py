"""No text of the window stays behind when its language changes: each is looked for on the widgets themselves.

In a language made for this test every letter that comes out of `tr` is marked; what is seen without the mark was never
handed to `tr`.  A translation being complete is for `test_language`.
"""

from __future__ import annotations

import dataclasses
import re
import string

import pyqtgraph as pg
import pytest
from PyQt5.QtWidgets import (
    QAbstractButton,
    QAction,
    QApplication,
    QComboBox,
    QDoubleSpinBox,
    QLabel,
    QLineEdit,
    QListWidget,
    QMenu,
    QWidget,
)

from acquire.acts import BEGIN, CHARGED, COOLED, NOTE, VALVE_CLOSED, VALVE_OPENED, VENTED, WARMED, Act
from acquire.commands.window_services import MachineServices
from acquire.journal import Entry
from acquire.record import Baseline
from acquire.run import ActRefused
from acquire.snapshot import CautionView, Instruction, ProposalView
from acquire.window.bench import BenchWindow
from acquire.window.borrowed import GATES, WHY_NOT
from acquire.window.crash import CrashWindow, headline
from acquire.window.gather_words import all_texts
from acquire.window.language import Language, load_language, use_language
from acquire.window.looks import Look
from acquire.window.next_act import ANSWER
from acquire.window.parts import FittedText
from acquire.window.start import StartPage
from acquire.window.start_state import Finished, StartRefused
from tests.acquire.window.test_bench_looks import OneMoment, busy

pytestmark = [pytest.mark.slow, pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")]

#: What is the same in every language: units, symbols of quantities, keys, and what the test itself made up.
SAME = {
    "satline", "kPa", "mL", "min", "kJ", "mol", "Hz", "GB", "ln", "vap", "dZ", "deg", "TOML", "English", "Deutsch",
    "Ctrl", "Shift", "Space", "Backspace", "Return", "Enter", "PgDown", "Esc", "Home", "Left", "Right", "Up", "Down",
    "Alt", "PROFILE", "PORT", "sub", "out",
}  # fmt: skip
MARK = "\u0332"  # a line under the letter before it


def marked(text: str) -> str:
    """Every letter outside the places to fill in with a mark after it."""
    parts = []
    for literal, name, _, _ in string.Formatter().parse(text):
        parts.append(re.sub(r"(?<!&)(\w)", rf"\1{MARK}", literal.replace("{", "{{").replace("}", "}}")))
        if name is not None:
            parts.append("{" + name + "}")
    return "".join(parts)


def left_over(text: str) -> list[str]:
    """Words of a text that carry no mark."""
    text = re.sub(r"“[^”]*”", " ", re.sub(r"<[^>]*>", " ", text))  # what is quoted is quoted word for word
    plain = re.sub(rf"[^\W_]{MARK}", "", text)
    words = re.findall(r"[^\W\d_]{2,}", plain)
    return [word for word in words if word not in SAME]


def seen_texts(window: QWidget) -> set[str]:
    """All that a window says: to the eye, on its menus, to a screen reader."""
    texts = {window.windowTitle()}
    for widget in (window, *window.findChildren(QWidget)):
        texts |= {widget.toolTip(), widget.accessibleName(), widget.accessibleDescription()}
        if isinstance(widget, QLabel | QAbstractButton | FittedText | QLineEdit):
            texts.add(widget.text())
        if isinstance(widget, QLineEdit):
            texts.add(widget.placeholderText())
        if isinstance(widget, QDoubleSpinBox):
            texts.add(widget.suffix())
        if isinstance(widget, QMenu):
            texts.add(widget.title())
        if isinstance(widget, QComboBox):
            texts |= {widget.itemText(row) for row in range(widget.count())}
        if isinstance(widget, QListWidget):
            texts |= {widget.item(row).text() for row in range(widget.count())}
        if isinstance(widget, pg.GraphicsView):
            for item in widget.scene().items():
                for name in ("toPlainText", "text"):
                    said = getattr(item, name, None)
                    if callable(said):
                        texts.add(str(said()))
                if isinstance(item, pg.LabelItem):
                    texts.add(item.text)
    # The drawing library has an action of its own, for a menu that is never shown.
    ours = (action for action in window.findChildren(QAction) if not isinstance(action.parent(), pg.GraphicsScene))
    return texts | {action.text() for action in ours}


def leftovers(window: QWidget, given: tuple[str, ...] = ()) -> set[str]:
    """Texts with a word that was not translated; `given` is data, which is shown as it is."""
    found = set()
    for text in seen_texts(window):
        bare = text
        for data in sorted(given, key=len, reverse=True):
            bare = bare.replace(data, "")
        if left_over(bare):
            found.add(text)
    return found


@pytest.fixture
def _marked_words():
    words = {text: marked(text) for text in all_texts()}
    use_language(Language("de", ",", words))


class Refusing(OneMoment):
    """A recorder that refuses every act for the next of all reasons."""

    def __init__(self, snapshot):
        super().__init__(snapshot)
        self.why = list(WHY_NOT)

    def entries(self, since=0):
        return tuple(entry for entry in self.shown.journal_tail if entry.number >= since)

    def act(self, act):
        raise ActRefused(act.name, "plateaus", ("note",), self.why[0])


DATA = ("n-Heptane, bench 7", "bench7-run04", ".h5", "/folder/", "device", "bubble", "seen by eye")


@pytest.fixture
def bench(qtbot, snap, _marked_words):
    window = BenchWindow(Refusing(full(snap)), now=lambda: 0.0, finish=Finished)
    qtbot.addWidget(window, before_close_func=lambda one: one.finish_now())
    qtbot.addWidget(window.big)
    window.resize(1920, 1080)
    with qtbot.waitExposed(window):
        window.show()
    window.load_plots()
    window.big.show()
    return window


def full(snap):
    """A busy moment without findings: their words are chosen elsewhere."""
    at_work = busy(snap)
    return dataclasses.replace(at_work, result={**at_work.result, "findings": []})


def moments(snap):
    """Snapshots that between them have everything the window can say."""
    at_work = full(snap)
    yield at_work
    for kind in (*ANSWER, "wait", "none"):
        yield dataclasses.replace(
            at_work, cautions=(), instruction=Instruction(kind, 310.15, None, None, 40e-6, 70.0, 90e3)
        )
    for stage in ("set-up", "room baseline", "soak", "leak check", "sealed baseline", "charge", "return", "vent"):
        room = (Baseline("room", 294.0, 101e3, 0.01, 10.0, 10.0, 60.0), Baseline("sealed", 294.0, 101e3, 0.01, 10.0,
                10.0, 60.0))  # fmt: skip
        yield dataclasses.replace(at_work, cautions=(), stage=stage, baselines=room, proposal=None)
        yield dataclasses.replace(at_work, stage=stage, proposal=ProposalView(True, 900.0, 960.0, 309.7, 116e3, 7))
    for code in GATES:
        yield dataclasses.replace(
            at_work, cautions=(), proposal=None, gates=((code, "the English words of the judge"),),
            instruction=Instruction("wait", seconds_left=20.0),
        )  # fmt: skip
    for code in ("near temperature limit", "over temperature", "near pressure limit", "over pressure",
                 "target over pressure", "sudden drop", "small charge", "boiling near", "under pressure"):  # fmt: skip
        yield dataclasses.replace(at_work, cautions=(CautionView(code, "caution", 1.0, {}),))
    yield dataclasses.replace(at_work, result=None, points=at_work.points[:2])
    yield dataclasses.replace(at_work, result=None, refused="2 points; expected at least 3")
    yield dataclasses.replace(at_work, tolerance_reason="the pressure readings scatter", devices=(
        ("device", "lost", ""), ("device", "opening", "")))  # fmt: skip
    silent = {name: dataclasses.replace(view, silent=20.0) for name, view in at_work.channels.items()}
    yield dataclasses.replace(at_work, channels=silent)
    for state in ("level", "easing", "moving", "unknown"):
        views = {name: dataclasses.replace(view, state=state) for name, view in at_work.channels.items()}
        yield dataclasses.replace(at_work, cautions=(), channels=views)
    acts = (BEGIN, VALVE_CLOSED, VALVE_OPENED, CHARGED, WARMED, COOLED, VENTED)
    tail = tuple(Entry(10 + n, 9.0, 9, "act", "person", True, act, {"act": act}) for n, act in enumerate(acts))
    tail += (Entry(30, 9.0, 9, "act", "person", True, "", {"act": NOTE, "text": "seen by eye"}),)
    tail += (Entry(31, 9.0, 9, "device", "device", True, "", {"event": "lost"}),)
    yield dataclasses.replace(at_work, journal_tail=tail)
    yield dataclasses.replace(at_work, stage="closed", possible_acts=(), proposal=None, speed=60.0)


def test_the_mark_finds_what_was_not_translated():
    assert left_over(marked("Point {0} forming").format("seven kPa")) == ["seven"]
    assert left_over("36,6 ± 1,4 kJ/mol") == []


def test_the_bench_has_no_text_of_another_language(bench, snap):
    found = set()
    session = bench.link.session
    for moment in moments(snap):
        session.shown = moment
        bench.link._latest = None
        bench.show_all()
        bench.big.show_snapshot(moment)
        QApplication.processEvents()
        found |= leftovers(bench, DATA) | leftovers(bench.big, DATA)
    assert found == set()


def test_nothing_said_or_asked_is_in_another_language(bench):
    found = set()
    session = bench.link.session
    bench.show_all()
    told = [lambda name=name: bench.do(name) for name in bench.keys.acts]
    told += [bench.open_report, bench.answer, bench.close, lambda: bench.do("cautions"), lambda: bench.do("details")]
    for tell in told:
        bench.panels.message.clear()
        tell()
        QApplication.processEvents()
        found |= leftovers(bench, DATA)
    for why in WHY_NOT:
        session.why = [why]
        bench.panels.message.clear()
        bench.say(bench.link.act(Act("take")))
        found |= leftovers(bench, DATA)
    assert found == set()


class Machine(MachineServices):
    """This machine without its serial ports, whose descriptions come from their makers."""

    def devices(self):
        return tuple(choice for choice in super().devices() if choice.text.startswith("sim:"))

    def open(self, choice):
        raise StartRefused("")


@pytest.mark.usefixtures("_marked_words")
def test_the_start_page_has_no_text_of_another_language(qtbot, tmp_path):
    page = StartPage(Machine(out=str(tmp_path / "run.h5")), Look())
    qtbot.addWidget(page)
    with qtbot.waitExposed(page):
        page.show()
    qtbot.waitUntil(lambda: page.device.count() > 0)
    profiles = tuple(page.profile.itemText(row) for row in range(1, page.profile.count()))
    found = set()
    for row in range(page.device.count()):
        page.device.setCurrentRow(row)
        for confirmed in (False, True):
            page.confirm.setChecked(confirmed)
            found |= leftovers(page, (*profiles, str(tmp_path)))
    assert found == set()


@pytest.mark.usefixtures("_marked_words")
@pytest.mark.parametrize(
    "finished", [Finished(), Finished("", "/f/r.h5"), Finished("", "/f/r.h5", going_on=True)], ids=str
)
def test_the_last_resort_has_no_text_of_another_language(qtbot, finished):
    window = CrashWindow(headline(finished), "")
    qtbot.addWidget(window)
    assert leftovers(window, ("/f/r.h5", "satline bench --rejoin", "satline verify --repair")) == set()


def test_a_german_text_that_equals_the_english_one_is_made_of_words_that_both_have():
    both = {"Plan", "Plateau", "Plateaus", "plateau", "Journal", "Pause", "Eₙ"}
    same = {text for text, word in load_language("de").words.items() if text == word}
    assert {text for text in same if set(left_over(text)) - both} == set()
