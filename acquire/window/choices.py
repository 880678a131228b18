"""Fields to choose with: a drop-down and a tick, drawn with letters so that they follow every theme and size."""

from __future__ import annotations

from PyQt5.QtCore import QRect, Qt, pyqtSignal
from PyQt5.QtGui import QPaintEvent
from PyQt5.QtWidgets import QComboBox, QPushButton, QStyle, QStyleOption, QStylePainter


class Choice(QComboBox):
    """A drop-down with a frame by the style sheet and an arrow that is a letter."""

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QStylePainter(self)
        option = QStyleOption()
        option.initFrom(self)
        painter.drawPrimitive(QStyle.PE_Widget, option)
        painter.setPen(self.palette().text().color())
        room = self.rect().adjusted(10, 0, -10, 0)
        arrow = painter.fontMetrics().horizontalAdvance("▾") + 8
        text = painter.fontMetrics().elidedText(self.currentText(), Qt.ElideRight, room.width() - arrow)
        painter.drawText(room, Qt.AlignVCenter | Qt.AlignLeft, text)
        painter.drawText(QRect(room), Qt.AlignVCenter | Qt.AlignRight, "▾" if self.isEnabled() else "")
        painter.end()


class Tick(QPushButton):
    """Something to confirm; its box is part of its text.

    Signals
    -------
    confirmed
        The new state.
    """

    confirmed = pyqtSignal(bool)

    def __init__(self, text: str) -> None:
        super().__init__()
        self._text = text
        self.setCheckable(True)
        self.setAccessibleName(text)
        self.toggled.connect(self._toggled)
        self._write()

    def _toggled(self, on: bool) -> None:
        self._write()
        self.confirmed.emit(on)

    def _write(self) -> None:
        self.setText(("☑" if self.isChecked() else "☐") + "  " + self._text)
