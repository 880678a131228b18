"""What lies behind and above a trace: grid, plateaus, marks, limits and their labels, painted in one go each."""

from __future__ import annotations

import pyqtgraph as pg
from PyQt5.QtCore import QPointF, QRectF, Qt
from PyQt5.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from acquire.window.strip_layout import LABEL_ROWS, label_rows
from acquire.window.strips_state import Limit, Span, StripsState
from acquire.window.themes import LIGHT, Theme

EMPTY = StripsState(0.0, (), (), (), "")


class _Sheet(pg.GraphicsObject):
    """A sheet as large as a view box, in its pixels."""

    def __init__(self, box: pg.ViewBox, channel: str, z: float) -> None:
        super().__init__()
        self.setParentItem(box)
        self.setZValue(z)
        self.box, self.channel = box, channel
        self.state = EMPTY
        self.theme = LIGHT
        self.pixels = 13
        self.setFlag(self.ItemClipsToShape, True)
        box.sigResized.connect(self._resized)

    def _resized(self, *_args: object) -> None:
        self.prepareGeometryChange()

    def boundingRect(self) -> QRectF:
        return QRectF(0, 0, self.box.width(), self.box.height())

    def show_state(self, state: StripsState) -> None:
        if state != self.state:
            self.state = state
            self.update()

    def set_look(self, theme: Theme, pixels: int) -> None:
        self.theme, self.pixels = theme, pixels
        self.update()

    def x_of(self, time: float) -> float:
        (left, right), _ = self.box.viewRange()
        return (time - left) / (right - left) * self.box.width()

    def y_of(self, value: float) -> float:
        _, (low, high) = self.box.viewRange()
        return (high - value) / (high - low) * self.box.height()

    def limits(self) -> list[Limit]:
        return [limit for limit in self.state.limits if limit.channel == self.channel]


class Ground(_Sheet):
    """Behind the trace: plateaus and grid lines."""

    def __init__(self, box: pg.ViewBox, channel: str, axes: tuple[pg.AxisItem, pg.AxisItem]) -> None:
        super().__init__(box, channel, -10)
        self._axes = axes

    def paint(self, painter: QPainter, *_args: object) -> None:
        width, height = self.box.width(), self.box.height()
        for span in self.state.spans:
            self._paint_span(painter, span, width, height)
        painter.setPen(QPen(QColor(self.theme.grid), 1))
        (left, right), (low, high) = self.box.viewRange()
        across, along = self._axes
        for time in _ticks(along, left, right, width):
            x = round(self.x_of(time)) + 0.5
            painter.drawLine(QPointF(x, 0), QPointF(x, height))
        for value in _ticks(across, low, high, height):
            y = round(self.y_of(value)) + 0.5
            painter.drawLine(QPointF(0, y), QPointF(width, y))

    def _paint_span(self, painter: QPainter, span: Span, width: float, height: float) -> None:
        left, right = self.x_of(span.start), self.x_of(span.end)
        if right < 0 or left > width:
            return
        rect = QRectF(left, 0, max(2.0, right - left), height)
        fill = {"point": self.theme.plateau, "baseline": self.theme.act_back, "offered": self.theme.offered}
        if span.kind in fill:
            painter.fillRect(rect, QColor(fill[span.kind]))
        edge = self.theme.plateau_edge if span.kind in ("point", "baseline") else self.theme.ink
        style = {"offered": Qt.DashLine, "forming": Qt.DashLine, "set aside": Qt.DotLine}.get(span.kind, Qt.SolidLine)
        painter.setPen(QPen(QColor(edge), 1, style))
        for x in (rect.left(), rect.right()):
            painter.drawLine(QPointF(round(x) + 0.5, 0), QPointF(round(x) + 0.5, height))


#: Shares of a strip's height that stay free above the trace.
LEAST_FREE, LEAST_FREE_WITH_WORDS, MOST_FREE = 0.08, 0.2, 0.42


