"""The bench window on one snapshot: themes, sizes, names, cards; nothing cut off."""

from __future__ import annotations

import dataclasses

import numpy as np
import pyqtgraph as pg
import pytest
from PyQt5.QtCore import QEvent, QPoint, QPointF, Qt
from PyQt5.QtGui import QMouseEvent, QWheelEvent
from PyQt5.QtWidgets import QAbstractButton, QAbstractSpinBox, QApplication, QFrame, QLabel

from acquire import acts
from acquire.journal import Entry
from acquire.snapshot import CautionView, Instruction, ProposalView
from acquire.window.bench import BenchWindow
from acquire.window.borrowed import SOURCES
from acquire.window.language import load_language, use_language
from acquire.window.looks import Look
from acquire.window.start_state import Finished
from acquire.window.themes import THEMES

pytestmark = [pytest.mark.slow, pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")]


class OneMoment:
    """A recorder that is always at the same snapshot, with traces by formula."""

    def __init__(self, snapshot):
        self.shown, self.acts = snapshot, []

    def snapshot(self):
        return self.shown

    def act(self, act):
        self.acts.append(act)

    def trace(self, channel, since=0):
        time = np.arange(0.0, self.shown.time, 1.0)[since:]
        steps = np.floor(time / 300.0)
        return time, 294.0 + 3.0 * steps if channel == "temperature" else 101e3 + 2500.0 * steps


@pytest.fixture
def show(qtbot):
    def make(snapshot, size=(1280, 800)):
        window = BenchWindow(OneMoment(snapshot), now=lambda: 0.0, finish=Finished)
        qtbot.addWidget(window, before_close_func=lambda one: one.finish_now())
        qtbot.addWidget(window.big)
        window.resize(*size)
        with qtbot.waitExposed(window):
            window.show()
        window.load_plots()
        settle(window)
        return window

    return make


def settle(window):
    """Let the layout come to rest, as it does within a few frames."""
    for _ in range(3):
        window.show_all()
        QApplication.processEvents()


def busy(snap, *, offered=True):
    """A snapshot with as many long words as a run can have at once."""
    first = snap().points[0]
    line = snap().result["points"][0]
    long = {"severity": "doubt", "text": "The vapour is 53 s behind the bath and the plateaus lasted 184 s: it never "
            "came near enough to saturation for a correction to be trusted.", "advice": "Wait longer."}  # fmt: skip
    rows = [line | {"temperature": 298.15 + 2.0 * n} for n in range(6)]
    budget = [{"source": name, "share": 0.2} for name in list(SOURCES)[:5]]
    return snap(
        points=tuple(dataclasses.replace(first, number=number, start=150.0 * number) for number in range(1, 7)),
        result=snap().result
        | {
            "budget": budget,
            "findings": [long],
            "points": rows,
        },
        instruction=Instruction("warm", 310.15, 62e-6, 343.15, 40e-6, None, 117_000.0),
        proposal=ProposalView(offered, 900.0, 960.0, 309.73, 116_520.0, 7),
        gates=(("pressure_moving", "pressure still has +0.21 kPa to come (± 0.04 kPa), which is a long sentence"),),
        cautions=(
            CautionView("near temperature limit", "caution", 1.0, {"margin": 1.4, "limit": 311.15}),
            CautionView("over pressure", "warning", 1.0, {"over_pressure": 26e3, "limit": 25e3}),
            CautionView("boiling near", "warning", 1.0, {"temperature": 370.0, "boiling_point": 371.6}),
        ),
    )


def cut_off(window) -> list[str]:
    """Texts that have less room than they need."""
    found = []
    for label in window.panels.findChildren(QLabel):
        if not label.isVisible() or not label.text() or label is window.panels.status.counts:
            continue
        if label.wordWrap():
            short = label.height() < label.heightForWidth(label.width()) - 1
        else:
            short = label.width() < label.sizeHint().width() - 1
        if short:
            found.append(label.text())
    plot, heading = window.line_plot, window.panels.line.heading
    if plot.geometry().bottom() > heading.geometry().top():
        found.append("the plot over its heading")
    for button in window.panels.findChildren(QAbstractButton):
        if button.isVisible() and button.width() < button.minimumSizeHint().width():
            found.append(button.text())
    return found


@pytest.mark.parametrize("offered", [True, False], ids=["offered", "forming"])
@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080), (3840, 2160)], ids=str)
def test_no_word_is_cut_off(show, snap, size, language, offered):
    use_language(load_language(language))
    window = show(busy(snap, offered=offered), size)
    assert (window.width(), window.height()) == size
    assert cut_off(window) == []


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
def test_every_theme_is_taken_up_by_every_part(show, snap, theme):
    window = show(busy(snap))
    window.set_look(Look(theme))
    picture = window.grab().toImage()
    assert picture.pixelColor(2, picture.height() - 3).name() == theme.paper
    box = window.strips.view
    corner = box.mapTo(window, box.rect().topRight())
    assert picture.pixelColor(corner.x() - 2, corner.y() + 2).name() == theme.card
    cautions = [one for one in window.panels.cautions.findChildren(QFrame) if one.property("role") == "warning"]
    inside = cautions[0].mapTo(window, cautions[0].rect().bottomRight())
    assert picture.pixelColor(inside.x() - 8, inside.y() - 8).name() == theme.warning
    act = window.panels.procedure.next_act
    inside = act.mapTo(window, act.rect().topRight())
    assert picture.pixelColor(inside.x() - 8, inside.y() + 8).name() == theme.act_back
    assert window.strips.pressure.curve.colour.name() == theme.pressure


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("text", [0.8, 1.3, 2.0])
@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)], ids=str)
def test_the_text_slider_changes_sizes_and_cuts_nothing(show, snap, text, size, language):
    use_language(load_language(language))
    window = show(busy(snap), size)
    before = window.panels.procedure.title.height()
    window.keys.text_slider.setValue(round(10 * text))
    settle(window)
    assert (window.panels.procedure.title.height() > before) == (text > 1)
    assert cut_off(window) == []
    assert (window.width(), window.height()) == size


