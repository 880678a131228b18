"""A second window for a projector or the far end of the bench: two numbers, the step, what to do, how long still."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PyQt5.QtCore import Qt
from PyQt5.QtGui import QCloseEvent, QKeyEvent, QResizeEvent
from PyQt5.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from acquire.window.cautions import CautionsPanel
from acquire.window.cautions_state import caution_cards
from acquire.window.language import tr
from acquire.window.looks import Look, automatic_scale
from acquire.window.parts import FittedText, framed, on_paper, set_text, text_label
from acquire.window.procedure_state import procedure_state
from acquire.window.readouts import Readout
from acquire.window.readouts_state import readout_states
from acquire.window.style_sheet import style_sheet

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import Snapshot


FAR = 1.6  # times the letters of the bench window
ACT_SIZE = 46.0  # [px] at scale 1: what to do is read from as far as the numbers


class BigNumbersWindow(QWidget):
    """Shows snapshots; takes no acts but being closed with Escape."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setWindowTitle(tr("satline, big numbers"))
        on_paper(self)
        self._look = look
        self._scale = 0.0
        self.temperature = Readout("temperature", "88.88")
        self.pressure = Readout("pressure", "888.88")
        self.step = text_label("big step", "quiet", wrap=True)
        self.act = FittedText(ACT_SIZE)
        self.detail = text_label("big detail", wrap=True)
        self.cautions = CautionsPanel()
        numbers = QHBoxLayout()
        numbers.setSpacing(12)
        numbers.addWidget(self.temperature, 10)
        numbers.addWidget(self.pressure, 11)
        box = framed("act")
        inside = QVBoxLayout(box)
        inside.setContentsMargins(24, 14, 24, 14)
        inside.setSpacing(10)
        inside.addStretch(1)
        for label in (self.step, self.act, self.detail):
            inside.addWidget(label)
        inside.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(12)
        layout.addLayout(numbers)
        layout.addWidget(box, 1)
        layout.addWidget(self.cautions)
        self.resize(1280, 720)

    def set_look(self, look: Look) -> None:
        self._look = look
        self._scale = 0.0
        self._apply()

    def show_snapshot(self, snapshot: Snapshot) -> None:
        warm, press = readout_states(snapshot)
        self.temperature.show_state(warm)
        self.pressure.show_state(press)
        self._level_digits()
        procedure = procedure_state(snapshot)
        current = next((row.text for row in procedure.rows if row.state == "current"), "")
        set_text(self.step, current)
        self.act.set_text(procedure.next_act.text)
        set_text(self.detail, procedure.next_act.detail)
        self.cautions.show_state(caution_cards(snapshot)[:1])

    def _apply(self) -> None:
        # Everything here is read from further away than the bench window's small print.
        scale = FAR * automatic_scale(self.width(), self.height())
        if scale != self._scale:
            self._scale = scale
            self.setStyleSheet(style_sheet(self._look.theme, scale))
        self.act.set_look(self._look.theme.ink, scale)
        for readout in (self.temperature, self.pressure):
            readout.set_look(self._look.theme, scale)
        self._level_digits()

    def _level_digits(self) -> None:
        """One height for both, as it fits now: the wider number decides."""
        readouts = (self.temperature, self.pressure)
        height = min(0.26 * self.height(), *(readout.digits.fitting_height() for readout in readouts))
        for readout in readouts:
            readout.set_digit_height(height)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._apply()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key_Escape:
            self.close()
            return
        super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.hide()
        event.accept()
