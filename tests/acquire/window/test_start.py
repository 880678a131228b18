"""The start page with a machine of our own."""

from __future__ import annotations

import pytest
from PyQt5.QtCore import Qt
from PyQt5.QtWidgets import QApplication, QFileDialog, QLabel

from acquire.commands.other_window import OtherWindow
from acquire.window.language import load_language, use_language
from acquire.window.looks import LARGEST, Look
from acquire.window.start import StartPage
from acquire.window.start_state import FOUND, SIMULATED, Check, DeviceChoice, HeardDevice, StartChoice

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")


class Ended:
    """Another window, open until told otherwise."""

    def __init__(self, said):
        self.said = said

    def trouble(self):
        return self.said


class Machine:
    """One port that is there, one that may not be opened, and two simulated benches."""

    def __init__(self):
        self.ports = [DeviceChoice("/dev/ttyACM0", "/dev/ttyACM0: probe", "maker probe", FOUND)]
        self.asked: list[StartChoice] = []
        self.heard, self.speaks = [], True
        self.opened, self.ended = [], Ended(None)

    def devices(self):
        return (
            *self.ports,
            DeviceChoice("sim:calm", "Simulated bench: calm", "Nothing goes wrong.", SIMULATED),
            DeviceChoice("sim:leak", "Simulated bench: leak", "Something leaks.", SIMULATED),
        )

    def profiles(self):
        return ("one", "two")

    def liquids(self):
        return ("n-heptane", "water")

    def liquid_of(self, device):
        return "water" if device == "sim:leak" else "n-heptane" if device.startswith("sim:") else ""

    def checks(self, choice):
        self.asked.append(choice)
        return (Check("Device", "good", f"{choice.devices[0]} is there"),)

    def listen(self, port):
        self.heard.append(port)
        return (
            HeardDevice("heard-acm0", "Heard temperature / degC at 9600 baud.")
            if self.speaks
            else HeardDevice("", "nothing arrived; check that it is on")
        )

    def runs_folder(self):
        return ""

    def elsewhere(self, what, path):
        self.opened.append((what, path))
        return self.ended

    def open(self, choice):
        raise NotImplementedError


@pytest.fixture
def machine():
    return Machine()


@pytest.fixture
def page(qtbot, machine):
    page = StartPage(machine, Look())
    page.asked = []
    page.start_asked.connect(page.asked.append)
    qtbot.addWidget(page)
    with qtbot.waitExposed(page):
        page.show()
    qtbot.waitUntil(lambda: page.device.count() > 0)
    return page


def press(qtbot, page, key):
    qtbot.keyClick(QApplication.focusWidget() or page, key)


def test_from_launch_to_recording_in_two_acts_on_the_first_day(page, qtbot):
    assert page.choice() == StartChoice(("sim:calm",), "n-heptane")
    assert QApplication.focusWidget() is page.confirm
    press(qtbot, page, Qt.Key_Return)
    press(qtbot, page, Qt.Key_Return) if page.asked == [] and page.start.hasFocus() else page.start.click()
    assert page.asked == [StartChoice(("sim:calm",), "n-heptane")]


def test_and_in_one_act_on_every_other_day(qtbot, machine):
    page = StartPage(machine, Look(), understood=True)
    asked = []
    page.start_asked.connect(asked.append)
    qtbot.addWidget(page)
    with qtbot.waitExposed(page):
        page.show()
    qtbot.waitUntil(lambda: page.start.hasFocus())
    press(qtbot, page, Qt.Key_Return)
    assert asked == [StartChoice(("sim:calm",), "n-heptane")]


def test_nothing_starts_before_the_cautions_are_read(page, qtbot):
    assert not page.start.isEnabled()
    page._start()
    assert page.asked == []
    assert page.why_not.text() == "Confirm the cautions first; once is enough."


def test_confirming_is_told_so_that_it_can_be_remembered(page, qtbot):
    with qtbot.waitSignal(page.understood):
        page.confirm.click()
    assert page.confirm.text().startswith("☑")
    assert page.start.isEnabled()


