"""One strip: a trace against time with its axis, paper and writing."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PyQt5.QtCore import QObject, Qt, pyqtSignal

from acquire.window.strip_axes import TimeAxis, ValueAxis, style_axis
from acquire.window.strip_layout import value_range
from acquire.window.strip_paper import Ground, Writing
from acquire.window.strip_store import LIVE_CAPACITY, Array, StripStore
from acquire.window.strips_state import StripsState
from acquire.window.themes import Theme
from acquire.window.trace_curve import TraceCurve


class StripBox(pg.ViewBox):
    """A view box that pans and zooms along time only and says where it was clicked."""

    time_clicked = pyqtSignal(float)
    moved_by_hand = pyqtSignal()

    def __init__(self) -> None:
        super().__init__(enableMenu=False, border=None)
        self.setMouseEnabled(x=True, y=False)
        self.disableAutoRange()
        self.setDefaultPadding(0.0)

    def mouseClickEvent(self, ev: pg.GraphicsScene.mouseEvents.MouseClickEvent) -> None:
        if ev.button() == Qt.LeftButton:
            ev.accept()
            self.time_clicked.emit(float(self.mapSceneToView(ev.scenePos()).x()))

    def mouseDragEvent(self, ev, axis=None) -> None:
        self.moved_by_hand.emit()
        super().mouseDragEvent(ev, axis=0)

    def wheelEvent(self, ev, axis=None) -> None:
        self.moved_by_hand.emit()
        super().wheelEvent(ev, axis=0)


class Strip(QObject):
    """Trace of one channel in the unit that is shown.

    Parameters
    ----------
    least
        The smallest height of the value axis, in the unit shown.
    words
        Whether marks and points are written on this strip.
    """

    def __init__(self, channel: str, least: float, *, words: bool, with_time: bool) -> None:
        super().__init__()
        self.channel = channel
        self.store = StripStore(LIVE_CAPACITY, reserved=True)
        self.box = StripBox()
        self.axis = ValueAxis()
        self.axis.finest = 0.1
        self.time_axis = TimeAxis(named=with_time)
        self.plot = pg.PlotItem(viewBox=self.box, axisItems={"left": self.axis, "bottom": self.time_axis})
        self.plot.hideButtons()
        self.plot.setMenuEnabled(False)
        self.curve = TraceCurve()
        self.plot.addItem(self.curve)
        self.ground = Ground(self.box, channel, (self.axis, self.time_axis))
        self.writing = Writing(self.box, channel, words)
        self._least = least
        self._with_time = with_time
        self._range: tuple[float, float] | None = None
        self._drawn: tuple[int, float, float, int] | None = None
        if not with_time:
            self.time_axis.setStyle(showValues=False)

    def set_look(self, theme: Theme, colour: str, pixels: int, left_width: int, dots: float) -> None:
        """`dots` is how many dots of the screen one pixel is."""
        self.curve.set_pen(colour, round(2 * dots))
        for axis in (self.axis, self.time_axis):
            style_axis(axis, theme.axis, pixels)
        self.axis.setWidth(left_width)
        self.time_axis.setHeight(round(pixels * 3.1) if self._with_time else 6)
        self.ground.set_look(theme, pixels)
        self.writing.set_look(theme, pixels)
        self._drawn = None

    def add(self, time: Array, value: Array) -> None:
        self.store.extend(time, value)

    def show_state(self, state: StripsState) -> None:
        self.ground.show_state(state)
        self.writing.show_state(state)

    def draw(self, start: float, end: float) -> bool:
        """Draw start..end [s]; whether anything had to be drawn."""
        bins = max(50, int(self.box.width()))
        key = (self.store.total, start, end, bins)
        if key == self._drawn:
            return False
        moved = self._drawn is None or self._drawn[1:] != key[1:]
        self._drawn = key
        time, value = self.store.outline(start, end, bins)
        self.curve.set_data(time, value)
        seen = value[np.isfinite(value)]
        low, high = (float(seen.min()), float(seen.max())) if len(seen) else (np.nan, np.nan)
        for limit in self.ground.limits():
            # A limit comes into the picture when it is near, not before: it would flatten every step.
            if np.isfinite(high) and limit.value - high < 0.5 * max(high - low, self._least):
                high = max(high, limit.value)
        shown = value_range(low, high, self._least, self._range, self.writing.free_share())
        if shown != self._range or moved:
            self._range = shown
            self.box.setRange(xRange=(start, end), yRange=shown, padding=0, disableAutoRange=True)
            self.box.updateMatrix()  # left to the painting, it would have everything painted once more
            self.ground.update()
            self.writing.update()
        return True
