"""The page of many runs: a folder is pooled while one watches; consensus, benches that stand out, every single run."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PyQt5.QtCore import Qt, QTimer, QUrl, pyqtSignal
from PyQt5.QtGui import QCloseEvent, QDesktopServices, QKeySequence, QResizeEvent
from PyQt5.QtWidgets import QFileDialog, QMainWindow, QShortcut, QTableWidget, QTableWidgetItem

from acquire.window.background import Background
from acquire.window.language import tr
from acquire.window.looks import Look, automatic_scale
from acquire.window.parts import restyle, set_text, text_label
from acquire.window.pool_page import PoolPage
from acquire.window.pool_state import (
    MOST_RUNS,
    PoolChoice,
    PoolFound,
    PoolServices,
    PoolState,
    left_out_cells,
    pool_state,
    progress_words,
    run_cells,
)
from acquire.window.review_state import Row
from acquire.window.review_style import review_style
from acquire.window.style_sheet import px

if TYPE_CHECKING:
    from acquire.pool.campaign import Progress

LOOK_MS = 150  # [ms] between two looks at the work; nobody waits for a fraction of that


class PoolWindow(QMainWindow):
    """Many runs on the screen.

    Signals
    -------
    pooled
        A pooling has ended, with or without a result.

    Threads: the pooling runs on a thread of its own, which sets `_progress` (one assignment) and reads `_stop`.
    """

    pooled = pyqtSignal()

    def __init__(
        self,
        services: PoolServices,
        look: Look | None = None,
        *,
        open_url: Callable[[QUrl], object] = QDesktopServices.openUrl,
    ) -> None:
        super().__init__()
        self._services, self._open_url, self.look = services, open_url, look or Look()
        self._scale = 0.0
        self._work: Background[PoolFound] | None = None
        self._progress: Progress | None = None
        self._stop = False
        self._sources: list[str] = []
        self._children: list[object] = []
        self.folder: Path | None = None
        self.found = PoolFound()
        self.state: PoolState | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look_at_work)
        page = PoolPage()
        self.setCentralWidget(page)
        self.page = page
        self.choose, self.again, self.stop, self.report = page.choose, page.again, page.stop, page.report
        self.from_traces, self.one_room, self.tabs = page.from_traces, page.one_room, page.tabs
        self.plot, self.chart = page.plot, page.chart
        self.benches, self.runs, self.open_run = page.benches, page.runs, page.open_run
        self._connect()
        self.resize(1280, 800)
        self.setWindowTitle(tr("Many runs – satline"))
        self._show_start()
        self._apply_look()

    def _connect(self) -> None:
        self.choose.clicked.connect(self.choose_folder)
        self.again.clicked.connect(self.pool)
        self.stop.clicked.connect(self.stop_work)
        self.report.clicked.connect(self.open_report)
        self.plot.bench_chosen.connect(self.choose_bench)
        self.benches.cellClicked.connect(lambda row, _column: self.choose_bench(row))
        self.benches.cellActivated.connect(lambda row, _column: self.choose_bench(row))
        self.runs.cellDoubleClicked.connect(lambda row, _column: self.show_run(row))
        self.runs.itemSelectionChanged.connect(self._enable)
        self.open_run.clicked.connect(lambda: self.show_run(self.runs.currentRow()))
        keys = (("Ctrl+O", self.choose), ("F5", self.again), ("Ctrl+R", self.report), ("Escape", self.stop))
        for key, button in keys:
            QShortcut(QKeySequence(key), self).activated.connect(button.click)
        for key in ("Return", "Enter"):
            shortcut = QShortcut(QKeySequence(key), self.runs)
            shortcut.setContext(Qt.WidgetShortcut)
            shortcut.activated.connect(self.open_run.click)

    # Work

    @property
    def busy(self) -> bool:
        return self._work is not None

    def choose_folder(self) -> None:
        path = QFileDialog.getExistingDirectory(self, tr("A folder of run files"), str(self.folder or ""))
        if path:
            self.use_folder(Path(path))

    def use_folder(self, folder: Path) -> None:
        """Pool what is in this folder."""
        self.folder = folder
        set_text(self.page.where, str(folder))
        self.pool()

    def pool(self) -> None:
        """Begin; what was analysed before is known and costs nothing."""
        if self.busy or self.folder is None:
            return
        choice = PoolChoice(self.folder, self.from_traces.isChecked(), self.one_room.isChecked())
        self._stop, self._progress = False, None
        broken = PoolFound(refused=tr("Pooling broke off; try satline pool in a terminal, which says more."))
        self._work = Background(lambda: self._call(choice), "satline pooling", lambda: broken)
        self._work.start()
        self._timer.start()
        self._say(progress_words(None))
        self._enable()

    def _call(self, choice: PoolChoice) -> PoolFound:
        def note(progress: Progress) -> None:
            self._progress = progress

        return self._services.pool(choice, note, lambda: self._stop)

    def stop_work(self) -> None:
        """Ask it to end; what is analysed by then stays known."""
        if self.busy:
            self._stop = True
            self._say(tr("Stopping after the files that are being read…"))

    def look_at_work(self) -> None:
        """Show how far it is, and the result once there is one."""
        if self._work is None:
            return
        found = self._work.result
        if found is None:
            if not self._stop:
                self._say(progress_words(self._progress))
            progress = self._progress
            self.page.bar.set_share(progress.done / progress.total if progress and progress.total else 0.0)
            return
        self._timer.stop()
        self._work = None
        self.show_found(found)
        self.pooled.emit()

    # Showing

    def _show_start(self) -> None:
        set_text(self.page.title, tr("Many runs together"))
        self._say(tr("Open a folder of run files: every run is read once, compared with all others, and pooled."))
        self.page.halves.setVisible(False)
        set_text(self.page.facts, "")
        self._enable()
        self.choose.setFocus()

    def _say(self, text: str, *, trouble: bool = False) -> None:
        set_text(self.page.words, text)
        self.page.words.setVisible(bool(text))
        restyle(self.page.words, tone="trouble" if trouble else "")

    def show_found(self, found: PoolFound) -> None:
        """Show what came out; a refusal leaves an earlier outcome where it is."""
        self.page.bar.set_share(0.0)
        if found.outcome is None:
            self._say(found.refused, trouble=True)
            self._enable()
            return
        self.found, self.state = found, pool_state(found.outcome)
        state = self.state
        self._say("")
        set_text(self.page.title, state.title)
        set_text(self.page.facts, state.facts)
        self.page.halves.setVisible(True)
        self.page.rest.setVisible(False)
        self.page.consensus.set_text(state.consensus)
        set_text(self.page.interval, state.interval)
        set_text(self.page.prediction, state.prediction)
        self.page.compared.show_rows([Row(*row) for row in state.compared])
        self.page.precision.show_rows([Row(*row) for row in state.precision])
        self.page.precision_name.setVisible(bool(state.precision))
        set_text(self.page.blind, state.blind)
        self.page.blind_name.setVisible(bool(state.blind))
        fill(self.benches, state.benches)
        self._show_standing_out(state)
        table = found.table
        rows = [left_out_cells(one) for one in self._services.left_out(table, MOST_RUNS)] if table else []
        fill(self.page.left_out, rows)
        for place, (name, count) in enumerate(
            ((tr("Stand out"), len(state.standing_out)), (tr("All benches"), len(state.benches)))
        ):
            self.tabs.setTabText(place, f"{name} ({count})")
        self.tabs.setTabText(3, f"{tr('Left out')} ({sum(n for _, n in found.outcome.left_out)})")
        outlying = [place for place, mark in enumerate(state.marks) if mark.outlying]
        self.choose_bench(outlying[0] if outlying else 0, turn=False)
        self.tabs.setCurrentIndex(0)
        self._apply_look()

    def _show_standing_out(self, state: PoolState) -> None:
        while (item := self.page.standing_out.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.deleteLater()
        shown = state.standing_out or (("", state.none_stands_out),)
        for heading, text in shown:
            if heading:
                label = text_label("card heading", wrap=True)
                set_text(label, f"◆ {heading}")
                self.page.standing_out.addWidget(label)
            words = text_label("basis", wrap=True)
            words.setTextInteractionFlags(Qt.TextSelectableByMouse)
            set_text(words, text)
            self.page.standing_out.addWidget(words)

    def choose_bench(self, place: int, *, turn: bool = True) -> None:
        """Show one bench: its runs, its chart, its row."""
        state, table = self.state, self.found.table
        if state is None or table is None or not 0 <= place < len(state.marks):
            return
        bench = state.marks[place].bench
        self.plot.show_benches(state.marks, state.band, state.reference, place)
        self.benches.selectRow(place)
        found = self._services.runs(table, bench, MOST_RUNS)
        self._sources = [summary.source for summary in found]
        fill(self.runs, [run_cells(summary) for summary in found], self._sources)
        if self._sources:
            self.runs.selectRow(0)
        set_text(self.page.bench_name, bench)
        self.chart.show_chart(state.charts[place])
        self.chart.setVisible(state.charts[place] is not None)
        if turn:
            self.tabs.setCurrentIndex(2)
        self._enable()

    def show_run(self, row: int) -> None:
        """Look at one run in a window of its own."""
        if not 0 <= row < len(self._sources):
            return
        try:
            window = self._services.open_run(self._sources[row])
        except (OSError, ValueError) as error:
            self._say(str(error), trouble=True)
            return
        self._children.append(window)  # a window that nobody holds is closed at once

    def open_report(self) -> None:
        if self.found.page is not None:
            self._open_url(QUrl.fromLocalFile(str(self.found.page.resolve())))

    def _enable(self) -> None:
        self.choose.setEnabled(not self.busy)
        self.again.setEnabled(not self.busy and self.folder is not None)
        self.stop.setVisible(self.busy)
        self.page.bar.setVisible(self.busy)
        self.report.setEnabled(self.found.page is not None and not self.busy)
        for tick in (self.from_traces, self.one_room):
            tick.setEnabled(not self.busy)
        self.open_run.setEnabled(bool(self._sources) and self.runs.currentRow() >= 0)
        restyle(self.choose, due="true" if self.state is None and not self.busy else "false")

    # Looks

    def set_look(self, look: Look) -> None:
        self.look, self._scale = look, 0.0
        self._apply_look()

    def _apply_look(self) -> None:
        scale = round(automatic_scale(self.width(), self.height()) * self.look.text, 3)
        if scale == self._scale:
            return
        self._scale, theme = scale, self.look.theme
        self.setStyleSheet(review_style(theme, scale))
        self.page.consensus.set_look(theme.ink, scale)
        self.page.bar.set_colours(theme.pressure, theme.bar_back)
        for plot in (self.plot, self.chart):
            plot.set_look(theme, px(12, scale))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._apply_look()

    def closeEvent(self, event: QCloseEvent) -> None:
        """The work ends before its window goes."""
        self._stop = True
        if self._work is not None:
            self._work.wait()
            self._work = None
        event.accept()


def fill(table: QTableWidget, rows: Sequence[tuple[str, ...]], tips: Sequence[str] = ()) -> None:
    """Put rows of text into a table, with a tip for each row where there are any."""
    table.setRowCount(len(rows))
    for place, cells in enumerate(rows):
        for column, text in enumerate(cells):
            item = QTableWidgetItem(text)
            if 0 < column < len(cells) - 1:
                item.setTextAlignment(Qt.AlignRight | Qt.AlignVCenter)
            if tips:
                item.setToolTip(tips[place])
            table.setItem(place, column, item)
