"""Panels of the review window: the moment, the points, the residuals, the journal, and "what if"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pyqtgraph as pg
from PyQt5.QtCore import Qt, pyqtSignal
from PyQt5.QtGui import QColor
from PyQt5.QtWidgets import (
    QAbstractItemView,
    QFormLayout,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from acquire.window.language import tr
from acquire.window.parts import set_text, text_label
from acquire.window.review_state import POINT_HEADINGS, PointRow, Row
from acquire.window.strip_axes import ValueAxis, leave_room, style_axis
from acquire.window.themes import LIGHT, Theme

if TYPE_CHECKING:
    from acquire.review.journal_view import JournalLine


class RowsPanel(QWidget):
    """Names and values one under the other.  Decides nothing."""

    def __init__(self) -> None:
        super().__init__()
        self._form = QFormLayout(self)
        self._form.setLabelAlignment(Qt.AlignLeft | Qt.AlignTop)
        self._form.setRowWrapPolicy(QFormLayout.WrapLongRows)
        self._rows: list[tuple[QLabel, QLabel]] = []

    def show_rows(self, rows: Sequence[Row]) -> None:
        while len(self._rows) < len(rows):
            name, value = text_label("row", "quiet"), text_label("basis", wrap=True)
            value.setTextInteractionFlags(Qt.TextSelectableByMouse)
            self._form.addRow(name, value)
            self._rows.append((name, value))
        for index, (name, value) in enumerate(self._rows):
            shown = index < len(rows)
            name.setVisible(shown)
            value.setVisible(shown)
            if shown:
                set_text(name, rows[index].name)
                set_text(value, rows[index].value)
                value.setWordWrap(" " in rows[index].value)  # a number alone is never broken at its mark


def plain_table(headings: Sequence[str]) -> QTableWidget:
    """A table to read and choose rows from."""
    table = QTableWidget(0, len(headings))
    table.setHorizontalHeaderLabels(list(headings))
    table.verticalHeader().setVisible(False)
    table.setEditTriggers(QAbstractItemView.NoEditTriggers)
    table.setSelectionBehavior(QAbstractItemView.SelectRows)
    table.setSelectionMode(QAbstractItemView.SingleSelection)
    table.setWordWrap(True)
    table.setShowGrid(False)
    table.setAlternatingRowColors(True)
    table.horizontalHeader().setHighlightSections(False)  # bold letters need room that is not there
    table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeToContents)
    table.horizontalHeader().setStretchLastSection(True)
    return table


class PointsTable(QTableWidget):
    """The points with what the fit says of each.

    Signals
    -------
    point_chosen
        Number of the point whose row was chosen.
    """

    point_chosen = pyqtSignal(int)

    def __init__(self) -> None:
        super().__init__(0, len(POINT_HEADINGS))
        # Name above unit: the columns are as narrow as their numbers.
        self.setHorizontalHeaderLabels([tr(heading).replace(" / ", " /\n") for heading in POINT_HEADINGS])
        self.horizontalHeader().setHighlightSections(False)
        self.verticalHeader().setVisible(False)
        self.setEditTriggers(QAbstractItemView.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectRows)
        self.setSelectionMode(QAbstractItemView.SingleSelection)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeToContents)
        self.setAccessibleName(tr("Points"))
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self._numbers: list[int] = []
        self.cellClicked.connect(lambda row, _column: self.point_chosen.emit(self._numbers[row]))

    def show_rows(self, rows: Sequence[PointRow], selected: int | None) -> None:
        self._numbers = [row.number for row in rows]
        self.setRowCount(len(rows))
        for index, row in enumerate(rows):
            for column, text in enumerate(row.cells):
                item = QTableWidgetItem(text)
                font = item.font()
                font.setStrikeOut(not row.used and column > 1)
                item.setFont(font)
                self.setItem(index, column, item)
        self.clearSelection()
        if selected in self._numbers:
            self.selectRow(self._numbers.index(selected))


class ResidualPlot(pg.PlotWidget):
    """Reading less fit of every point, over its temperature."""

    def __init__(self) -> None:
        self._axes = {"left": ValueAxis(tr("residual / Pa")), "bottom": ValueAxis(tr("T / °C"), "bottom")}
        super().__init__(axisItems=self._axes)
        self.setFocusPolicy(Qt.NoFocus)
        self.setMenuEnabled(False)
        self.setMouseEnabled(x=False, y=False)
        self.setMinimumHeight(150)
        self.hideButtons()
        self._zero = pg.InfiniteLine(0.0, angle=0)
        self._bars = pg.ErrorBarItem(x=np.zeros(0), y=np.zeros(0), height=np.zeros(0))
        self._dots = pg.ScatterPlotItem()
        for item in (self._zero, self._bars, self._dots):
            self.addItem(item)
        self._theme = LIGHT
        self._shown: tuple[tuple[float, float, float], ...] = ()

    def set_look(self, theme: Theme, pixels: int) -> None:
        self._theme = theme
        self.setBackground(theme.card)
        for axis in self._axes.values():
            style_axis(axis, theme.axis, pixels)
        self._axes["left"].setWidth(round(pixels * 5))
        self._axes["bottom"].setHeight(round(pixels * 3.1))
        leave_room(self.getPlotItem(), pixels)
        self._zero.setPen(pg.mkPen(theme.quiet, width=1))
        self._dots.setData(symbol="o", size=pixels * 0.8, pen=pg.mkPen(theme.ink, width=2), brush=QColor(theme.card))
        self.show_residuals(self._shown)

    def show_residuals(self, found: Sequence[tuple[float, float, float]]) -> None:
        self._shown = tuple(found)
        if not found:
            self._dots.setData([], [])
            self._bars.setOpts(x=np.zeros(0), y=np.zeros(0), height=np.zeros(0))
            return
        x, y, u = (np.array(column) for column in zip(*found, strict=True))
        self._dots.setData(x, y)
        self._bars.setOpts(x=x, y=y, height=2 * 1.96 * u, pen=pg.mkPen(self._theme.ink, width=1), beam=0.0)
        reach = max(float(abs(y).max() + 1.96 * u.max()), 1.0)
        self.setRange(xRange=(float(x.min()) - 1, float(x.max()) + 1), yRange=(-1.15 * reach, 1.15 * reach), padding=0)


class JournalList(QWidget):
    """The journal as a readable list.

    Signals
    -------
    time_chosen
        The entry at this run time was chosen.  [s]
    """

    time_chosen = pyqtSignal(float)

    def __init__(self) -> None:
        super().__init__()
        self.table = plain_table((tr("time"), tr("who"), tr("what"), tr("details")))
        self.table.setAccessibleName(tr("Journal"))
        # Details stay in sight: what happened breaks over two lines before they leave the panel.
        self.table.horizontalHeader().setSectionResizeMode(2, QHeaderView.Interactive)
        self.table.setColumnWidth(2, 150)
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeToContents)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.table)
        self._times: list[float] = []
        self.table.cellClicked.connect(lambda row, _column: self.time_chosen.emit(self._times[row]))

    def show_lines(self, lines: Sequence[JournalLine]) -> None:
        self._times = [line.time for line in lines]
        self.table.setRowCount(len(lines))
        for row, line in enumerate(lines):
            # A number may part from its unit here: the panel is narrow, and what does not fit is not shown at all.
            detail = line.detail.replace("\N{NO-BREAK SPACE}", " ")
            for column, text in enumerate((line.clock, line.who, line.what, detail)):
                self.table.setItem(row, column, QTableWidgetItem(text))