def test_readout_digits_are_17_mm_where_the_screen_allows(show, snap):
    window = show(snap())
    dpi = window.screen().physicalDotsPerInch()
    assert window.panels.pressure.digits.digit_height() / dpi * 25.4 >= 16.9


def test_everything_that_can_be_pressed_or_read_has_a_name(show, snap):
    panels = show(busy(snap)).panels
    for widget in panels.findChildren(QAbstractButton):
        assert widget.accessibleName() or widget.text()
    for widget in panels.findChildren(QAbstractSpinBox):
        assert widget.accessibleName()
    assert panels.message.field.accessibleName() == "Note"
    named = {frame.accessibleName() for frame in panels.findChildren(QFrame)}
    assert {"Procedure", "Traces", "Result"} <= named
    assert "easing" in panels.pressure.accessibleName()


def test_every_control_is_reached_with_tab(show, snap):
    window = show(busy(snap))
    seen = set()
    for _ in range(60):
        window.focusNextChild()
        seen.add(window.focusWidget())
    wanted = [b for b in window.panels.findChildren(QAbstractButton) if b.isVisible() and b.isEnabled()]
    assert set(wanted) <= seen
    assert window.panels.procedure.next_act.volume in seen


def test_enter_presses_the_button_that_has_the_keyboard(show, snap, qtbot):
    window = show(snap())
    window.panels.acts.button_for("take").setFocus()
    qtbot.keyClick(window.panels.acts.button_for("take"), Qt.Key_Return)
    assert [act.name for act in window.link.session.acts] == ["take"]


def test_cautions_take_no_focus_and_more_than_two_are_counted(show, snap):
    window = show(busy(snap))
    assert QApplication.focusWidget() is window.panels
    assert window.panels.cautions.more.text() == "and 1 more"
    assert window.sound.played == ["caution"]


def test_a_point_set_aside_looks_different_without_colour(show, snap, point):
    window = show(snap(points=(point(1), point(2, used=False, reason="bubble"))))
    first, second = window.panels.cards.cards
    assert (first.property("role"), second.property("role")) == ("card", "card aside")
    assert second.heading.text().startswith("✕")


def test_cards_come_and_go_with_the_points(show, snap, point):
    window = show(snap())
    assert [card.heading.text() for card in window.panels.cards.cards] == ["Point 1", "Point 2"]
    window.link.session.shown = dataclasses.replace(window.link.session.shown, points=(point(1),), result=None)
    window.show_all()
    assert [card.heading.text() for card in window.panels.cards.cards] == ["Point 1"]


