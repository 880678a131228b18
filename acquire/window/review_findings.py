"""The findings of a reviewed run as a list that leads to where the traces show them, and the mark over the strips."""

from __future__ import annotations

from collections.abc import Sequence

import pyqtgraph as pg
from PyQt5.QtCore import Qt, pyqtSignal
from PyQt5.QtGui import QColor
from PyQt5.QtWidgets import QFrame, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from acquire.window.language import tr
from acquire.window.parts import set_text, text_label
from acquire.window.review_findings_state import FindingLine
from acquire.window.strip import Strip
from acquire.window.themes import Theme


class FindingCard(QFrame):
    """One finding: how grave, what was seen, what to do, and a button to its place."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "panel")
        self.word, self.text = text_label("card heading"), text_label("basis", wrap=True)
        self.advice = text_label("basis", "quiet", wrap=True)
        self.show_place = QPushButton()
        self.show_place.setProperty("role", "small")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 6, 8, 8)
        layout.setSpacing(3)
        for widget in (self.word, self.text, self.advice):
            layout.addWidget(widget)
        layout.addWidget(self.show_place, 0, Qt.AlignLeft)

    def say(self, line: FindingLine) -> None:
        set_text(self.word, line.word)
        set_text(self.text, line.text)
        set_text(self.advice, line.advice)
        self.show_place.setVisible(line.place is not None)
        self.show_place.setText(tr("Show: {0}").format(line.where))
        self.show_place.setAccessibleName(f"{self.show_place.text()} · {line.text}")


class FindingsList(QScrollArea):
    """All findings, the worst first.

    Signals
    -------
    chosen
        Index of the finding whose place is to be shown.
    """

    chosen = pyqtSignal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarAlwaysOff)
        self.setAccessibleName(tr("Findings"))
        inside = QWidget()
        self._column = QVBoxLayout(inside)
        self._column.setContentsMargins(6, 6, 6, 6)
        self.none: QLabel = text_label("basis", "quiet", wrap=True)
        self._column.addWidget(self.none)
        self._column.addStretch(1)
        self.setWidget(inside)
        self.cards: list[FindingCard] = []

    def show_lines(self, lines: Sequence[FindingLine], none: str) -> None:
        """Show these; `none` where there are none."""
        while len(self.cards) < len(lines):
            card, index = FindingCard(), len(self.cards)
            card.show_place.clicked.connect(lambda _checked=False, index=index: self.chosen.emit(index))
            self._column.insertWidget(1 + index, card)
            self.cards.append(card)
        for index, card in enumerate(self.cards):
            card.setVisible(index < len(lines))
            if index < len(lines):
                card.say(lines[index])
        self.none.setVisible(not lines)
        set_text(self.none, none)


class PlaceMark:
    """Shades the stretch of a finding over the strips."""

    def __init__(self, strips: Sequence[Strip]) -> None:
        self._items = [pg.LinearRegionItem((0.0, 0.0), movable=False) for _ in strips]
        for strip, item in zip(strips, self._items, strict=True):
            item.setZValue(-30)
            item.setVisible(False)
            strip.plot.addItem(item, ignoreBounds=True)

    def set_look(self, theme: Theme) -> None:
        fill = QColor(theme.offered)
        fill.setAlpha(120)  # the windows of the points are seen through it
        for item in self._items:
            item.setBrush(fill)
            for line in item.lines:
                line.setPen(pg.mkPen(theme.ink, width=1, style=Qt.DashLine))

    def show(self, start: float, end: float) -> None:
        for item in self._items:
            item.setRegion((start, end))
            item.setVisible(True)

    def hide(self) -> None:
        for item in self._items:
            item.setVisible(False)

    @property
    def stretch(self) -> tuple[float, float] | None:
        """What is marked, None where nothing is.  [s]"""
        item = self._items[0]
        return tuple(map(float, item.getRegion())) if item.isVisible() else None  # type: ignore[return-value]
