"""Starting and leaving the program: pages, refusals, preferences, the last resort."""

from __future__ import annotations

import sys

import pytest
from PyQt5.QtGui import QIcon
from PyQt5.QtWidgets import QApplication

from acquire.commands.bench import show
from acquire.commands.common import CommandError
from acquire.window import crash
from acquire.window.application import choose_language, give_icon
from acquire.window.closing import Closing
from acquire.window.crash import CrashGuard, headline
from acquire.window.language import current_language
from acquire.window.launch import Program
from acquire.window.preferences import Preferences, load_preferences, preferences_path, save_preferences
from acquire.window.start_state import Finished, Opened, StartChoice, StartRefused
from acquire.window.themes import LIGHT

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")


class Machine:
    """Opens a session that is given, or refuses."""

    def __init__(self, session=None, refusal=""):
        self.session, self.refusal, self.opened, self.finished = session, refusal, [], 0

    def devices(self):
        return ()

    def profiles(self):
        return ()

    def liquids(self):
        return ()

    def liquid_of(self, device):
        return ""

    def checks(self, choice):
        return ()

    def open(self, choice):
        self.opened.append(choice)
        if self.refusal:
            raise StartRefused(self.refusal)
        return Opened(self.session, self._finish, "/folder/run.h5")

    def _finish(self):
        self.finished += 1
        return Finished("", "/folder/run.h5", "")


class OneMoment:
    def __init__(self, snapshot):
        self._snapshot = snapshot

    def snapshot(self):
        return self._snapshot

    def act(self, act):
        raise NotImplementedError

    def trace(self, channel, since=0):
        import numpy as np

        return np.empty(0), np.empty(0)


@pytest.fixture
def begun(qtbot, snap):
    """Makes a program that has begun, and ends it."""
    made = []

    def begin(choice, refusal="", preferences=None):
        program = Program(Machine(OneMoment(snap()), refusal), choice, preferences or Preferences())
        program.begin()
        made.append(program)
        return program

    yield begin
    for program in made:
        if program.bench is not None:
            program.bench.finish_now()
            program.bench.close()
        if program.start_page is not None:
            program.start_page.close()
        program.end()


CHOICE = StartChoice(("sim:calm",), "")


def test_a_named_device_goes_straight_to_the_bench(begun, qtbot):
    program = begun(CHOICE)
    qtbot.waitUntil(lambda: program.bench.snapshot is not None)
    assert program.start_page is None
    assert program.services.opened == [CHOICE]


def test_the_start_page_gives_way_to_the_bench(begun, qtbot):
    program = begun(None, preferences=Preferences(understood=True))
    assert program.start_page.isVisible()
    program.start_page.start_asked.emit(CHOICE)
    assert not program.start_page.isVisible()
    qtbot.waitUntil(lambda: program.bench.snapshot is not None)
    program.bench.finish_now()
    program.bench.close()
    assert program.services.finished == 1


def test_a_refusal_on_the_start_page_is_said_there(begun):
    program = begun(None, refusal="found no device; plug it in")
    program.start_page.start_asked.emit(CHOICE)
    assert program.start_page.why_not.text() == "found no device; plug it in"
    assert program.bench is None


def test_a_refusal_at_the_bench_is_said_and_ends_with_status_1(begun, qtbot):
    program = begun(CHOICE, refusal="found no device; plug it in")
    qtbot.waitUntil(lambda: bool(program.refused))
    assert program.bench.panels.message.said.text() == ("found no device; plug it in Close this window to go back.")
    assert program.bench.close()
    assert program.end() == 1


def test_leaving_keeps_what_was_chosen_for_the_next_day(begun, qtbot):
    program = begun(CHOICE)
    qtbot.waitUntil(lambda: program.bench.snapshot is not None)
    program.bench.set_look(program.bench.look.next_theme().larger(2))
    program.bench.panels.status.set_sound(False)
    program.bench.finish_now()
    program.bench.close()
    assert program.end() == 0
    kept = load_preferences()
    assert (kept.theme, kept.text, kept.sound) == ("dark", pytest.approx(1.2), False)


def test_confirmed_cautions_are_remembered(begun):
    program = begun(None)
    program.start_page.understood.emit()
    assert load_preferences().understood


def test_preferences_that_cannot_be_read_are_as_if_there_were_none(tmp_path):
    path = tmp_path / "window.ini"
    path.write_text("theme=pink\ntext=large\nsound=perhaps\nunknown=1\n", encoding="utf-8")
    found = load_preferences(path)
    assert found.look.theme.name == "light"
    assert (found.text, found.sound) == (1.0, False)
    assert load_preferences(tmp_path / "not there.ini") == Preferences()


