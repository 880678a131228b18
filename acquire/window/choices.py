"""Fields to choose with: a drop-down and a tick, drawn with letters so that they follow every theme and size."""

from __future__ import annotations

from PyQt5.QtCore import QModelIndex, QRect, QSize, Qt, pyqtSignal
from PyQt5.QtGui import QPaintEvent
from PyQt5.QtWidgets import (
    QComboBox,
    QPushButton,
    QStyle,
    QStyledItemDelegate,
    QStyleOption,
    QStyleOptionViewItem,
    QStylePainter,
)

ROOM, GAP = 10, 10  # [px] beside the entry, and between entry and arrow


class Choice(QComboBox):
    """A drop-down with a frame by the style sheet and an arrow that is a letter."""

    def sizeHint(self) -> QSize:
        """Wide enough for the longest entry, which the style of a drop-down without an arrow does not reckon."""
        letters = self.fontMetrics()
        longest = max((letters.horizontalAdvance(self.itemText(row)) for row in range(self.count())), default=0)
        hint = super().sizeHint()
        return QSize(max(hint.width(), longest + 2 * ROOM + letters.horizontalAdvance("▾") + GAP), hint.height())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QStylePainter(self)
        option = QStyleOption()
        option.initFrom(self)
        painter.drawPrimitive(QStyle.PE_Widget, option)
        painter.setPen(self.palette().text().color())
        room = self.rect().adjusted(ROOM, 0, -ROOM, 0)
        arrow = painter.fontMetrics().horizontalAdvance("▾") + GAP
        text = painter.fontMetrics().elidedText(self.currentText(), Qt.ElideRight, room.width() - arrow)
        painter.drawText(room, Qt.AlignVCenter | Qt.AlignLeft, text)
        painter.drawText(QRect(room), Qt.AlignVCenter | Qt.AlignRight, "▾" if self.isEnabled() else "")
        painter.end()


class WithinTheList(QStyledItemDelegate):
    """Entries as wide as their list, their ends left out where they are longer; nothing is moved sideways."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:
        return QSize(0, super().sizeHint(option, index).height())


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
