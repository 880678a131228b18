"""The widgets of the page of many runs and their places; shows nothing by itself."""

from __future__ import annotations

from PyQt5.QtCore import Qt
from PyQt5.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QScrollArea,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from acquire.window.choices import Tick
from acquire.window.language import tr
from acquire.window.parts import Bar, ElidedLabel, FittedText, framed, set_text, text_label
from acquire.window.pool_plots import BenchesPlot, ChartPlot
from acquire.window.pool_state import BENCH_HEADINGS, LEFT_OUT_HEADINGS, RUN_HEADINGS
from acquire.window.review_panels import RowsPanel, plain_table


class PoolPage(QWidget):
    """Head with the acts, the answers on the left, the benches on the right, details in tabs under them."""

    def __init__(self) -> None:
        super().__init__()
        self._make()
        self._lay_out()

    def _make(self) -> None:
        self.title, self.facts = text_label("title"), text_label("basis", "quiet", wrap=True)
        self.choose = QPushButton(tr("Open a folder…") + "  Ctrl+O")
        self.again, self.stop = QPushButton(tr("Pool again") + "  F5"), QPushButton(tr("Stop"))
        self.report = QPushButton(tr("Open the report") + "  Ctrl+R")
        self.from_traces = Tick(tr("decide every run again on its traces"))
        self.one_room = Tick(tr("all benches in one room"))
        self.where = ElidedLabel()
        self.where.setProperty("role", "basis")
        self.bar, self.words = Bar(), text_label("said", wrap=True)
        self.consensus_name = text_label("basis", "quiet")
        self.consensus, self.interval = FittedText(29), text_label("said", wrap=True)
        self.prediction = text_label("basis", "quiet", wrap=True)
        self.compared, self.precision, self.blind = RowsPanel(), RowsPanel(), text_label("basis", wrap=True)
        self.compared_name, self.precision_name = text_label("panel heading"), text_label("panel heading")
        self.blind_name = text_label("panel heading")
        self.plot, self.chart = BenchesPlot(), ChartPlot()
        self.benches = plain_table([tr(heading) for heading in BENCH_HEADINGS])
        self.runs = plain_table([tr(heading) for heading in RUN_HEADINGS])
        self.left_out = plain_table([tr(heading) for heading in LEFT_OUT_HEADINGS])
        self.left_out.verticalHeader().setSectionResizeMode(QHeaderView.ResizeToContents)  # a reason may be long
        for table, name in (
            (self.benches, tr("Benches")),
            (self.runs, tr("Runs of the bench")),
            (self.left_out, tr("Files left out")),
        ):
            table.setAccessibleName(name)
        self.runs.setWordWrap(False)
        self.open_run = QPushButton(tr("Look at this run") + "  ⏎")
        self.bench_name = text_label("panel heading")
        self.standing_out = QVBoxLayout()
        self.tabs = QTabWidget()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(10)
        head.addWidget(self.title)
        head.addWidget(self.where, 1)
        for button in (self.choose, self.again, self.stop, self.report):
            head.addWidget(button)
        self.setProperty("role", "window")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 10, 14, 10)
        layout.setSpacing(8)
        layout.addLayout(head)
        options = QHBoxLayout()
        options.setSpacing(10)
        options.addWidget(self.facts, 1)
        for button in (self.from_traces, self.one_room):
            button.setProperty("role", "small")
            options.addWidget(button)
        layout.addLayout(options)
        layout.addWidget(self.words)
        layout.addWidget(self.bar)
        halves = QSplitter(Qt.Horizontal)
        halves.addWidget(self._answers())
        halves.addWidget(self._details())
        halves.setSizes([400, 860])
        halves.setStretchFactor(1, 1)
        layout.addWidget(halves, 1)
        self.halves, self.rest = halves, QWidget()
        layout.addWidget(self.rest, 1)

    def _answers(self) -> QWidget:
        panel = framed("panel")
        layout = QVBoxLayout(panel)
        layout.setContentsMargins(16, 12, 16, 12)
        layout.setSpacing(5)
        for name, text in (
            (self.consensus_name, tr("Consensus of ΔvapH at 298.15 K")),
            (self.compared_name, tr("By simpler means, in kJ/mol")),
            (self.precision_name, tr("Precision of the method, in kJ/mol")),
            (self.blind_name, tr("What no single run can see")),
        ):
            set_text(name, text)
        for widget in (self.consensus_name, self.consensus, self.interval, self.prediction):
            layout.addWidget(widget)
        for name, widget in (
            (self.compared_name, self.compared),
            (self.precision_name, self.precision),
            (self.blind_name, self.blind),
        ):
            layout.addSpacing(10)
            layout.addWidget(name)
            layout.addWidget(widget)
        layout.addStretch(1)
        area = QScrollArea()
        area.setWidget(panel)
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarAlwaysOff)
        area.setMinimumWidth(330)
        return area

    def _details(self) -> QWidget:
        outlying = QWidget()
        inner = QVBoxLayout(outlying)
        inner.setContentsMargins(12, 10, 12, 10)
        inner.addLayout(self.standing_out)
        inner.addStretch(1)
        area = QScrollArea()
        area.setWidget(outlying)
        area.setWidgetResizable(True)
        single = QWidget()
        column = QVBoxLayout(single)
        column.setContentsMargins(8, 8, 8, 8)
        row = QHBoxLayout()
        row.addWidget(self.bench_name, 1)
        row.addWidget(self.open_run)
        column.addLayout(row)
        both = QSplitter(Qt.Horizontal)
        both.addWidget(self.runs)
        both.addWidget(self.chart)
        both.setSizes([560, 300])
        column.addWidget(both, 1)
        self.tabs.addTab(area, tr("Stand out"))
        self.tabs.addTab(self.benches, tr("All benches"))
        self.tabs.addTab(single, tr("One bench and its runs"))
        self.tabs.addTab(self.left_out, tr("Left out"))
        whole = QSplitter(Qt.Vertical)
        whole.addWidget(self.plot)
        whole.addWidget(self.tabs)
        whole.setSizes([400, 330])
        return whole