def test_a_port_needs_a_profile(page):
    page.confirm.click()
    page.choose_device("/dev/ttyACM0")
    assert page.why_not.text() == "Say how this device speaks: choose its profile."
    page.profile.setCurrentText("two")
    assert page.choice().devices == ("two@/dev/ttyACM0",)
    assert page.start.isEnabled()
    assert page.speed.isHidden()


def test_a_simulated_bench_brings_its_liquid_and_may_run_faster(page):
    page.confirm.click()
    page.choose_device("sim:leak")
    page.speed.setCurrentIndex(2)
    assert page.choice() == StartChoice(("sim:leak",), "water", "", 60.0)
    assert not page.liquid.isEnabled()
    page.choose_device("/dev/ttyACM0")
    page.profile.setCurrentText("one")
    assert page.liquid.isEnabled()
    assert page.choice().speed == 1.0


def test_a_device_can_be_told_by_its_address(page):
    page.confirm.click()
    page.choose_device("")
    assert not page.start.isEnabled()
    page.address.setText(" one@socket://bench:5000 ")
    assert page.choice().devices == ("one@socket://bench:5000",)
    assert page.start.isEnabled()


def test_looking_again_finds_what_was_plugged_in_and_keeps_the_choice(page, machine, qtbot):
    page.choose_device("sim:leak")
    machine.ports.append(DeviceChoice("/dev/ttyUSB7", "/dev/ttyUSB7: sensor", "", FOUND))
    press(qtbot, page, Qt.Key_F5)
    assert page.device.count() == 5
    assert page.choice().devices == ("sim:leak",)
    machine.ports.clear()
    page.look_again()
    assert page.choice().devices == ("sim:leak",)


def test_an_unknown_device_is_listened_to_and_its_profile_chosen(page, machine, qtbot):
    page.confirm.click()
    page.choose_device("/dev/ttyACM0")
    press(qtbot, page, Qt.Key_F6)
    assert not page.start.isEnabled()
    qtbot.waitUntil(lambda: page.start.isEnabled())
    assert machine.heard == ["/dev/ttyACM0"]
    assert page.choice().devices == ("heard-acm0@/dev/ttyACM0",)
    assert page.detail.text() == "Heard temperature / degC at 9600 baud."


def test_a_device_that_says_nothing_is_told_so(page, machine, qtbot):
    machine.speaks = False
    page.choose_device("/dev/ttyACM0")
    page.listen.click()
    qtbot.waitUntil(lambda: page.detail.text() == "nothing arrived; check that it is on")
    assert page.profile.currentData() == ""


def test_a_plan_is_shown_by_its_name(page):
    page.use_plan("/folder/week-3.toml")
    assert page.plan.text() == "week-3.toml"
    assert page.choice().plan == "/folder/week-3.toml"
    page.use_plan("")
    assert page.plan.text() == "The usual plan"


def test_why_a_run_could_not_be_opened_is_said_on_the_page(page):
    page.say("found nothing at /dev/ttyACM0; plug it in")
    assert page.why_not.text() == "found nothing at /dev/ttyACM0; plug it in"
    assert page.why_not.property("tone") == "trouble"
    room = page.why_not.contentsMargins()
    assert min(room.left(), room.right()) >= 8, "the sentence does not touch the edge of its box"
    assert page.why_not.alignment() & Qt.AlignLeft, "lines are read from the left"
    page.refresh()
    assert page.why_not.property("tone") == "quiet", "another choice, and the colour of the refusal is gone"


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)], ids=str)
def test_no_word_of_the_page_is_cut_off(qtbot, machine, language, size):
    use_language(load_language(language))
    page = StartPage(machine, Look())
    qtbot.addWidget(page)
    page.resize(*size)
    with qtbot.waitExposed(page):
        page.show()
    qtbot.waitUntil(lambda: page.device.count() > 0)
    for _ in range(3):
        QApplication.processEvents()
    assert (page.width(), page.height()) == size
    for label in page.findChildren(QLabel):
        if label.isVisible() and label.text():
            need = label.heightForWidth(label.width()) if label.wordWrap() else label.sizeHint().height()
            assert label.height() >= need - 1, label.text()


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)], ids=str)
def test_the_largest_letters_do_not_push_the_page_over_the_screen(qtbot, machine, size):
    page = StartPage(machine, Look(text=LARGEST))
    qtbot.addWidget(page)
    page.resize(*size)
    with qtbot.waitExposed(page):
        page.show()
    qtbot.waitUntil(lambda: page.device.count() > 0)
    assert (page.width(), page.height()) == size


