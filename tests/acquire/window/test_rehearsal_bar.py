"""Controls of a rehearsal: there only where time can be changed, worked by keyboard and by mouse."""

from __future__ import annotations

import dataclasses

import pytest
from PyQt5.QtCore import Qt

from acquire.rehearsal_pace import FASTER, PAUSE, SLOWER, next_speed
from acquire.window.bench import BenchWindow
from acquire.window.rehearsal_state import rehearsal_state


class PacedSession:
    """A session whose time can be changed, or not."""

    def __init__(self, view, changeable=True):
        self.view, self.changeable, self.before = view, changeable, view.speed

    def snapshot(self):
        return self.view

    def trace(self, channel, since=0):
        return (), ()

    def entries(self, since=0):
        return ()

    def act(self, act):
        raise AssertionError(f"no act was meant, found {act}")

    def pace(self, change=None):
        if change is None:
            return self.view.speed if self.changeable else None
        if change == PAUSE:
            speed = self.before if self.view.speed == 0 else 0.0
            self.before = self.view.speed or self.before
        else:
            speed = next_speed(self.view.speed, change)
        self.view = dataclasses.replace(self.view, speed=speed)
        return speed


def shown(qtbot, session):
    window = BenchWindow(session, now=lambda: 0.0)
    qtbot.addWidget(window, before_close_func=lambda closing: closing.finish_now())
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()
    window.show_all()
    return window


@pytest.fixture
def window(qtbot, snap):
    return shown(qtbot, PacedSession(snap()))


def test_time_is_changed_and_stopped_by_keyboard(window, qtbot):
    said = []
    for key in (Qt.Key_Greater, Qt.Key_Greater, Qt.Key_P, Qt.Key_P, Qt.Key_Less):
        qtbot.keyClick(window, key)
        said.append((window.link.session.view.speed, window.rehearsal.speed.text()))
    assert said == [(2.0, "2 × time"), (5.0, "5 × time"), (0.0, "paused"), (5.0, "5 × time"), (2.0, "2 × time")]


def test_the_buttons_do_the_same(window, qtbot):
    qtbot.mouseClick(window.rehearsal.buttons[FASTER], Qt.LeftButton)
    assert window.link.session.view.speed == 2.0
    qtbot.mouseClick(window.rehearsal.buttons[PAUSE], Qt.LeftButton)
    assert window.rehearsal.buttons[PAUSE].text() == "Go on  P"
    qtbot.mouseClick(window.rehearsal.buttons[PAUSE], Qt.LeftButton)
    assert not window.rehearsal.buttons[SLOWER].isHidden()


def test_at_a_real_bench_there_are_no_controls_and_the_keys_do_nothing(qtbot, snap):
    window = shown(qtbot, PacedSession(snap(), changeable=False))
    qtbot.keyClick(window, Qt.Key_P)
    assert window.rehearsal is None
    assert window.link.session.view.speed == 1.0


def test_the_controls_go_when_the_run_is_closed(snap):
    assert rehearsal_state(snap()).shown
    assert not rehearsal_state(snap(stage="closed")).shown


@pytest.mark.parametrize(("speed", "slower", "faster"), [(1.0, False, True), (500.0, True, False), (0.0, True, True)])
def test_what_is_possible_at_the_ends(snap, speed, slower, faster):
    state = rehearsal_state(snap(speed=speed))
    assert (state.can_slower, state.can_faster) == (slower, faster)
