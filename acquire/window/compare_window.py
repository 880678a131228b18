"""Two or more runs over each other: traces from the same moment, saturation lines with bands, residuals, a table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pyqtgraph as pg
from PyQt5.QtCore import Qt
from PyQt5.QtGui import QColor, QResizeEvent
from PyQt5.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QMainWindow,
    QSplitter,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from acquire.report.language import spoken
from acquire.review.compare import CHARGE, START, compare_rows, lines_of, overlays, step_overlays, steps_of
from acquire.window.choices import Choice
from acquire.window.compare_state import COLUMNS, compare_cells, moment_words, pen_style
from acquire.window.language import current_language, tr
from acquire.window.looks import Look, automatic_scale
from acquire.window.parts import set_text, text_label
from acquire.window.review_panels import plain_table
from acquire.window.review_style import review_style
from acquire.window.strip_axes import ValueAxis, leave_room, style_axis
from acquire.window.strip_store import StripStore
from acquire.window.style_sheet import px

if TYPE_CHECKING:
    from acquire.record import RunRecord

BINS = 1500


class ComparePlot(pg.PlotWidget):
    """One picture with a line for each run; runs differ by dashes as well as by colour."""

    def __init__(self, left: str, bottom: str) -> None:
        self._axes = {"left": ValueAxis(left), "bottom": ValueAxis(bottom, "bottom")}
        super().__init__(axisItems=self._axes)
        self.setMenuEnabled(False)
        self.hideButtons()

    def set_look(self, look: Look, pixels: int) -> None:
        self.setBackground(look.theme.card)
        for axis in self._axes.values():
            style_axis(axis, look.theme.axis, pixels)
        self._axes["left"].setWidth(round(pixels * 5))
        self._axes["bottom"].setHeight(round(pixels * 3.1))
        leave_room(self.getPlotItem(), pixels)


class CompareWindow(QMainWindow):
    """Several stored runs on the screen."""

    def __init__(self, records: Sequence[RunRecord], look: Look | None = None) -> None:
        super().__init__()
        self.records, self.look = tuple(records), look or Look()
        self._scale = 0.0
        self.setWindowTitle(tr("{0} runs – satline").format(len(records)))
        self.title = text_label("title")
        set_text(self.title, tr("{0} runs compared").format(len(records)))
        self.moment = Choice()
        self.moment.setAccessibleName(tr("Runs begin together at"))
        steps = max((len(steps_of(record)) for record in records), default=0)
        for moment in (CHARGE, START, *range(1, steps + 1)):
            self.moment.addItem(moment_words(moment), moment)
        self.moment.currentIndexChanged.connect(lambda _index: self.show_traces())
        self.pressure = ComparePlot(tr("cell pressure / kPa"), tr("time / min"))
        self.temperature = ComparePlot(tr("bath temperature / °C"), tr("time / min"))
        self.temperature.setXLink(self.pressure)
        self.lines = ComparePlot(tr("ln(p vapour / kPa)"), tr("1000 K / T"))
        self.residuals = ComparePlot(tr("residual / Pa"), tr("T / °C"))
        self.table = plain_table([tr(column) for column in COLUMNS])
        self.table.setAccessibleName(tr("Results"))
        self._lay_out()
        self.resize(1280, 800)
        self._apply_look()
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeToContents)
        self.show_traces()
        self.show_lines()
        self.show_table()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self.title)
        head.addStretch(1)
        asked = text_label("basis", "quiet")
        set_text(asked, tr("runs begin together at"))
        head.addWidget(asked)
        head.addWidget(self.moment)
        left, right = QSplitter(Qt.Vertical), QSplitter(Qt.Vertical)
        for widget in (self.pressure, self.temperature):
            left.addWidget(widget)
        for widget in (self.lines, self.residuals):
            right.addWidget(widget)
        right.setSizes([420, 200])
        top = QSplitter(Qt.Horizontal)
        top.addWidget(left)
        top.addWidget(right)
        top.setSizes([740, 520])
        whole = QSplitter(Qt.Vertical)
        whole.addWidget(top)
        whole.addWidget(self.table)
        whole.setSizes([510, 240])
        page = QWidget()
        page.setProperty("role", "window")
        layout = QVBoxLayout(page)
        layout.setContentsMargins(10, 8, 10, 8)
        layout.addLayout(head)
        layout.addWidget(whole, 1)
        self.setCentralWidget(page)

    def _pen(self, run: int, width: int = 2) -> object:
        colour, dashes = pen_style(run, self.look.theme)
        styles = {"solid": Qt.SolidLine, "dash": Qt.DashLine, "dot": Qt.DotLine, "dash dot": Qt.DashDotLine}
        return pg.mkPen(QColor(colour), width=width, style=styles[dashes])

    def show_traces(self) -> None:
        """Draw the traces of every run from the chosen moment on."""
        moment = self.moment.currentData()
        for plot, channel in ((self.pressure, "pressure"), (self.temperature, "temperature")):
            plot.clear()
            by_step = isinstance(moment, int)
            chosen = step_overlays if by_step else overlays
            for overlay in chosen(self.records, channel, moment):
                store = StripStore()
                # Steps are drawn as change from their first reading, which has no zero to shift.
                zero = 273.15 if channel == "temperature" and not by_step else 0.0
                store.extend(overlay.time, (overlay.value - zero) * (1e-3 if channel == "pressure" else 1.0))
                time, value = store.outline(float(overlay.time[0]), float(overlay.time[-1]), BINS)
                plot.addItem(
                    pg.PlotCurveItem(
                        time / 60.0, value, pen=self._pen(overlay.run), connect="finite", name=overlay.label
                    )
                )
            plot.autoRange(padding=0.05)

    def show_lines(self) -> None:
        """Draw the saturation lines with their bands and the residuals of every run."""
        self.lines.clear()
        self.residuals.clear()
        to_kpa = np.log(1e3)
        for line in lines_of(self.records):
            pen, solid = self._pen(line.run), pg.mkPen(pen_style(line.run, self.look.theme)[0], width=2)
            if line.curve is not None:
                x = 1e3 * line.curve.inverse_temperature
                low = pg.PlotCurveItem(x, line.curve.log_low - to_kpa, pen=pg.mkPen(None))
                high = pg.PlotCurveItem(x, line.curve.log_high - to_kpa, pen=pg.mkPen(None))
                fill = QColor(pen_style(line.run, self.look.theme)[0])
                fill.setAlpha(40)
                for item in (low, high, pg.FillBetweenItem(low, high, brush=fill)):
                    self.lines.addItem(item)
                self.lines.addItem(pg.PlotCurveItem(x, line.curve.log_pressure - to_kpa, pen=pen))
            inverse, logs, residual = (
                np.array(column) for column in (line.inverse_temperature, line.log_pressure, line.residual)
            )
            cooling = np.array(line.cooling, bool)
            # Circles while warming, triangles while cooling: a leak parts the two branches.
            for branch, symbol in ((~cooling, "o"), (cooling, "t1")):
                dots = {"symbol": symbol, "pen": solid, "brush": None, "size": 9}
                self.lines.addItem(pg.ScatterPlotItem(1e3 * inverse[branch], logs[branch] - to_kpa, **dots))
                seen = branch & np.isfinite(residual)
                self.residuals.addItem(pg.ScatterPlotItem(1.0 / inverse[seen] - 273.15, residual[seen], **dots))
        self.residuals.addItem(pg.InfiniteLine(0.0, angle=0, pen=pg.mkPen(self.look.theme.quiet, width=1)))

    def show_table(self) -> None:
        with spoken(current_language().code):
            rows = compare_cells(compare_rows(self.records))
        self.table.setRowCount(len(rows))
        for index, cells in enumerate(rows):
            for column, text in enumerate(cells):
                item = QTableWidgetItem(text.replace("\N{NO-BREAK SPACE}", " ") if column == len(cells) - 1 else text)
                if column == 0:
                    item.setForeground(QColor(pen_style(index, self.look.theme)[0]))
                self.table.setItem(index, column, item)
        self.table.resizeRowsToContents()

    def _apply_look(self) -> None:
        scale = round(automatic_scale(self.width(), self.height()) * self.look.text, 3)
        if scale == self._scale:
            return
        self._scale = scale
        self.setStyleSheet(review_style(self.look.theme, scale))
        for plot in (self.pressure, self.temperature, self.lines, self.residuals):
            plot.set_look(self.look, px(12, scale))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._apply_look()
