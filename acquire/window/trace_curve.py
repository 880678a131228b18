"""The line of a trace, painted column by column: what it costs follows the width of the picture, not the readings."""

from __future__ import annotations

import math

import numpy as np
import pyqtgraph as pg
from PyQt5.QtCore import QPointF, QRectF
from PyQt5.QtGui import QColor, QImage, QPainter
from PyQt5.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem

from acquire.window.strip_store import Array


def columns(x: Array, y: Array, first: int, last: int) -> tuple[Array, Array]:
    """Least and greatest y that a line through these places has in each column of dots, NaN where it is not.

    A line that noise throws up and down a thousand times is a thousand short lines to a painter; on the screen it is
    one upright bar in each column.

    Parameters
    ----------
    x, y
        Places on the paper, x never decreasing; a y that is NaN breaks the line.  [dots]
    first, last
        The columns wanted, `last` not among them.
    """
    edge = np.interp(np.arange(first, last + 1), x, y, left=np.nan, right=np.nan)
    low, high = np.fmin(edge[:-1], edge[1:]), np.fmax(edge[:-1], edge[1:])
    begin, end = np.searchsorted(x, [first, last])
    if begin < end:
        place = np.floor(x[begin:end]).astype(np.int64) - first
        starts = np.flatnonzero(np.diff(place, prepend=-1))
        hit = place[starts]
        low[hit] = np.fmin(low[hit], np.fmin.reduceat(y[begin:end], starts))
        high[hit] = np.fmax(high[hit], np.fmax.reduceat(y[begin:end], starts))
    return low, high


class TraceCurve(pg.GraphicsObject):
    """A trace against time in a view box: opaque, not smoothed."""

    def __init__(self) -> None:
        super().__init__()
        # Only what has to be painted anew is asked for: a line that moves over the trace uncovers a few columns.
        self.setFlag(QGraphicsItem.ItemUsesExtendedStyleOption)
        self._time, self._value = np.empty(0), np.empty(0)
        self.colour, self._width = QColor("black"), 2

    def set_pen(self, colour: str, width: int) -> None:
        """`width` in dots of the screen."""
        self.colour, self._width = QColor(colour), width
        self.update()

    def set_data(self, time: Array, value: Array) -> None:
        """Show these, times never decreasing; NaN where there is a gap."""
        self._time, self._value = time, value
        self.update()

    @property
    def data(self) -> tuple[Array, Array]:
        """Times and values that are shown."""
        return self._time, self._value

    def boundingRect(self) -> QRectF:
        return QRectF(self.viewRect())

    def viewRangeChanged(self) -> None:
        self.prepareGeometryChange()

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, *_args: object) -> None:
        if not len(self._time):
            return
        to, dots = painter.worldTransform(), painter.device().devicePixelRatioF()
        shown = to.mapRect(option.exposedRect)
        first, last = math.floor(shown.left() * dots), math.ceil(shown.right() * dots)
        top, bottom = math.floor(shown.top() * dots), math.ceil(shown.bottom() * dots)
        low, high = columns(
            dots * (self._time * to.m11() + to.m31()),
            dots * (self._value * to.m22() + to.m32()),
            first - self._width,
            last + self._width,
        )
        thick, most = self._width, last - first
        # As thick across as upwards: a column has what its neighbours within the thickness of the line have.
        shifts = range((thick + 1) // 2, (thick + 1) // 2 + thick)
        low = np.rint(np.fmin.reduce([low[shift : shift + most] for shift in shifts]) - thick / 2)
        high = np.rint(np.fmax.reduce([high[shift : shift + most] for shift in shifts]) - thick / 2) + thick
        if np.isnan(low).all():
            return
        top, bottom = max(top, int(np.nanmin(low))), min(bottom, int(np.nanmax(high)))
        if top >= bottom:
            return
        # Small numbers: half of what the picture costs is this comparison of each of its dots.
        begin, end = (np.nan_to_num(np.clip(edge - top, 0, bottom - top)).astype(np.int16) for edge in (low, high))
        row = np.arange(bottom - top, dtype=np.int16)[:, np.newaxis]
        dot = ((row >= begin) & (row < end)) * np.uint32(self.colour.rgba())
        picture = QImage(dot.data, most, bottom - top, 4 * most, QImage.Format_ARGB32_Premultiplied)
        picture.setDevicePixelRatio(dots)
        painter.save()
        painter.resetTransform()
        painter.drawImage(QPointF(first / dots, top / dots), picture)
        painter.restore()
