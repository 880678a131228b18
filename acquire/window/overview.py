"""The whole run in one small strip, with the stretch that is shown below it."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PyQt5.QtCore import QSignalBlocker, Qt, pyqtSignal
from PyQt5.QtGui import QColor

from acquire.window.language import tr
from acquire.window.parts import fill_view
from acquire.window.quantities import ZERO_CELSIUS
from acquire.window.strip_store import Array, StripStore
from acquire.window.strips_state import Span
from acquire.window.themes import LIGHT, Theme

BINS = 1200


class OverviewStrip(pg.PlotWidget):
    """Both traces of the whole run, each over its own range.

    Signals
    -------
    stretch_chosen
        (start, end [s]): the person moved the stretch to be shown.
    """

    stretch_chosen = pyqtSignal(float, float)

    def __init__(self) -> None:
        super().__init__()
        self.setFixedHeight(96)
        self.setFocusPolicy(Qt.NoFocus)
        self.setMenuEnabled(False)
        self.setMouseEnabled(x=False, y=False)
        self.hideButtons()
        self.hideAxis("left")
        self.hideAxis("bottom")
        self.setAccessibleName(tr("The whole run"))
        self._stores = {"temperature": StripStore(), "pressure": StripStore()}
        self._curves = {name: pg.PlotCurveItem() for name in self._stores}
        self._spans: list[pg.LinearRegionItem] = []
        self.region = pg.LinearRegionItem((0.0, 60.0))
        self.region.setZValue(20)
        for curve in self._curves.values():
            # The stretch moves over them with every frame; they stay what they are.
            curve.setCacheMode(pg.QtWidgets.QGraphicsItem.DeviceCoordinateCache)
            self.addItem(curve)
        self.addItem(self.region)
        self.region.sigRegionChanged.connect(self._moved)
        self._theme = LIGHT

    def add(self, channel: str, time: Array, value: Array) -> None:
        """Readings of a channel; others than the two are left out.  [s, K or Pa]"""
        if channel in self._stores:
            shift = ZERO_CELSIUS if channel == "temperature" else 0.0
            self._stores[channel].extend(time, value - shift)
            self._draw()

    def show_store(self, channel: str, store: StripStore) -> None:
        """Draw a channel from a store that somebody else fills, in the unit shown."""
        self._stores[channel] = store
        self._draw()

    def look(self) -> None:
        """Draw again: a store has grown."""
        self._draw()

    def set_look(self, theme: Theme, pixels: int) -> None:
        self._theme = theme
        fill_view(self, theme.card)
        self._curves["temperature"].setPen(pg.mkPen(theme.temperature, width=1))
        self._curves["pressure"].setPen(pg.mkPen(theme.pressure, width=1))
        fill = QColor(theme.focus)
        fill.setAlpha(50)
        self.region.setBrush(fill)
        self.region.setHoverBrush(fill)
        for line in self.region.lines:
            line.setPen(pg.mkPen(theme.focus, width=2))

    def show_spans(self, spans: tuple[Span, ...]) -> None:
        """Shade the plateaus of the points."""
        for item in self._spans:
            self.removeItem(item)
        self._spans = []
        for span in spans:
            if span.kind == "point":
                item = pg.LinearRegionItem((span.start, span.end), movable=False, pen=pg.mkPen(None))
                item.setBrush(QColor(self._theme.plateau))
                item.setZValue(-10)
                self.addItem(item)
                self._spans.append(item)

    def show_stretch(self, start: float, end: float) -> None:
        """Mark the stretch that is shown elsewhere.  [s]"""
        with QSignalBlocker(self.region):
            self.region.setRegion((start, end))

    def _moved(self) -> None:
        start, end = self.region.getRegion()
        self.stretch_chosen.emit(float(start), float(end))

    def _draw(self) -> None:
        end = max((s.last_time for s in self._stores.values() if np.isfinite(s.last_time)), default=1.0)
        for name, store in self._stores.items():
            time, value = store.outline(0.0, end, BINS)
            good = value[np.isfinite(value)]
            if len(good) == 0:
                continue
            low, high = float(good.min()), float(good.max())
            # Pressure above, temperature below, so that neither hides the other.
            base = 1.1 if name == "pressure" else 0.0
            self._curves[name].setData(time, base + (value - low) / max(high - low, 1e-9), connect="finite")
        self.setRange(xRange=(0.0, end), yRange=(-0.1, 2.2), padding=0)
