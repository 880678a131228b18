"""The start page: device, liquid, plan, a check of this bench, and the cautions; one key begins."""

from __future__ import annotations

from PyQt5.QtCore import QSignalBlocker, Qt, QTimer, pyqtSignal
from PyQt5.QtGui import QCloseEvent, QKeySequence, QResizeEvent, QShowEvent
from PyQt5.QtWidgets import (
    QFileDialog,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QShortcut,
    QWidget,
)

from acquire.window.background import Background
from acquire.window.choices import Choice, Tick, WithinTheList
from acquire.window.elsewhere import ElsewhereButtons
from acquire.window.first_paint import after_first_paint
from acquire.window.language import LANGUAGE_NAMES, available_languages, current_language, tr
from acquire.window.looks import Look, start_scale
from acquire.window.parts import on_paper, restyle, set_text, text_label
from acquire.window.start_layout import lay_out
from acquire.window.start_state import (
    FOUND,
    SIMULATED,
    SPEEDS,
    DeviceChoice,
    HeardDevice,
    StartChoice,
    StartServices,
    StartState,
    speed_text,
    start_state,
)
from acquire.window.style_sheet import style_sheet

MAX_CHECKS = 8


class StartPage(QWidget):
    """Collects what a run needs.

    Signals
    -------
    start_asked
        A `StartChoice`: the person wants this run.
    understood
        The person confirmed the cautions.
    language_asked
        The person wants another language (its code); the page that speaks it is another page.
    """

    start_asked = pyqtSignal(object)
    understood = pyqtSignal()
    language_asked = pyqtSignal(str)

    def __init__(self, services: StartServices, look: Look, *, understood: bool = False) -> None:
        super().__init__()
        self.setWindowTitle(tr("satline, a new run"))
        on_paper(self)
        self._services, self._look, self._scale = services, look, 0.0
        self._devices: tuple[DeviceChoice, ...] = ()
        self._plan = ""
        self._ear: Background[HeardDevice] | None = None
        self._ear_timer = QTimer(self)
        self._ear_timer.setInterval(150)  # [ms] nobody waits for a fraction of that
        self.device = QListWidget()
        self.device.setItemDelegate(WithinTheList(self.device))
        self.device.setHorizontalScrollBarPolicy(Qt.ScrollBarAlwaysOff)
        self.profile, self.liquid, self.speed = (Choice() for _ in range(3))
        self.plan = QPushButton(tr("The usual plan"))
        self.again = QPushButton(tr("Look for devices again  F5"))
        self.listen = QPushButton(tr("Unknown device: listen to it  F6"))
        self.address = QLineEdit()
        self.confirm = Tick(tr("I have read this"))
        self.confirm.setChecked(understood)
        self.start = QPushButton(tr("Start recording") + "  ⏎")
        self.elsewhere = ElsewhereButtons(services, self, self.say)
        self.why_not = text_label("basis", "quiet", wrap=True)
        self.detail = text_label("basis", "quiet", wrap=True)
        self.checks = [(text_label("check"), text_label("check", wrap=True)) for _ in range(MAX_CHECKS)]
        self.profile_label, self.speed_label = text_label("body"), text_label("body")
        self.address_label = text_label("body")
        self.language, self.language_label = Choice(), text_label("basis", "quiet")
        self.language_label.setText(tr("Language"))
        self.language.setAccessibleName(tr("Language"))
        for code in available_languages():
            self.language.addItem(LANGUAGE_NAMES.get(code, code), code)
        self.language.setCurrentIndex(self.language.findData(current_language().code))
        lay_out(self)
        self._connect()
        self.resize(1280, 800)
        after_first_paint(self, self.look_again)

    def _connect(self) -> None:
        self.device.currentRowChanged.connect(self.refresh)
        for box in (self.profile, self.liquid):
            box.currentIndexChanged.connect(self.refresh)
        self.address.textChanged.connect(self.refresh)
        self.confirm.confirmed.connect(self._confirmed)
        self.plan.clicked.connect(self._choose_plan)
        self.language.activated.connect(lambda _row: self.language_asked.emit(str(self.language.currentData())))
        self.again.clicked.connect(self.look_again)
        self.listen.clicked.connect(self.listen_now)
        self._ear_timer.timeout.connect(self._look_at_ear)
        QShortcut(QKeySequence("F6"), self).activated.connect(self.listen.click)
        self.start.clicked.connect(self._start)
        for key in ("Return", "Enter"):
            QShortcut(QKeySequence(key), self).activated.connect(self._enter)
        QShortcut(QKeySequence("F5"), self).activated.connect(self.look_again)

    # What is chosen

    def look_again(self) -> None:
        """Ask which devices are there now; the choice made stays where it is still there."""
        chosen = self._device()
        fields = (self.device, self.profile, self.liquid, self.speed)
        blockers = [QSignalBlocker(field) for field in fields]
        self._devices = self._services.devices()
        self.device.clear()
        for choice in (*self._devices, DeviceChoice("", tr("Another, by its address"), "", FOUND)):
            item = QListWidgetItem(choice.label)
            item.setData(Qt.UserRole, choice.text)
            item.setToolTip(choice.label)  # a narrow list shows no more than its beginning
            self.device.addItem(item)
        texts = [choice.text for choice in self._devices]
        first = next((row for row, choice in enumerate(self._devices) if choice.kind == SIMULATED), 0)
        self.device.setCurrentRow(texts.index(chosen) if chosen in texts else first)
        self.device.scrollToItem(self.device.currentItem())
        if self.profile.count() == 0:
            self.profile.addItem(tr("choose"), "")
            for name in self._services.profiles():
                self.profile.addItem(name, name)
            for name in self._services.liquids():
                self.liquid.addItem(tr(name), name)
            for speed in SPEEDS:
                self.speed.addItem(speed_text(speed), speed)
        for blocker in blockers:
            blocker.unblock()
        self.refresh()
        if self.start.isEnabled():
            self.start.setFocus()

    def _device(self) -> str:
        """PROFILE@PORT or port of the chosen device; empty for one to be told by its address."""
        item = self.device.currentItem()
        return str(item.data(Qt.UserRole)) if item is not None else ""

    def choose_device(self, text: str) -> None:
        """Choose the device with this address, or the line for another one."""
        texts = [choice.text for choice in self._devices]
        self.device.setCurrentRow(texts.index(text) if text in texts else len(texts))

    def choice(self) -> StartChoice:
        """What is chosen now."""
        text = self._device() or self.address.text().strip()
        profile = self.profile.currentData()
        if text and not text.startswith("sim:") and "@" not in text and profile:
            text = f"{profile}@{text}"
        speed = self.speed.currentData() if text.startswith("sim:") else 1.0
        return StartChoice((text,) if text else (), str(self.liquid.currentData() or ""), self._plan, speed or 1.0)

    def refresh(self) -> None:
        """Look at the choice again and show what follows from it."""
        choice = self.choice()
        device = choice.devices[0] if choice.devices else ""
        fixed = self._services.liquid_of(device) if device else ""
        checks = self._services.checks(choice) if device else ()
        self._show(start_state(choice, checks, understood=self.confirm.isChecked(), fixed_liquid=fixed))

    def _show(self, state: StartState) -> None:
        by_address = not self._device()
        for widget in (self.address, self.address_label):
            widget.setVisible(by_address)
        known = next((d for d in self._devices if d.text == self._device()), None)
        set_text(self.detail, (known.trouble or known.detail) if known else "")
        found = known is not None and not state.simulated and "@" not in known.text
        for widget in (self.profile, self.profile_label, self.listen):
            widget.setVisible(found)
        for widget in (self.speed, self.speed_label):
            widget.setVisible(state.simulated)
        if state.fixed_liquid:
            self.liquid.blockSignals(True)
            self.liquid.setCurrentIndex(self.liquid.findData(state.fixed_liquid))
            self.liquid.blockSignals(False)
        self.liquid.setEnabled(not state.fixed_liquid)
        for index, (sign, text) in enumerate(self.checks):
            shown = index < len(state.checks)
            sign.setVisible(shown)
            text.setVisible(shown)
            if shown:
                row = state.checks[index]
                set_text(sign, row.sign)
                set_text(text, f"{row.text}. {row.way_out}".replace("..", ".").strip())
                restyle(sign, tone="trouble" if row.outcome == "bad" else "")
        listening = self._ear is not None
        self.listen.setEnabled(not listening)
        self.start.setEnabled(state.can_start and not listening)
        restyle(self.start, due="true" if self.start.isEnabled() else "false")
        self._why_not_tone("quiet")  # an earlier refusal was shown in the colour of cautions
        set_text(self.why_not, tr("Listening; this takes some seconds…") if listening else state.why_not)

    def say(self, text: str) -> None:
        """Why a run could not be opened."""
        set_text(self.why_not, text)
        self._why_not_tone("trouble")

    def _why_not_tone(self, tone: str) -> None:
        """A word beside the buttons, or a box with lines to read."""
        restyle(self.why_not, tone=tone)
        side = Qt.AlignLeft if tone == "trouble" else Qt.AlignRight
        self.why_not.setAlignment(side | Qt.AlignVCenter)

    # Listening

    def listen_now(self) -> None:
        """Listen to the chosen port, without holding the page up."""
        port = self._device()
        if self._ear is not None or not port or port.startswith("sim:"):
            return
        broken = HeardDevice("", tr("Listening broke off; try satline listen in a terminal."))
        self._ear = Background(lambda: self._services.listen(port), "satline listening", lambda: broken)
        self._ear.start()
        self._ear_timer.start()
        self.refresh()

    def _look_at_ear(self) -> None:
        heard = self._ear.result if self._ear is not None else None
        if heard is None:
            return
        self._ear_timer.stop()
        self._ear = None
        if heard.profile:
            self.profile.addItem(heard.profile, heard.profile)
            self.profile.setCurrentIndex(self.profile.count() - 1)
        self.refresh()
        set_text(self.detail, heard.told)

    def closeEvent(self, event: QCloseEvent) -> None:
        """A port is given back before the page goes."""
        if self._ear is not None:
            self._ear.wait()
        event.accept()

    # Acts

    def _confirmed(self, on: bool) -> None:
        if on:
            self.understood.emit()
        self.refresh()

    def _enter(self) -> None:
        focused = self.focusWidget()
        if isinstance(focused, QPushButton) and focused is not self.start:
            focused.click()
        else:
            self._start()

    def _start(self) -> None:
        if self.start.isEnabled():
            self._why_not_tone("quiet")
            set_text(self.why_not, tr("Opening…"))
            self.why_not.repaint()  # now: opening takes a second, in which nothing else is painted
            self.start_asked.emit(self.choice())

    def _choose_plan(self) -> None:
        path, _ = QFileDialog.getOpenFileName(self, tr("A run plan"), "", "TOML (*.toml)")
        self.use_plan(path)

    def use_plan(self, path: str) -> None:
        """Take this run plan, or the usual one for no path."""
        self._plan = path
        self.plan.setText(path.replace("\\", "/").rpartition("/")[2] if path else tr("The usual plan"))
        self.refresh()

    # Looks

    def set_look(self, look: Look) -> None:
        self._look, self._scale = look, 0.0
        self._apply_look()

    def _apply_look(self) -> None:
        scale = start_scale(self.width(), self.height(), self._look.text)
        if scale != self._scale:
            self._scale = scale
            self.setStyleSheet(style_sheet(self._look.theme, scale))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._apply_look()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._apply_look()
        self.confirm.setFocus()