class Writing(_Sheet):
    """Above the trace: moments with their words, limits, numbers of points."""

    def __init__(self, box: pg.ViewBox, channel: str, words: bool) -> None:
        super().__init__(box, channel, 20)
        self._words = words
        self.rows = 1  # of words that were written last
        self._written: list[QRectF] = []  # where words stand

    def paint(self, painter: QPainter, *_args: object) -> None:
        painter.setRenderHint(QPainter.TextAntialiasing)
        font = QFont()
        font.setPixelSize(self.pixels)
        painter.setFont(font)
        metrics = QFontMetricsF(font)
        self._written = []
        shown = [limit for limit in self.limits() if 0 <= self.y_of(limit.value) <= self.box.height()]
        painter.setPen(QPen(QColor(self.theme.ink), 1.5, Qt.DashLine))
        for limit in shown:
            y = self.y_of(limit.value)
            painter.drawLine(QPointF(0, y), QPointF(self.box.width(), y))
        self._paint_marks(painter, metrics)
        if self._words:
            self._paint_numbers(painter, metrics)
        for limit in shown:
            self._name_limit(painter, metrics, limit)

    def free_share(self) -> float:
        """Share of the height that must stay free at the top, so that no word lies over the trace."""
        if not self._words or self.box.height() <= 0:
            return LEAST_FREE
        return min(MOST_FREE, max(LEAST_FREE_WITH_WORDS, (self.rows + 0.4) * 1.3 * self.pixels / self.box.height()))

    def _name_limit(self, painter: QPainter, metrics: QFontMetricsF, limit: Limit) -> None:
        """Write what the line is where no other word stands: on the left or on the right, under it or over it."""
        y, right = self.y_of(limit.value), self.box.width() - metrics.horizontalAdvance(limit.label) - 8
        under, over = min(self.box.height() - 3, y + metrics.ascent() + 3), y - metrics.descent() - 2
        for x, line in ((8, under), (right, under), (8, over), (right, over)):
            patch = _patch(metrics, x, line, limit.label)
            if patch.top() >= 0 and not any(patch.intersects(other) for other in self._written):
                self._write(painter, metrics, x, line, limit.label)
                return

    def _paint_marks(self, painter: QPainter, metrics: QFontMetricsF) -> None:
        width = self.box.width()
        shown = [mark for mark in self.state.marks if -200 < self.x_of(mark.time) < width]
        places = [_beside(self.x_of(mark.time), metrics.horizontalAdvance(mark.text), width) for mark in shown]
        most = LABEL_ROWS if self.box.height() > LABEL_ROWS * 5 * metrics.height() else LABEL_ROWS - 1
        rows = label_rows(places, most)
        self.rows = 1 + max((row for row in rows if row is not None), default=0)
        for mark, (left, _), row in zip(shown, places, rows, strict=True):
            x = round(self.x_of(mark.time)) + 0.5
            ink = QColor(self.theme.ink if mark.kind != "act" else self.theme.quiet)
            style = {"note": Qt.DashDotLine, "trouble": Qt.SolidLine}.get(mark.kind, Qt.DotLine)
            painter.setPen(QPen(ink, 1.5 if mark.kind == "trouble" else 1, style))
            painter.drawLine(QPointF(x, 0), QPointF(x, self.box.height()))
            if self._words and row is not None:
                self._write(painter, metrics, left, metrics.ascent() + 3 + row * (metrics.height() + 1), mark.text)

    def _paint_numbers(self, painter: QPainter, metrics: QFontMetricsF) -> None:
        for span in self.state.spans:
            left, right = self.x_of(span.start), self.x_of(span.end)
            width = metrics.horizontalAdvance(span.label)
            if not span.label or right < 0 or left > self.box.width():
                continue
            if len(span.label) > 2 and width > right - left - 6:
                continue  # a word that does not fit its span says nothing; a number is always shown
            self._write(painter, metrics, (left + right - width) / 2, self.box.height() - 6, span.label)

    def _write(self, painter: QPainter, metrics: QFontMetricsF, x: float, y: float, text: str) -> None:
        """Text on a patch of paper, so that no line runs through it."""
        patch = _patch(metrics, x, y, text)
        self._written.append(patch)
        paper = QColor(self.theme.card)
        paper.setAlpha(215)
        painter.fillRect(patch, paper)
        painter.setPen(QColor(self.theme.ink))
        painter.drawText(QPointF(x, y), text)


def _patch(metrics: QFontMetricsF, x: float, y: float, text: str) -> QRectF:
    """The paper under a text."""
    return metrics.boundingRect(text).translated(x, y).adjusted(-2, 0, 2, 0)


def _beside(x: float, text_width: float, width: float) -> tuple[float, float]:
    """Left edge and width of a word beside its line; never over the right edge of the picture."""
    return min(x + 4, width - text_width - 4), text_width


def _ticks(axis: pg.AxisItem, low: float, high: float, size: float) -> list[float]:
    if size <= 0 or high <= low:
        return []
    return [value for _, values in axis.tickValues(low, high, size)[:1] for value in values]
