"""Pictures of the pooled page: every bench beside the consensus, and one bench's runs in order of time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyqtgraph as pg
from PyQt5.QtCore import Qt, pyqtSignal
from PyQt5.QtGui import QColor

from acquire.window.language import tr
from acquire.window.pool_state import BenchMark, ChartMarks
from acquire.window.quantities import number
from acquire.window.strip_axes import ValueAxis, style_axis
from acquire.window.themes import LIGHT, Theme

NAMES_FIT = 45  # benches; beyond that their names would lie over each other
BAR = pg.ErrorBarItem


class NameAxis(pg.AxisItem):
    """Names of benches in their rows, as many as fit."""

    def __init__(self) -> None:
        super().__init__("left")
        self.names: tuple[str, ...] = ()
        self.pixels = 12

    def tickSpacing(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, float]]:
        room = max(1.0, size / (1.35 * self.pixels))
        return [(float(max(1, int(np.ceil((maxVal - minVal) / room)))), 0.0)]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        return [self.names[int(v)] if 0 <= v < len(self.names) and v == int(v) else "" for v in values]


class _Plot(pg.PlotWidget):
    def __init__(self, left: Any, bottom: str) -> None:
        self.axes = {"left": left, "bottom": ValueAxis(bottom, "bottom")}
        super().__init__(axisItems=self.axes)
        self.setMenuEnabled(False)
        self.setMouseEnabled(x=False, y=False)
        self.hideButtons()
        self.theme: Theme = LIGHT
        self.pixels = 12

    def set_look(self, theme: Theme, pixels: int) -> None:
        self.theme, self.pixels = theme, pixels
        self.setBackground(theme.card)
        for axis in self.axes.values():
            style_axis(axis, theme.axis, pixels)
        self.axes["bottom"].setHeight(round(pixels * 3.1))

    def _marks(self, x: Any, y: Any, outlying: Any, size: float) -> None:
        """Dots, and diamonds for what stands out: told by shape first, by colour second."""
        for which, symbol, colour in ((~outlying, "o", self.theme.ink), (outlying, "d", self.theme.temperature)):
            larger = 1.5 if symbol == "d" else 1.0
            self.addItem(
                pg.ScatterPlotItem(
                    x[which], y[which], symbol=symbol, size=larger * size, pen=pg.mkPen(colour, width=2),
                    brush=QColor(colour),
                )
            )  # fmt: skip


class BenchesPlot(_Plot):
    """Mean and 95 % interval of each bench, the consensus as a band, the table value as a dashed line.

    Signals
    -------
    bench_chosen
        Its place among the marks.
    """

    bench_chosen = pyqtSignal(int)

    def __init__(self) -> None:
        super().__init__(NameAxis(), tr("enthalpy of vaporisation at 298.15 K / (kJ/mol)"))
        self.setAccessibleName(tr("Every bench beside the consensus"))
        self._shown: tuple[tuple[BenchMark, ...], tuple[float, float], float, int] | None = None
        self.scene().sigMouseClicked.connect(self._clicked)

    def set_look(self, theme: Theme, pixels: int) -> None:
        super().set_look(theme, pixels)
        self.axes["left"].pixels = pixels
        self._fit_names()
        if self._shown is not None:
            self.show_benches(*self._shown)

    def _fit_names(self) -> None:
        longest = max((len(name) for name in self.axes["left"].names), default=8)
        self.axes["left"].setWidth(round(self.pixels * (1.5 + 0.62 * min(longest, 24))))

    def show_benches(self, marks: Sequence[BenchMark], band: tuple[float, float], table: float, chosen: int) -> None:
        """Draw all benches; `chosen` is the row that is marked, -1 for none."""
        self._shown = (tuple(marks), band, table, chosen)
        self.clear()
        self.axes["left"].names = tuple(mark.bench[:24] for mark in marks)
        self._fit_names()
        theme = self.theme
        region = pg.LinearRegionItem(band, movable=False, brush=QColor(theme.plateau), pen=pg.mkPen(theme.plateau_edge))
        self.addItem(region)
        self.addItem(pg.InfiniteLine(sum(band) / 2, pen=pg.mkPen(theme.ink, width=1)))
        if np.isfinite(table):
            self.addItem(pg.InfiniteLine(table, pen=pg.mkPen(theme.quiet, width=2, style=Qt.DashLine)))
        if not marks:
            return
        mean, half = (np.array([getattr(mark, name) for mark in marks]) for name in ("mean", "half"))
        row, out = np.arange(len(marks), dtype=float), np.array([mark.outlying for mark in marks])
        if chosen >= 0:
            shade = QColor(theme.focus)
            shade.setAlpha(45)
            rows = (chosen - 0.45, chosen + 0.45)
            self.addItem(
                pg.LinearRegionItem(rows, orientation="horizontal", movable=False, brush=shade, pen=pg.mkPen(None))
            )
        for which, colour in ((~out, theme.ink), (out, theme.temperature)):
            if which.any():
                pen = pg.mkPen(colour, width=2 if len(marks) <= NAMES_FIT else 1)
                self.addItem(BAR(x=mean[which], y=row[which], width=2 * half[which], beam=0.0, pen=pen))
        self._marks(mean, row, out, self.pixels * (0.62 if len(marks) <= NAMES_FIT else 0.35))
        # one wild bench must not squeeze all others into a line
        middle = sum(band) / 2
        reach = 1.25 * float(np.quantile(np.abs(np.concatenate([mean - half, mean + half]) - middle), 0.9))
        reach = max(reach, 1.3 * (band[1] - band[0]), abs(table - middle) * 1.1 if np.isfinite(table) else 0.0)
        self.setRange(xRange=(middle - reach, middle + reach), yRange=(-0.8, len(marks) - 0.2), padding=0)
        for place, value in enumerate(mean):
            if abs(value - middle) > reach:
                self._beyond(place, float(value), middle, reach)

    def _beyond(self, place: int, value: float, middle: float, reach: float) -> None:
        left = value < middle
        text = pg.TextItem("", color=self.theme.temperature, anchor=(0.0 if left else 1.0, 0.5))
        text.setText(f"◂ {number(value, 2)}" if left else f"{number(value, 2)} ▸")
        text.setPos(middle - reach if left else middle + reach, place)
        self.addItem(text)

    def _clicked(self, event: Any) -> None:
        at = self.getViewBox().mapSceneToView(event.scenePos())
        place = round(at.y())
        if self._shown is not None and 0 <= place < len(self._shown[0]):
            self.bench_chosen.emit(place)


class ChartPlot(_Plot):
    """One bench's runs in order of time between their control limits; diamonds are signals."""

    def __init__(self) -> None:
        super().__init__(ValueAxis(tr("result / (kJ/mol)")), tr("run by run, oldest first"))
        self.setAccessibleName(tr("Control chart"))
        self._chart: ChartMarks | None = None

    def set_look(self, theme: Theme, pixels: int) -> None:
        super().set_look(theme, pixels)
        self.axes["left"].setWidth(round(pixels * 5))
        self.show_chart(self._chart)

    def show_chart(self, chart: ChartMarks | None) -> None:
        self._chart = chart
        self.clear()
        if chart is None:
            return
        theme = self.theme
        limits = (chart.lower, chart.upper)
        band = pg.LinearRegionItem(
            limits,
            orientation="horizontal",
            movable=False,
            brush=QColor(theme.plateau),
            pen=pg.mkPen(theme.plateau_edge),
        )
        self.addItem(band)
        self.addItem(pg.InfiniteLine(chart.centre, angle=0, pen=pg.mkPen(theme.ink, width=1)))
        values = np.array(chart.values)
        run = np.arange(1, len(values) + 1, dtype=float)
        signal = np.zeros(len(values), bool)
        signal[list(chart.signals)] = True
        self.addItem(pg.PlotCurveItem(run, values, pen=pg.mkPen(theme.quiet, width=1)))
        self._marks(run, values, signal, self.pixels * (0.6 if len(values) <= 60 else 0.3))
        low, high = min(values.min(), chart.lower), max(values.max(), chart.upper)
        room = 0.08 * (high - low)
        self.setRange(xRange=(0.3, len(values) + 0.7), yRange=(low - room, high + room), padding=0)
