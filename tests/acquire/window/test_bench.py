"""The bench window on a hand-clocked simulated bench, driven by the keyboard alone."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest
from PyQt5.QtCore import Qt
from PyQt5.QtWidgets import QApplication

from acquire import acts
from acquire.commands.hands import HandsOnBench
from acquire.rehearsal import plan_of
from acquire.run import Run
from acquire.simulation import SimulatedRun, simulated_run
from acquire.window.bench import BenchWindow
from acquire.window.start_state import Finished
from analysis.liquids import load_liquid
from sim.scenario import load_scenario

# Qt's screenless platform says this about every window; no real platform does.
pytestmark = [pytest.mark.slow, pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")]


class Bench:
    """A simulated bench, its session and a window on it, all moved by hand."""

    def __init__(self, qtbot, *, automatic: bool) -> None:
        scenario = load_scenario("calm")
        plan = plan_of(scenario, automatic=automatic)
        self.bot = qtbot
        self.simulated: SimulatedRun = simulated_run(
            scenario, 7, Run(plan, load_liquid(plan.liquid)), path="/folder/run.h5", operated=False
        )
        self.real = [0.0]
        self.closed: list[str] = []
        self.opened: list[str] = []
        self.left: list[Finished] = []
        self.window = BenchWindow(
            HandsOnBench(self.simulated.session, self.simulated.bench.act),
            now=lambda: self.real[0],
            finish=self._finish,
            open_url=lambda url: self.opened.append(url.toLocalFile()),
        )
        self.window.left.connect(self.left.append)
        qtbot.addWidget(self.window, before_close_func=lambda window: window.finish_now())
        qtbot.addWidget(self.window.big)
        with qtbot.waitExposed(self.window):
            self.window.show()
        self.window.activateWindow()
        self.window.load_plots()

    def _finish(self) -> Finished:
        self.closed.append(self.simulated.session.run.stage)
        return Finished("", "/folder/run.h5", "/folder/run.html")

    @property
    def run(self) -> Run:
        return self.simulated.session.run

    def pass_time(self, seconds: float) -> None:
        """Let run time pass, and real time with it."""
        self.simulated.advance(seconds)
        self.real[0] += seconds
        self.window.show_all()

    def press(self, key: int, modifier: int = Qt.NoModifier) -> None:
        self.bot.keyClick(QApplication.focusWidget() or self.window, key, modifier)

    def type(self, text: str) -> None:
        self.bot.keyClicks(QApplication.focusWidget(), text)

    def until(self, done: Callable[[], bool], *, longest: float = 3000.0) -> None:
        """Let time pass in small steps until something holds."""
        end = self.simulated.clock() + longest
        while not done():
            assert self.simulated.clock() < end, f"still {self.run.stage} after {longest:.0f} s"
            self.simulated.advance(8.0)  # unseen, since the window is by far the slower part
            self.pass_time(4.0)

    def follow_the_screen(self, done: Callable[[], bool]) -> None:
        """Do what the window asks for, each time by the key that it shows, until something holds."""
        while not done():
            self.until(lambda: self.due() is not None or done())
            key = self.due()
            if key is not None and not done():
                self.press({"⏎": Qt.Key_Return, "␣": Qt.Key_Space}[key])

    def due(self) -> str | None:
        """The sign of the key on the button that is due."""
        for button in self.window.panels.acts.buttons:
            if not button.isHidden() and button.isEnabled() and button.property("due") == "true":
                return button.text().rpartition("  ")[2]
        return None


@pytest.fixture
def bench(qtbot) -> Bench:
    return Bench(qtbot, automatic=True)


@pytest.fixture
def by_hand(qtbot) -> Bench:
    return Bench(qtbot, automatic=False)


def test_the_whole_procedure_is_run_by_the_keys_the_screen_shows(by_hand):
    by_hand.follow_the_screen(lambda: by_hand.run.closed)
    assert [point.branch for point in by_hand.run.points] == ["up"] * 6 + ["return"]
    assert {point.taken_by for point in by_hand.run.points} == {"person"}
    assert {b.kind for b in by_hand.run.baselines} == {"room", "sealed"}
    given = {entry.data["act"] for entry in by_hand.run.journal.of_kind("act")}
    assert given >= {acts.BEGIN, acts.TAKE, acts.VALVE_CLOSED, acts.CHARGED, acts.WARMED, acts.COOLED, acts.VENTED}
    # The truth of the simulated bench is inside the interval on the screen.
    low, high = by_hand.window.snapshot.result["enthalpy_vap"]["at_298_15"]["interval_95"]
    assert low < by_hand.simulated.bench.truth.enthalpy_vap < high


def test_after_the_run_the_file_is_closed_and_the_report_one_key_away(bench):
    bench.pass_time(3.0)
    for _ in range(2):
        bench.press(Qt.Key_F, Qt.ControlModifier)
    bench.bot.waitUntil(lambda: bench.window.finished is not None)
    bench.window.show_all()
    assert bench.closed == ["closed"]
    assert bench.window.panels.message.said.text() == "Run file and report are written. Ctrl+R opens the report."
    bench.press(Qt.Key_R, Qt.ControlModifier)
    assert bench.opened == ["/folder/run.html"]
    assert bench.window.close()
    assert bench.left == [Finished("", "/folder/run.h5", "/folder/run.html")]


def test_a_note_is_written_without_leaving_the_keyboard(bench):
    bench.pass_time(3.0)
    bench.press(Qt.Key_N)
    bench.type("bubbles; no V or space is an act here")
    bench.press(Qt.Key_Return)
    note = bench.run.journal.of_kind("act")[-1]
    assert note.data == {"act": "note", "text": "bubbles; no V or space is an act here"}
    assert bench.run.stage == "set-up"
    assert not bench.window.panels.message.noting


def test_escape_leaves_a_note_and_never_a_run(bench):
    bench.pass_time(3.0)
    bench.press(Qt.Key_N)
    bench.type("half a")
    bench.press(Qt.Key_Escape)
    for _ in range(3):
        bench.press(Qt.Key_Escape)
    assert bench.window.isVisible()
    assert len(bench.run.journal.of_kind("act")) == 0


def test_a_refused_act_is_said_and_changes_nothing(bench):
    bench.pass_time(3.0)
    bench.window.do(acts.CHARGED)
    assert bench.window.panels.message.said.text() == (
        "cannot 'charged' in the stage 'set-up' (not at this stage); possible: begin, note, finish"
    )
    assert bench.run.stage == "set-up"
    assert QApplication.focusWidget() is bench.window.panels


def test_ending_a_run_early_takes_two_presses_close_together(bench):
    bench.pass_time(3.0)
    bench.press(Qt.Key_F, Qt.ControlModifier)
    assert bench.run.stage == "set-up"
    bench.pass_time(6.0)
    bench.press(Qt.Key_F, Qt.ControlModifier)
    assert bench.run.stage == "set-up"
    bench.real[0] += 1.0
    bench.press(Qt.Key_F, Qt.ControlModifier)
    assert bench.run.stage == "closed"


def test_closing_the_window_while_recording_asks_once_and_closes_the_file(bench):
    bench.pass_time(3.0)
    assert not bench.window.close()
    assert bench.window.panels.message.asking
    assert bench.closed == []
    assert bench.window.close()
    assert bench.closed == ["set-up"]
    assert len(bench.left) == 1


def test_whoever_is_asked_may_stay(bench):
    bench.pass_time(3.0)
    bench.window.close()
    bench.bot.mouseClick(bench.window.panels.message.stay, Qt.LeftButton)
    assert bench.window.isVisible()
    assert not bench.window.panels.message.asking
    assert bench.closed == []


@pytest.fixture
def with_points(bench) -> Bench:
    """A run with one point taken by itself."""
    bench.follow_the_screen(lambda: len(bench.run.points) == 1)
    bench.pass_time(2.0)
    return bench


def test_a_point_is_chosen_set_aside_used_again_and_that_undone(with_points):
    bench = with_points
    bench.press(Qt.Key_Up)
    assert bench.window.selected == 1
    assert bench.window.panels.cards.cards[0].property("role") == "card selected"
    bench.press(Qt.Key_Backspace)
    assert [p.used for p in bench.run.points] == [False]
    bench.press(Qt.Key_R)
    assert [p.used for p in bench.run.points] == [True]
    bench.press(Qt.Key_Z, Qt.ControlModifier)
    assert [p.used for p in bench.run.points] == [False]
    bench.press(Qt.Key_Z, Qt.ControlModifier | Qt.ShiftModifier)
    assert [p.used for p in bench.run.points] == [True]
    assert [len(bench.run.journal.of_kind(kind)) for kind in ("point set aside", "undone", "redone")] == [1, 1, 1]
    bench.press(Qt.Key_Escape)
    assert bench.window.selected is None


def test_a_window_is_moved_by_keys_and_by_dragging(with_points):
    bench = with_points
    bench.press(Qt.Key_Up)
    before = bench.run.points[0]
    bench.press(Qt.Key_Right, Qt.AltModifier)
    bench.press(Qt.Key_Left, Qt.ShiftModifier)
    moved = bench.run.points[0]
    assert (moved.start, moved.end) == (before.start + 1.0, before.end - 1.0)
    strips = bench.window.strips
    strips.handle.setRegion((before.start - 3.0, before.end))
    strips.handle.setRegion((before.start - 3.0, before.end))  # moved to where it is: no act
    assert (bench.run.points[0].start, bench.run.points[0].end) == (before.start - 3.0, before.end)
    assert len(bench.run.journal.of_kind("point window")) == 3


def test_a_plateau_is_chosen_by_clicking_into_it(with_points):
    bench = with_points
    point = bench.run.points[0]
    bench.window.strips.pressure.box.time_clicked.emit((point.start + point.end) / 2)
    assert bench.window.selected == 1
    bench.window.strips.pressure.box.time_clicked.emit(1.0)
    assert bench.window.selected is None


def test_the_amount_of_water_is_taken_as_entered_with_a_decimal_comma(bench):
    bench.follow_the_screen(lambda: bench.run.points and bench.due() == "⏎")
    box = bench.window.panels.procedure.next_act
    box.volume.setFocus()
    box.volume.selectAll()
    bench.type("61,5")
    bench.pass_time(2.0)  # a new suggestion does not overwrite what is being typed
    bench.press(Qt.Key_Return)
    warmed = [e for e in bench.run.journal.of_kind("act") if e.data["act"] == acts.WARMED]
    assert warmed[-1].data["volume"] == pytest.approx(61.5e-6)
    assert warmed[-1].data["temperature"] == pytest.approx(343.15)
    assert not box.typing


def test_strips_follow_zoom_and_come_back(bench):
    for _ in range(20):
        bench.pass_time(20.0)
    strips = bench.window.strips
    assert strips.following
    bench.press(Qt.Key_Plus)
    bench.press(Qt.Key_Left)
    assert not strips.following
    held = strips.temperature.box.viewRange()[0]
    bench.pass_time(100.0)
    assert strips.temperature.box.viewRange()[0] == held
    bench.press(Qt.Key_Home)
    assert strips.following
    start, end = strips.temperature.box.viewRange()[0]
    assert start <= 0.0
    assert end > bench.simulated.clock()
    bench.press(Qt.Key_3)
    start, end = strips.temperature.box.viewRange()[0]
    assert end - start == pytest.approx(180.0)


def test_the_newest_reading_is_on_the_strip_and_in_the_readout(bench):
    bench.pass_time(30.0)
    store = bench.window.strips.temperature.store
    times, values = bench.simulated.session.trace("temperature", 0)
    assert store.total == len(times)
    assert store.last_time == times[-1]
    assert bench.window.panels.temperature.digits.value == f"{values[-1] - 273.15:.2f}"


def test_the_second_window_shows_the_same_in_large(bench):
    bench.pass_time(5.0)
    bench.press(Qt.Key_B, Qt.ControlModifier)
    bench.pass_time(1.0)
    assert bench.window.big.isVisible()
    assert bench.window.big.temperature.digits.value == bench.window.panels.temperature.digits.value
    assert bench.window.big.act.text() == "Valve open, cell in the bath"
    bench.press(Qt.Key_B, Qt.ControlModifier)
    assert not bench.window.big.isVisible()


def test_what_a_resting_mouse_shows_is_also_a_key_away(bench):
    bench.pass_time(30.0)
    bench.press(Qt.Key_F2)
    said = bench.window.panels.message.said.text()
    assert "/folder/run.h5" in said
    assert "Tolerance in force" in said
    bench.press(Qt.Key_F1)
    assert "is not a safety device" in bench.window.panels.message.said.text()


def test_sound_is_switched_off_where_everybody_sees_it(bench):
    bench.pass_time(3.0)
    bench.press(Qt.Key_M)
    assert not bench.window.sound.on
    assert bench.window.panels.status.sound.text() == "Sound off  M"
    bench.press(Qt.Key_M)
    assert bench.window.sound.on


def test_every_menu_entry_shows_its_key(bench):
    for menu in bench.window.menuBar().actions():
        for action in menu.menu().actions():
            if not action.isSeparator() and action.text():
                assert action.shortcut().toString(), action.text()


def test_no_two_entries_share_a_key(bench):
    keys = [
        key.toString()
        for menu in bench.window.menuBar().actions()
        for action in menu.menu().actions()
        for key in action.shortcuts()
    ]
    assert len(keys) == len(set(keys))


def test_a_frozen_session_never_looks_live(bench):
    bench.pass_time(20.0)
    snapshot = bench.simulated.session.snapshot()
    old = {name: dataclasses.replace(view, silent=15.0) for name, view in snapshot.channels.items()}
    bench.window.link.session = type("Frozen", (), {
        "snapshot": lambda self: dataclasses.replace(snapshot, channels=old),
        "trace": lambda self, channel, since=0: (np.empty(0), np.empty(0)),
    })()  # fmt: skip
    bench.window.show_all()
    assert bench.window.panels.temperature.digits.value == "—"
    assert bench.window.sound.played == ["lost"]
