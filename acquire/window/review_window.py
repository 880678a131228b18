"""The review window: a stored run at a glance and second by second, its points, its journal, and "what if"."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pyqtgraph as pg
from PyQt5.QtCore import QTimer, QUrl
from PyQt5.QtGui import QCloseEvent, QDesktopServices, QKeySequence, QResizeEvent
from PyQt5.QtWidgets import QAction, QMainWindow

from acquire import acts
from acquire.review.editor import EditRefusedError, Review
from acquire.review.journal_view import journal_lines
from acquire.review.what_if import WhatIf, answer
from acquire.run import ActRefused
from acquire.window.language import tr
from acquire.window.line_state import line_state
from acquire.window.looks import Look, automatic_scale
from acquire.window.parts import set_text
from acquire.window.review_page import ReviewPage
from acquire.window.review_state import (
    Picture,
    changed_fields,
    moment_rows,
    point_rows,
    residuals,
    result_words,
    review_strips,
)
from acquire.window.review_style import review_style
from acquire.window.style_sheet import px

if TYPE_CHECKING:
    from acquire.journal import Entry

DECIDE_AT_ONCE = 40.0  # [s] of the run decided again between two looks at the screen: about 20 ms
STEP_MS = 1


@dataclass(frozen=True)
class ReviewServices:
    """What the review window needs of the machine.

    `store` appends entries and results to the file; `report` writes the report and returns where it is;
    `decide_again` gives the result and number of points of the run under other settling settings.
    """

    store: Callable[[list[Entry], list[Mapping[str, Any]]], None]
    report: Callable[[], Path]
    decide_again: Callable[[float, str], tuple[Mapping[str, Any] | None, int]]


class ReviewWindow(QMainWindow):
    """One stored run on the screen."""

    def __init__(
        self,
        review: Review,
        services: ReviewServices,
        look: Look | None = None,
        badge: str = "",
        *,
        open_url: Callable[[QUrl], object] = QDesktopServices.openUrl,
    ) -> None:
        super().__init__()
        self._open_url = open_url
        self.review, self._services, self.look = review, services, look or Look()
        self.selected: int | None = None
        self.looked_at = 0.0
        self._leaving = False
        self._scale = 0.0
        self.setWindowTitle(f"{review.record.title} – satline")
        page = ReviewPage(review.record.title, badge, review.record.plan)
        self.setCentralWidget(page)
        self.overview, self.strips, self.lines = page.overview, page.strips, page.lines
        self.moment, self.points, self.residuals = page.moment, page.points, page.residuals
        self.line, self.line_plot = page.line, page.line_plot
        self.journal, self.what_if, self.tabs = page.journal, page.what_if, page.tabs
        self.buttons, self.reason, self.progress = page.buttons, page.reason, page.progress
        self._connect()
        self.resize(1280, 800)
        for channel, trace in review.record.traces.items():
            self.strips.add(channel, trace.time, trace.value)
            self.overview.add(channel, trace.time, trace.value)
        self._apply_look()
        self.show_run()
        self.strips.show_last(None)
        first = review.record.points[0] if review.record.points else None
        self.move_cursor(first.end if first else 0.0)
        self._timer = QTimer(self)
        self._timer.setInterval(STEP_MS)
        self._timer.timeout.connect(self.decide_more)
        self._timer.start()

    def _connect(self) -> None:
        self.overview.stretch_chosen.connect(self.show_stretch)
        self.strips.point_chosen.connect(self.choose)
        self.strips.window_moved.connect(self._window_moved)
        for strip in self.strips.strips:
            strip.box.time_clicked.connect(self.move_cursor)
        for line in self.lines:
            line.sigDragged.connect(lambda moved: self.move_cursor(float(moved.value())))
        self.strips.temperature.box.sigXRangeChanged.connect(lambda _box, shown: self._range_shown(shown))
        self.points.point_chosen.connect(self._point_row)
        self.journal.time_chosen.connect(self._go_to)
        self.what_if.asked.connect(self._ask)
        self.what_if.settings_asked.connect(self._ask_settings)
        keys = {
            "aside": (self.set_aside, "Backspace"),
            "restore": (self.restore, ""),
            "split": (self.split, ""),
            "take": (self.take, ""),
            "undo": (lambda: self._do(acts.UNDO), "Ctrl+Z"),
            "redo": (lambda: self._do(acts.REDO), "Ctrl+Shift+Z"),
            "save": (self.save, "Ctrl+S"),
            "report": (self.open_report, "Ctrl+R"),
        }
        for name, (does, key) in keys.items():
            self.buttons[name].clicked.connect(lambda _checked=False, does=does: does())
            if key:
                self._key(key, does)
        self._key("Left", lambda: self.move_cursor(self.looked_at - 1.0))
        self._key("Right", lambda: self.move_cursor(self.looked_at + 1.0))

    def _key(self, key: str, does: Callable[[], object]) -> None:
        action = QAction(self)
        action.setShortcut(QKeySequence(key))
        action.triggered.connect(lambda _checked=False: does())
        self.addAction(action)

    # Showing

    def show_run(self) -> None:
        """Show the run as it stands with the edits so far."""
        record, review = self.review.record, self.review
        state = review_strips(record.duration, record.baselines, review.points, review.journal, record.plan)
        self.strips.show_state(state, self.selected)
        self.overview.show_spans(state.spans)
        self.points.show_rows(point_rows(review.points, review.result), self.selected)
        self.residuals.show_residuals(residuals(review.points, review.result))
        line = line_state(Picture(review.points, review.result, review.journal[-1:]))  # type: ignore[arg-type]
        self.line.show_state(line)
        self.line_plot.show_points(line.points, line.curve)
        self.journal.show_lines(journal_lines(review.journal))
        self.what_if.show_answers(result_words(review.result), "")
        self._enable()

    def _enable(self) -> None:
        review = self.review
        free, chosen = not review.why_not_edit, self.selected is not None
        point = next((p for p in review.points if p.number == self.selected), None)
        book = review.run.book
        on = {
            "aside": free and point is not None and point.used,
            "restore": free and point is not None and not point.used,
            "split": free and chosen and point is not None and point.start < self.looked_at < point.end,
            "take": free,
            "undo": free and review.changed and book.to_undo is not None,
            "redo": free and book.to_redo is not None,
            "save": review.changed,
            "report": True,
        }
        for name, enabled in on.items():
            self.buttons[name].setEnabled(enabled)
        percent = round(100 * review.progress)
        if percent < 100:
            words = tr("deciding again: {0} %").format(percent)
        elif review.why_not_edit:
            words = tr("to read only")
        else:
            words = tr("edits not saved") if review.changed else ""
        set_text(self.progress, words)
        self.progress.setToolTip(review.why_not_edit)

    def decide_more(self) -> None:
        """Decide a little more of the run again; stops when all is done."""
        if self.review.advance(DECIDE_AT_ONCE):
            self._timer.stop()
            self.show_run()
            if self.review.why_not_edit:
                self.reason.say(tr("Points cannot be edited: {0}.").format(self.review.why_not_edit))
        self._enable()
        self._show_moment()

    def move_cursor(self, time: float) -> None:
        """Look at this second."""
        self.looked_at = min(max(time, 0.0), self.review.record.duration)
        for line in self.lines:
            line.setValue(self.looked_at)
        self._show_moment()
        self._enable()

    def _show_moment(self) -> None:
        times = self.review.history.times()
        if times and self.looked_at <= times[-1] + 1.0:
            self.moment.show_rows(moment_rows(self.review.at(self.looked_at)))

    def show_stretch(self, start: float, end: float) -> None:
        """Show this stretch in the strips.  [s]"""
        self.strips._by_hand()
        self.strips.temperature.box.setXRange(start, end, padding=0)
        self.strips.redraw()

    def _range_shown(self, shown: tuple[float, float]) -> None:
        self.overview.show_stretch(float(shown[0]), float(shown[1]))

    def _go_to(self, time: float) -> None:
        self.show_stretch(time - 90.0, time + 90.0)
        self.move_cursor(time)

    def choose(self, number: int) -> None:
        self.selected = number or None
        self.show_run()

    def _point_row(self, number: int) -> None:
        self.choose(number)
        point = next(p for p in self.review.points if p.number == number)
        self.show_stretch(point.start - 120.0, point.end + 60.0)
        self.move_cursor(point.end)

    # Editing

    def _do(self, name: str, **data: Any) -> None:
        try:
            self.review.edit(name, **data)
        except (EditRefusedError, ActRefused) as refused:
            self.reason.say(str(refused))
            return
        self.show_run()

    def set_aside(self) -> None:
        number = self.selected
        if number is not None:
            self.reason.ask(
                tr("Why is point {0} set aside?").format(number),
                lambda why: self._do(acts.SET_ASIDE, point=number, reason=why),
            )

    def restore(self) -> None:
        number = self.selected
        if number is not None:
            self.reason.ask(
                tr("Why is point {0} used again?").format(number),
                lambda why: self._do(acts.RESTORE, point=number, reason=why),
            )

    def split(self) -> None:
        number, at = self.selected, self.looked_at
        if number is not None:
            self.reason.ask(tr("Why is point {0} split?").format(number), lambda why: self._split(number, at, why))

    def _split(self, number: int, at: float, why: str) -> None:
        try:
            self.review.split(number, at, why)
        except (EditRefusedError, ActRefused) as refused:
            self.reason.say(str(refused))
        self.show_run()

    def take(self) -> None:
        """Make a point of the stretch that the strips show."""
        start, end = (float(edge) for edge in self.strips.temperature.box.viewRange()[0])
        self.reason.ask(
            tr("Why is {0} s to {1} s taken as a point?").format(round(start), round(end)),
            lambda why: self._do(acts.TAKE, start=start, end=end, reason=why),
        )

    def _window_moved(self, number: int, start: float, end: float) -> None:
        self.reason.ask(
            tr("Why is the window of point {0} changed?").format(number),
            lambda why: self._do(acts.WINDOW, point=number, start=start, end=end, reason=why),
        )

    def save(self) -> None:
        """Append the edits to the file."""
        try:
            written = self.review.save(self._services.store)
        except OSError as error:
            self.reason.say(str(error))
            return
        self.reason.say(tr("{0} entries were appended to the file; what was there is unchanged.").format(written))
        self.show_run()

    def open_report(self) -> None:
        report = self._services.report()
        self._open_url(QUrl.fromLocalFile(str(report.resolve())))

    # What if

    def _ask(self, shown: dict[str, float], lag: bool) -> None:
        try:
            changes = changed_fields(self.review.record.plan, shown)
            found = answer(self.review.record, WhatIf(plan=changes, lag_corrected=lag))
        except (KeyError, ValueError) as error:
            self.what_if.show_answers(result_words(self.review.result), str(error))
            return
        words = result_words(found.fit.as_dict()) if found.fit is not None else found.refused
        self.what_if.show_answers(result_words(self.review.result), words)

    def _ask_settings(self, tolerance: float, mode: str) -> None:
        result, points = self._services.decide_again(tolerance, mode)
        words = tr("{0} ({1} points)").format(result_words(result), points)
        self.what_if.show_answers(result_words(self.review.result), words)

    # Looks and leaving

    def _apply_look(self) -> None:
        scale = round(automatic_scale(self.width(), self.height()) * self.look.text, 3)
        if scale == self._scale:
            return
        self._scale = scale
        theme = self.look.theme
        self.setStyleSheet(review_style(theme, scale))
        self.strips.set_look(theme, px(13, scale))
        self.overview.set_look(theme, px(11, scale))
        self.line.set_look(theme, scale)
        self.line_plot.set_look(theme, px(12, scale))
        self.residuals.set_look(theme, px(12, scale))
        for line in self.lines:
            line.setPen(pg.mkPen(theme.ink, width=2))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._apply_look()

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.review.changed and not self._leaving:
            self._leaving = True
            self.reason.say(tr("There are edits that are not saved: Ctrl+S keeps them, closing again leaves them out."))
            event.ignore()
            return
        self._timer.stop()
        super().closeEvent(event)