@pytest.mark.parametrize("language", ["en", "de"])
def test_nothing_said_makes_the_window_wider_than_the_screen(show, snap, language):
    use_language(load_language(language))
    file = dataclasses.replace(snap().file, path="/runs/2026-01-01-120000-a-liquid-with-a-long-name-of-bench-7.h5")
    window = show(dataclasses.replace(busy(snap), speed=80.0, file=file))
    message = window.panels.message
    for tell in (lambda: message.say("word " * 60), lambda: message.ask_to_leave("word " * 20), message.open_note):
        message.clear()
        tell()
        settle(window)
        assert (window.width(), window.height()) == (1280, 800)


class Mouse:
    """Left button on the pressure strip, by time and height."""

    def __init__(self, window):
        # No move is passed over, however fast they come.
        pg.setConfigOption("mouseRateLimit", -1)
        self.box, self.view = window.strips.pressure.box, window.strips.view

    def at(self, time, value=104.0):
        return self.view.mapFromScene(self.box.mapViewToScene(QPointF(time, value)))

    def send(self, kind, place, button, buttons):
        event = QMouseEvent(kind, QPointF(place), QPointF(self.view.mapToGlobal(place)), button, buttons, Qt.NoModifier)
        QApplication.sendEvent(self.view.viewport(), event)
        QApplication.processEvents()

    def drag(self, start, end):
        places = [self.at(start + (end - start) * step / 6) for step in range(7)]
        self.send(QEvent.MouseMove, places[0], Qt.NoButton, Qt.NoButton)
        self.send(QEvent.MouseButtonPress, places[0], Qt.LeftButton, Qt.LeftButton)
        for place in places[1:]:
            self.send(QEvent.MouseMove, place, Qt.NoButton, Qt.LeftButton)
        self.send(QEvent.MouseButtonRelease, places[-1], Qt.LeftButton, Qt.NoButton)


def test_a_click_into_a_plateau_chooses_its_point_and_beside_it_none(show, snap, qtbot):
    window = show(snap())
    mouse = Mouse(window)
    qtbot.mouseClick(window.strips.view.viewport(), Qt.LeftButton, pos=mouse.at(330.0))
    assert window.selected == 1
    qtbot.mouseClick(window.strips.view.viewport(), Qt.LeftButton, pos=mouse.at(500.0))
    assert window.selected is None


def test_the_end_of_a_chosen_window_is_dragged(show, snap):
    window = show(snap())
    window.choose(1)
    settle(window)
    Mouse(window).drag(360.0, 420.0)
    moved = [act.data for act in window.link.session.acts if act.name == "window"]
    assert len(moved) == 1
    assert moved[0]["point"] == 1
    assert moved[0]["start"] == pytest.approx(300.0, abs=0.01)
    assert moved[0]["end"] == pytest.approx(420.0, abs=6.0)  # a few dots of the screen


def test_dragging_beside_a_window_moves_the_picture_and_stops_following(show, snap):
    window = show(snap())
    Mouse(window).drag(600.0, 500.0)
    assert not window.strips.following
    left, right = window.strips.temperature.box.viewRange()[0]
    assert left == pytest.approx(100.0, abs=20.0)
    assert window.strips.pressure.box.viewRange()[0] == pytest.approx([left, right])


def test_the_wheel_zooms_in_time_and_never_in_height(show, snap):
    window = show(snap())
    box, view = window.strips.pressure.box, window.strips.view
    before = box.viewRange()
    place = Mouse(window).at(500.0)
    wheel = QWheelEvent(
        QPointF(place), QPointF(view.mapToGlobal(place)), QPoint(), QPoint(0, 240), Qt.NoButton, Qt.NoModifier,
        Qt.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(view.viewport(), wheel)
    QApplication.processEvents()
    after = box.viewRange()
    assert after[0][1] - after[0][0] < before[0][1] - before[0][0]
    assert after[0][0] < 500.0 < after[0][1]
    assert after[1] == before[1]
    assert not window.strips.following


@pytest.mark.parametrize("text", [0.8, 1.0, 2.0])
@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)], ids=str)
def test_targets_are_large_enough_for_wet_fingers(show, snap, size, text):
    window = show(busy(snap), size)
    window.set_look(Look(text=text))
    settle(window)
    dpi = window.screen().physicalDotsPerInch()
    heights = [button.height() / dpi * 25.4 for button in window.panels.acts.buttons if not button.isHidden()]
    assert len(heights) == 6
    assert min(heights) >= 15.0  # [mm]


