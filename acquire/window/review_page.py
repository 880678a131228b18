"""What the review window shows, put in its place; decides nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pyqtgraph as pg
from PyQt5.QtCore import Qt
from PyQt5.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from acquire.window.language import tr
from acquire.window.line_panel import LinePanel
from acquire.window.line_plot import LinePlot
from acquire.window.overview import OverviewStrip
from acquire.window.parts import ElidedLabel, text_label
from acquire.window.reason_bar import ReasonBar
from acquire.window.review_findings import FindingsList, PlaceMark
from acquire.window.review_panels import JournalList, PointsTable, ResidualPlot, RowsPanel
from acquire.window.strips import StripsPanel
from acquire.window.what_if_panel import WhatIfPanel


def _scrolling(widget: QWidget) -> QScrollArea:
    """As much of a panel as there is room for."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarAlwaysOff)
    area.setFrameShape(QFrame.NoFrame)
    area.setWidget(widget)
    return area


class ReviewPage(QWidget):
    """All panels of the review window.

    Parameters
    ----------
    title, badge
        Name of the run, and in one word whether its file is intact.
    plan
        The run's plan, for the inputs of "what if".
    growing
        The run is still being recorded.
    """

    def __init__(self, title: str, badge: str, plan: Mapping[str, Any], *, growing: bool) -> None:
        super().__init__()
        self.title, self.badge = ElidedLabel(title), ElidedLabel(badge)
        for label, role, tone in ((self.title, "title", ""), (self.badge, "basis", "quiet")):
            label.setProperty("role", role)
            label.setProperty("tone", tone)
            label.setTextFormat(Qt.PlainText)
        self.progress = text_label("basis", "quiet")
        self.overview = OverviewStrip()
        self.strips = StripsPanel()
        self.strips.offer_following(growing)
        self.lines = [pg.InfiniteLine(0.0, angle=90, movable=True) for _ in self.strips.strips]
        for strip, line in zip(self.strips.strips, self.lines, strict=True):
            strip.plot.addItem(line, ignoreBounds=True)
        self.moment, self.points, self.residuals = RowsPanel(), PointsTable(), ResidualPlot()
        self.findings, self.mark = FindingsList(), PlaceMark(self.strips.strips)
        self.journal, self.what_if = JournalList(), WhatIfPanel(plan)
        self.line, self.line_plot = LinePanel(), LinePlot()
        self.line.place.addWidget(self.line_plot)
        result = QWidget()
        column = QVBoxLayout(result)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.line, 3)
        column.addWidget(self.residuals, 1)
        self.tabs = QTabWidget()
        for widget, name in (
            (_scrolling(self.moment), tr("This second")),
            (self.points, tr("Points")),
            (result, tr("Result")),
            (self.findings, tr("Findings")),
            (self.what_if, tr("What if")),
            (self.journal, tr("Journal")),
        ):
            self.tabs.addTab(widget, name)
        self.buttons: dict[str, QPushButton] = {}
        row = QHBoxLayout()
        for name, text in (
            ("aside", tr("Set aside  ⌫")),
            ("restore", tr("Use again")),
            ("split", tr("Split at cursor")),
            ("take", tr("Take what is shown")),
            ("undo", tr("Undo  Ctrl+Z")),
            ("redo", tr("Redo")),
            ("save", tr("Save edits  Ctrl+S")),
            ("report", tr("Report  Ctrl+R")),
            ("figures", tr("Figures")),
        ):
            button = QPushButton()
            button.setText(text)
            button.setAccessibleName(text)
            button.setProperty("role", "small")
            self.buttons[name] = button
            row.addWidget(button)
        row.addStretch(1)
        self.reason = ReasonBar()
        left = QWidget()
        stack = QVBoxLayout(left)
        stack.setContentsMargins(0, 0, 0, 0)
        stack.setSpacing(8)
        stack.addWidget(self.overview)
        stack.addWidget(self.strips, 1)
        split = QSplitter(Qt.Horizontal)
        split.setHandleWidth(10)
        split.addWidget(left)
        split.addWidget(self.tabs)
        split.setStretchFactor(0, 5)
        split.setStretchFactor(1, 3)
        split.setSizes([760, 500])
        head = QHBoxLayout()
        head.addWidget(self.title)
        head.addSpacing(12)
        head.addWidget(self.badge)
        head.addStretch(1)
        head.addWidget(self.progress)
        self.setProperty("role", "window")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(10, 8, 10, 8)
        layout.addLayout(head)
        layout.addWidget(split, 1)
        layout.addWidget(self.reason)
        layout.addLayout(row)