def test_preferences_come_back_as_they_were_kept(tmp_path):
    kept = Preferences("dark", 1.3, False, "de", True)
    save_preferences(kept, tmp_path / "window.ini")
    assert load_preferences(tmp_path / "window.ini") == kept


def test_preferences_stay_in_the_folder_of_the_person(tmp_path):
    assert str(tmp_path) in str(preferences_path())


@pytest.mark.parametrize(("code", "language"), [("de", "de"), ("en", "en"), ("tlh", "en")])
def test_a_language_without_translation_is_english(qtbot, code, language):
    assert choose_language(QApplication.instance(), code) == language
    assert current_language().code == language


def boom(guard):
    try:
        raise KeyError("nobody foresaw this")
    except KeyError as error:
        guard.handle(type(error), error, error.__traceback__)


def test_the_unforeseen_closes_the_file_and_says_where_it_is(qtbot, capsys):
    shown, closed = [], []
    left = []
    guard = CrashGuard(lambda: closed.append(1) or Finished("", "/folder/run.h5"), shown.append, left.append)
    boom(guard)
    assert (closed, left) == ([1], [1])
    window = shown[0]
    assert "The run file is closed and holds everything up to now: /folder/run.h5" in window.headline.text()
    assert "stop that first" in window.headline.text()
    assert "KeyError: 'nobody foresaw this'" in window.details.toPlainText()
    assert "KeyError" in capsys.readouterr().err
    window.copy.click()
    assert "KeyError" in QApplication.clipboard().text()


def test_the_unforeseen_is_shown_once(qtbot, capsys):
    shown = []
    guard = CrashGuard(Finished, shown.append, lambda status: None)
    boom(guard)
    boom(guard)
    assert len(shown) == 1
    assert guard.crashed


def test_a_file_that_cannot_be_closed_is_said_too(qtbot, capsys):
    shown = []

    def fails():
        raise OSError("the disk is gone")

    boom(CrashGuard(fails, shown.append, lambda status: None))
    assert "the disk is gone" in shown[0].details.toPlainText()


def test_a_repair_is_pointed_to_where_the_file_is_in_doubt():
    text = headline(Finished("The disk is full.", "/folder/run.h5"))
    assert "satline verify --repair" in text
    assert "The disk is full." in text


def test_the_guard_stands_in_only_while_it_is_wanted():
    before = sys.excepthook
    guard = CrashGuard(Finished)
    guard.install()
    assert sys.excepthook == guard.handle
    guard.remove()
    assert sys.excepthook == before


def test_a_closing_that_breaks_is_told_as_trouble(monkeypatch):
    import threading

    monkeypatch.setattr(threading, "excepthook", lambda _args: None)

    def fails() -> Finished:
        raise OSError("the disk is gone")

    assert Closing(fails).wait().trouble.startswith("The run file could not be closed in order")


def test_closing_is_done_once_however_often_it_is_asked():
    calls = []
    closing = Closing(lambda: calls.append(1) or Finished())
    closing.start()
    closing.start()
    assert closing.wait() == closing.wait() == Finished()
    assert calls == [1]


def test_the_last_resort_is_the_only_place_that_catches_everything():
    assert crash.__doc__.startswith("The last resort")


def test_a_wrong_language_is_refused_before_a_window_opens():
    with pytest.raises(CommandError, match="the language is 'xx'; expected one of en, de"):
        show(Machine(), None, "xx")


def test_the_page_speaks_another_language_when_that_is_chosen(begun, qtbot):
    program = begun(None)
    page = program.start_page
    qtbot.waitUntil(lambda: page.device.count() > 0)
    page.language_asked.emit("de")
    assert program.start_page is not page
    assert program.start_page.start.text().startswith("Aufzeichnung beginnen")
    assert program.start_page.language.currentText() == "Deutsch"
    assert not page.isVisible()
    assert load_preferences().language == "de"


def test_every_window_has_the_icon_of_the_program(qtbot):
    application = QApplication.instance()
    application.setWindowIcon(QIcon())
    give_icon(application)
    picture = application.windowIcon().pixmap(32, 32).toImage()
    colours = {picture.pixelColor(x, y).name() for x in range(32) for y in range(32)}
    assert {LIGHT.temperature, LIGHT.pressure} & colours
    application.setWindowIcon(QIcon())