def test_the_big_numbers_are_of_one_height_when_they_are_first_seen(show, snap, qtbot):
    window = show(snap(), (1280, 800))
    window.big.resize(1280, 800)
    window.big.show()
    QApplication.processEvents()
    window.show_all()
    heights = {readout.digits.digit_height() for readout in (window.big.temperature, window.big.pressure)}
    assert len(heights) == 1


def test_a_window_without_a_session_shows_its_empty_panels(qtbot):
    window = BenchWindow(None, now=lambda: 0.0)
    qtbot.addWidget(window)
    qtbot.addWidget(window.big)
    with qtbot.waitExposed(window):
        window.show()
    window.refresh()
    assert window.snapshot is None
    assert window.close()


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)], ids=str)
def test_no_word_lies_over_the_trace(show, snap, size):
    poured = {"act": acts.WARMED, "volume": 87e-6}
    times = (20.0, 60.0, 90.0, 130.0, 200.0, 260.0, 420.0, 500.0, 580.0, 700.0, 760.0, 900.0)
    tail = tuple(Entry(n, time, int(time), "act", "person", True, "", poured) for n, time in enumerate(times))
    window = show(snap(journal_tail=tail), size)
    for second in range(3):  # rows are counted while they are painted, and have their room with the next readings
        window.link.session.shown = snap(journal_tail=tail, time=1031.0 + second)
        settle(window)
    strip = window.strips.pressure
    rows, height = strip.writing.rows, strip.box.height()
    assert rows >= 2
    low, high = strip.box.viewRange()[1]
    _, values = strip.store.outline(0.0, 1031.0, 500)
    highest = height * (high - np.nanmax(values)) / (high - low)
    assert highest > rows * 1.15 * strip.writing.pixels
    assert strip.writing.free_share() * height > rows * 1.15 * strip.writing.pixels


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)])
def test_the_next_act_has_the_largest_letters_that_fit(show, snap, size):
    asked = Instruction("warm", target=307.15, water_volume=66e-6, water_temperature=343.15)
    window = show(snap(instruction=asked), size)
    act = window.panels.procedure.next_act
    large = act.text.fontMetrics().height()
    assert act.text.property("role") in ("act text large", "act text largest")
    assert act.lines() <= 2
    assert act.words_fit()
    cautions = tuple(CautionView(code, "caution", 1.0, {}) for code in ("over temperature", "near pressure limit"))
    window.link.session.shown = snap(instruction=asked, cautions=cautions)
    settle(window)
    assert act.text.fontMetrics().height() <= large
    panel = window.panels.procedure
    assert panel.layout().totalHeightForWidth(panel.width()) <= max(panel.height(), panel.minimumSizeHint().height())
    assert window.width() == size[0]


def test_no_card_is_shown_in_part(show, snap):
    points = tuple(dataclasses.replace(snap().points[0], number=number) for number in range(1, 9))
    window = show(snap(points=points))
    panel = window.panels.cards
    left = panel.horizontalScrollBar().value()
    assert left > 0
    half = [card for card in panel.cards if card.x() < left < card.x() + card.width()]
    for card in half:
        assert panel._curtain.isVisible()
        assert panel._curtain.width() == card.x() + card.width() - left
    panel.horizontalScrollBar().setValue(0)
    assert not panel._curtain.isVisible()


def test_on_a_screen_of_few_dots_an_act_is_still_as_high_as_its_letters(show, snap):
    # A screen at 150 % has 64 dots to the inch of the window's own: 15 mm are then too low for letters and their room.
    window = show(snap())
    row = window.panels.acts
    row.set_scale(1.25, least_height=20.0)
    settle(window)
    shown = [button for button in row.buttons if button.isVisible()]
    assert shown
    assert all(button.height() >= button.sizeHint().height() for button in shown)
