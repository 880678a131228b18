"""The debrief on the screen at the end of a rehearsal: the few sentences that matter, results, tables, aims."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PyQt5.QtCore import Qt
from PyQt5.QtGui import QKeyEvent, QKeySequence, QResizeEvent
from PyQt5.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLayout,
    QPushButton,
    QScrollArea,
    QShortcut,
    QVBoxLayout,
    QWidget,
)  # fmt: skip

from acquire.window.language import tr
from acquire.window.looks import Look, automatic_scale
from acquire.window.parts import framed, on_paper, text_label
from acquire.window.style_sheet import style_sheet

if TYPE_CHECKING:  # the page brings jinja2 with it
    from collections.abc import Callable

    from acquire.report.debrief_content import DebriefContent, DebriefTable

SCROLL = 60  # [px] a press of an arrow key


class DebriefWindow(QWidget):
    """Shows a `DebriefContent`; Esc closes it, arrows and page keys move it.

    Parameters
    ----------
    open_page
        Opens the page to keep.
    leave_all
        Leaves the program, for who presses Ctrl+Q here.
    """

    def __init__(
        self,
        content: DebriefContent,
        look: Look,
        open_page: Callable[[], None],
        leave_all: Callable[[], object] | None = None,
    ) -> None:
        super().__init__()
        self.setWindowTitle(f"{content.title} – satline")
        on_paper(self)
        self._look = look
        self._fitted: tuple[float, int] | None = None  # for which size the letters were chosen
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(22, 12, 22, 12)
        column.setSpacing(10)
        column.addWidget(_said("page title", content.title))
        column.addWidget(_said("basis", f"{content.subtitle} · {content.banner}", "quiet"))
        column.addWidget(_box([_said("said", f"• {line}") for line in content.lines]))
        column.addWidget(_results(content.results))
        self.tables = [_table(table) for table in content.tables]
        for table in self.tables:
            column.addWidget(table)
        if content.aims:
            aims = [_said("body", f"• {aim}") for aim in content.aims]
            column.addWidget(_box([_said("panel heading", tr("What this scenario is for")), *aims]))
        column.addStretch(1)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFocusPolicy(Qt.StrongFocus)
        self.area.setWidget(inside)
        self.page = QPushButton(tr("Open the page to keep  Ctrl+R"))
        self.leave = QPushButton(tr("Close  Esc"))
        self.page.clicked.connect(open_page)
        self.leave.clicked.connect(self.close)
        QShortcut(QKeySequence("Ctrl+R"), self).activated.connect(self.page.click)
        away = QShortcut(QKeySequence("Ctrl+Q"), self)
        away.activated.connect(self.close)
        if leave_all is not None:
            away.activated.connect(leave_all)
        row = QHBoxLayout()
        row.setContentsMargins(22, 0, 22, 0)
        row.addStretch(1)
        row.addWidget(self.page)
        row.addWidget(self.leave)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 6, 0, 12)
        layout.addWidget(self.area, 1)
        layout.addLayout(row)
        self.resize(1280, 800)
        self.area.setFocus()

    def texts(self) -> list[str]:
        """Everything that is said, from top to bottom."""
        return [label.text() for label in self.area.widget().findChildren(QLabel)]

    def keyPressEvent(self, event: QKeyEvent) -> None:
        bar = self.area.verticalScrollBar()
        if event.key() == Qt.Key_Escape:
            self.close()
        elif event.key() in (Qt.Key_Home, Qt.Key_End):
            bar.setValue(bar.minimum() if event.key() == Qt.Key_Home else bar.maximum())
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        plain = automatic_scale(self.width(), self.height())
        key = (plain, self.width())
        if key != self._fitted:
            self._fitted = key
            scale = plain * self._look.text
            self._letters(scale)
            # Letters stop growing where a table would be wider than the window.
            while self._too_wide() and scale > plain:
                scale = max(plain, scale - 0.1)
                self._letters(scale)

    def _letters(self, scale: float) -> None:
        self.setStyleSheet(style_sheet(self._look.theme, scale))
        self.area.verticalScrollBar().setSingleStep(round(SCROLL * scale))

    def _too_wide(self) -> bool:
        inside = self.area.widget()
        for layout in inside.findChildren(QLayout):
            layout.invalidate()
        inside.layout().invalidate()
        room = self.width() - self.area.verticalScrollBar().sizeHint().width() - 4
        return inside.layout().totalMinimumSize().width() > room


def _said(role: str, text: str, tone: str = "") -> QLabel:
    label = text_label(role, tone, wrap=True)
    label.setText(text)
    return label


def _box(widgets: list[QLabel]) -> QWidget:
    box = framed("panel")
    layout = QVBoxLayout(box)
    layout.setContentsMargins(16, 10, 16, 10)
    layout.setSpacing(6)
    for widget in widgets:
        layout.addWidget(widget)
    return box


def _results(rows: tuple[tuple[str, str], ...]) -> QWidget:
    box = framed("panel")
    grid = QGridLayout(box)
    grid.setContentsMargins(16, 10, 16, 10)
    grid.setHorizontalSpacing(18)
    grid.setColumnStretch(1, 1)
    for row, (name, value) in enumerate(rows):
        grid.addWidget(_said("body", name, "quiet"), row, 0)
        grid.addWidget(_said("body", value), row, 1)
    return box


def _table(table: DebriefTable) -> QWidget:
    box = framed("panel")
    grid = QGridLayout(box)
    grid.setContentsMargins(16, 10, 16, 10)
    grid.setHorizontalSpacing(18)
    grid.setVerticalSpacing(5)
    width = len(table.headers)
    grid.addWidget(_said("panel heading", table.heading), 0, 0, 1, width)
    if not table.rows:
        grid.addWidget(_said("body", table.empty), 1, 0, 1, width)
        return box
    for column, header in enumerate(table.headers):
        # Sentences take the room that numbers leave; the letters of its longest cell say how much each column wants.
        longest = max(len(row[column]) for row in table.rows)
        grid.setColumnStretch(column, max(1, min(longest, 60) // 8))
        grid.addWidget(_said("basis", header, "quiet"), 1, column)
    for place, cells in enumerate(table.rows, 2):
        for column, cell in enumerate(cells):
            grid.addWidget(_said("body", cell), place, column, Qt.AlignTop)
    if table.note:
        grid.addWidget(_said("basis", table.note, "quiet"), len(table.rows) + 2, 0, 1, width)
    return box
