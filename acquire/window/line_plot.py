"""The saturation line: ln(p/kPa) of the vapour over 1000 K / T, with its 95 % band."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PyQt5.QtCore import Qt
from PyQt5.QtGui import QColor

from acquire.window.line_state import LinePoint
from acquire.window.strip_axes import ValueAxis, style_axis
from acquire.window.themes import LIGHT, Theme

Curve = tuple[tuple[float, float, float, float], ...]


class LinePlot(pg.PlotWidget):
    """Shows points and curve.  Decides nothing."""

    def __init__(self) -> None:
        self._axes = {
            "left": ValueAxis(),
            "bottom": ValueAxis(side="bottom"),
        }
        super().__init__(axisItems=self._axes)
        self.setFocusPolicy(Qt.NoFocus)
        self.setMenuEnabled(False)
        self.setMouseEnabled(x=False, y=False)
        self.hideButtons()
        self.plotItem.layout.setContentsMargins(0, 8, 6, 0)  # the topmost number stands half above the axis
        self._low, self._high = pg.PlotCurveItem(), pg.PlotCurveItem()
        self._band = pg.FillBetweenItem(self._low, self._high)
        self._line = pg.PlotCurveItem(antialias=True)
        self._bars = pg.ErrorBarItem(x=np.zeros(0), y=np.zeros(0), height=np.zeros(0))
        self._used, self._aside = pg.ScatterPlotItem(), pg.ScatterPlotItem()
        for item in (self._band, self._line, self._bars, self._used, self._aside):
            self.addItem(item)
        self._theme = LIGHT
        self._shown: tuple[tuple[LinePoint, ...], Curve] = ((), ())

    def set_look(self, theme: Theme, pixels: int) -> None:
        self._theme = theme
        self.setBackground(theme.card)
        for axis in self._axes.values():
            style_axis(axis, theme.axis, pixels)
        self._axes["left"].setWidth(round(pixels * 3.2))
        self._axes["bottom"].setHeight(round(pixels * 1.8))
        dots = self.devicePixelRatioF()
        self._line.setPen(pg.mkPen(theme.ink, width=2 * dots))
        self._band.setBrush(QColor(theme.bar_back))
        self._bars.setOpts(pen=pg.mkPen(theme.ink, width=dots), beam=0.0)
        self._used.setData(
            symbol="o", size=pixels * 0.8, pen=pg.mkPen(theme.ink, width=2 * dots), brush=QColor(theme.card)
        )
        self._aside.setData(symbol="x", size=pixels * 0.8, pen=pg.mkPen(theme.quiet, width=2 * dots), brush=None)
        self._draw(*self._shown)

    def show_points(self, points: tuple[LinePoint, ...], curve: Curve) -> None:
        if (points, curve) != self._shown:
            self._shown = (points, curve)
            self._draw(points, curve)

    def _draw(self, points: tuple[LinePoint, ...], curve: Curve) -> None:
        x, y, low, high = np.array(curve, dtype=float).reshape(-1, 4).T
        self._line.setData(x, y)
        self._low.setData(x, low)
        self._high.setData(x, high)
        self._band.setVisible(len(x) > 0)
        used = [point for point in points if point.used]
        aside = [point for point in points if not point.used]
        self._bars.setOpts(
            x=np.array([point.x for point in used]), y=np.array([point.y for point in used]),
            height=2 * np.array([point.half for point in used]),
        )  # fmt: skip
        for item, group in ((self._used, used), (self._aside, aside)):
            item.setData([point.x for point in group], [point.y for point in group])
        xs = [*x, *(point.x for point in points)]
        ys = [*low, *high, *(point.y for point in points)]
        if not xs:
            xs, ys = [3.1, 3.4], [0.0, 3.0]
        wide, tall = max(max(xs) - min(xs), 0.02), max(max(ys) - min(ys), 0.1)
        self.getViewBox().setRange(
            xRange=(min(xs) - 0.06 * wide, max(xs) + 0.06 * wide),
            yRange=(min(ys) - 0.06 * tall, max(ys) + 0.06 * tall),
            padding=0,
        )