def test_the_other_windows_are_one_key_away(page, qtbot, machine, monkeypatch):
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: ("/runs/one.h5", ""))
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: "/runs")
    for key in (Qt.Key_F7, Qt.Key_F8, Qt.Key_F9):
        press(qtbot, page, key)
    assert machine.opened == [("run", "/runs/one.h5"), ("folder", "/runs"), ("points", "")]
    assert page.asked == []


def test_a_dialog_that_was_left_opens_nothing(page, qtbot, machine, monkeypatch):
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: ("", ""))
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: "")
    for key in (Qt.Key_F7, Qt.Key_F8):
        press(qtbot, page, key)
    assert machine.opened == []


def test_why_another_window_did_not_open_is_said(page, qtbot, machine):
    press(qtbot, page, Qt.Key_F9)
    qtbot.wait(300)
    assert "torn" not in page.why_not.text()
    machine.ended.said = "the file 'x.h5' is torn; choose another one"
    qtbot.waitUntil(lambda: "is torn" in page.why_not.text())
    machine.ended.said = ""


def test_a_window_of_its_own_says_why_it_ended():
    other = OtherWindow(["review", "/there/is/no/such.h5"])
    assert other._process.wait(60) != 0
    assert "there is no file '/there/is/no/such.h5'" in other.trouble()
    good = OtherWindow(["--version"])
    good._process.wait(60)
    assert good.trouble() == ""


def test_a_drop_down_has_room_for_its_longest_entry(page):
    language = page.language
    letters = language.fontMetrics()
    longest = max(letters.horizontalAdvance(language.itemText(row)) for row in range(language.count()))
    assert language.width() >= longest + letters.horizontalAdvance("▾") + 30


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("text", [1.0, 1.5, 2.0])
def test_no_check_and_no_caution_is_cut_off(qtbot, machine, language, text):
    """With a device that is in use, named as long as systems name them."""
    name = "/dev/serial/by-id/usb-A_Maker_of_Bridges_USB_Serial_Bridge_0123456789-if00-port0"
    machine.ports = [DeviceChoice(name, f"{name}: USB serial bridge", "Leave each in its own socket.", FOUND)]
    check = Check(
        "Device", "bad", "/dev/ttyUSB0 is in use by terminal (process 11629)", "Close that program, then look."
    )
    machine.checks = lambda choice: (check, *(Check("Folder", "good", "the run goes to satline-runs"),) * 3)
    use_language(load_language(language))
    try:
        page = StartPage(machine, Look(text=text), understood=True)
        qtbot.addWidget(page)
        page.resize(1280, 800)
        with qtbot.waitExposed(page):
            page.show()
        qtbot.waitUntil(lambda: page.device.count() > 0)
        page.choose_device(name)
        QApplication.processEvents()
        labels = [label for label in page.findChildren(QLabel) if label.isVisible() and label.wordWrap()]
        assert len(labels) > 8
        assert [label.text() for label in labels if label.height() < label.heightForWidth(label.width()) - 1] == []
        assert page.device.horizontalScrollBar().maximum() == 0
        assert page.device.sizeHintForColumn(0) <= page.device.viewport().width()
        assert page.device.currentItem().toolTip().startswith(name)
    finally:
        use_language(load_language("en"))
