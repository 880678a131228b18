"""Where the panels of the bench window are; nothing of what they say."""

from __future__ import annotations

from PyQt5.QtCore import Qt
from PyQt5.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from acquire.window.acts_row import ActsRow
from acquire.window.cards import CardsRow
from acquire.window.cautions import CautionsPanel
from acquire.window.line_panel import LinePanel
from acquire.window.message_bar import MessageBar
from acquire.window.procedure import ProcedurePanel
from acquire.window.readouts import Readout
from acquire.window.status import StatusLine


class BenchLayout(QWidget):
    """Procedure on the left; readouts on top; strips over point cards; the saturation line on the right; acts below."""

    def __init__(self) -> None:
        super().__init__()
        self.procedure = ProcedurePanel()
        self.cautions = CautionsPanel()
        self.procedure.below.addWidget(self.cautions)
        self.temperature = Readout("temperature", "88.88")
        self.pressure = Readout("pressure", "888.88")
        self.strips_place = QVBoxLayout()
        self.cards = CardsRow()
        self.line = LinePanel()
        self.message = MessageBar()
        self.acts = ActsRow()
        self.status = StatusLine()
        readouts = QHBoxLayout()
        readouts.setSpacing(8)
        readouts.addWidget(self.temperature, 12)
        readouts.addWidget(self.pressure, 13)
        middle = QVBoxLayout()
        middle.setSpacing(8)
        middle.addLayout(self.strips_place, 1)
        middle.addWidget(self.cards)
        body = QHBoxLayout()
        body.setSpacing(8)
        body.addLayout(middle, 1)
        body.addWidget(self.line)
        right = QVBoxLayout()
        right.setSpacing(7)
        right.addLayout(readouts)
        right.addLayout(body, 1)
        right.addWidget(self.acts)
        # One row of fixed height for both: a message must not make the traces jump.
        bottom = QHBoxLayout()
        bottom.setSpacing(12)
        bottom.addWidget(self.message, 1)
        self.rehearsal_place = QHBoxLayout()
        bottom.addLayout(self.rehearsal_place)
        bottom.addWidget(self.status)
        right.addLayout(bottom)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(8, 6, 8, 6)
        whole.setSpacing(8)
        whole.addWidget(self.procedure)
        whole.addLayout(right, 1)
        for panel in (self.procedure, self.line):
            panel.setSizePolicy(QSizePolicy.Fixed, QSizePolicy.Expanding)
        self.setFocusPolicy(Qt.ClickFocus)  # where the keyboard rests when no field or button has it

    def set_sizes(self, scale: float, digits: float, touch: float) -> None:
        self.procedure.setFixedWidth(round(248 * scale))
        self.line.setFixedWidth(round(290 * scale))
        self.cards.setFixedHeight(round(118 * scale))
        self.acts.set_scale(scale, touch)
        self.status.setMinimumHeight(round(40 * scale))
        self.temperature.set_digit_height(digits)
        self.pressure.set_digit_height(digits)
