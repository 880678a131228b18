"""The review window: a stored run at a glance and second by second, its points, its journal, and "what if"."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import pyqtgraph as pg
from PyQt5.QtCore import QUrl
from PyQt5.QtGui import QCloseEvent, QDesktopServices, QKeySequence, QResizeEvent
from PyQt5.QtWidgets import QAction, QMainWindow

from acquire import acts
from acquire.report.given_words import title_words
from acquire.report.language import spoken
from acquire.review.editor import Review
from acquire.review.journal_view import journal_lines
from acquire.review.what_if import WhatIf, answer
from acquire.window.language import current_language, tr
from acquire.window.line_state import line_state
from acquire.window.looks import Look, automatic_scale
from acquire.window.parts import set_text
from acquire.window.quantities import ZERO_CELSIUS
from acquire.window.review_edits import ReviewEdits
from acquire.window.review_findings_state import FindingLine, finding_lines, stretch_to_show
from acquire.window.review_page import ReviewPage
from acquire.window.review_services import ReviewServices
from acquire.window.review_state import (
    changed_fields,
    line_words,
    moment_rows,
    picture,
    point_rows,
    readings_rows,
    residuals,
    result_words,
    review_strips,
)
from acquire.window.review_store import FileStore, StretchedTrace
from acquire.window.review_style import review_style
from acquire.window.review_work import ReviewWork
from acquire.window.style_sheet import px
from acquire.window.what_if_panel import WhatIfAsked

if TYPE_CHECKING:
    pass

#: Shown value = value in SI * factor + shift.
SHOWN = {"temperature": (1.0, -ZERO_CELSIUS), "pressure": (1e-3, 0.0)}


class ReviewWindow(ReviewEdits, QMainWindow):
    """One stored run on the screen."""

    def __init__(
        self,
        review: Review,
        services: ReviewServices,
        look: Look | None = None,
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
        self._findings: tuple[FindingLine, ...] = ()
        self._complete = False
        with spoken(current_language().code):
            title = title_words(review.record)
        self.setWindowTitle(f"{title} – satline")
        page = ReviewPage(title, tr("checking the file"), review.record.plan, growing=review.growing)
        self.work = ReviewWork(review, services.check, self)
        self.setCentralWidget(page)
        self.overview, self.strips, self.lines = page.overview, page.strips, page.lines
        self.moment, self.points, self.residuals = page.moment, page.points, page.residuals
        self.line, self.line_plot = page.line, page.line_plot
        self.journal, self.what_if, self.tabs = page.journal, page.what_if, page.tabs
        self.buttons, self.reason, self.progress = page.buttons, page.reason, page.progress
        self.findings, self.mark, self.badge = page.findings, page.mark, page.badge
        self._connect()
        self.resize(1280, 800)
        self._show_traces()
        self._apply_look()
        self.show_run()
        self.strips.show_last(None)
        first = review.record.points[0] if review.record.points else None
        self.move_cursor(first.end if first else 0.0)
        self.work.start()

    def _show_traces(self) -> None:
        """Give the strips their traces: the readings themselves, or where they lie in the file."""
        for channel, trace in self.review.record.traces.items():
            if channel not in SHOWN:
                continue
            if not isinstance(trace, StretchedTrace):
                self.strips.add(channel, trace.time, trace.value)
                self.overview.add(channel, trace.time, trace.value)
                continue
            strip = next(strip for strip in self.strips.strips if strip.channel == channel)
            if isinstance(strip.store, FileStore):
                strip.store.look()
                self.overview.look()
            else:
                strip.store = FileStore(trace, *SHOWN[channel])
                self.overview.show_store(channel, strip.store)

    def _connect(self) -> None:
        self.work.decided.connect(self._decided)
        self.work.tried.connect(self._tried)
        self.work.looked.connect(self.follow)
        self.work.checked.connect(lambda words: set_text(self.badge, words))
        self.findings.chosen.connect(self.show_finding)
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
        self.tabs.currentChanged.connect(lambda _index: self._show_lines())
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
            "figures": (self.write_figures, ""),
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
        line = line_state(picture(review.points, review.result, review.journal))  # type: ignore[arg-type]
        self.line.show_state(line)
        self.line_plot.show_points(line.points, line.curve)
        with spoken(current_language().code):
            self.journal.show_lines(journal_lines(review.journal))
        self.what_if.show_answers(result_words(review.result), "")
        self._show_lines()
        self._findings = finding_lines(record, review.points, review.journal, review.result)
        none = tr("None of the tests on these points found anything.") if review.result else tr("no result")
        self.findings.show_lines(self._findings, none)
        self.tabs.setTabText(self.tabs.indexOf(self.findings), tr("Findings ({0})").format(len(self._findings)))
        self._enable()

    def _show_lines(self) -> None:
        """Other lines through the same points; only where they are seen, for they bring much with them."""
        if self.what_if.isVisible():
            self.what_if.show_lines(line_words(replace(self.review.record, points=self.review.points)))

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
            "report": not review.growing,
            "figures": not review.growing,
        }
        for name, enabled in on.items():
            self.buttons[name].setEnabled(enabled)
        percent = round(100 * review.progress)
        if review.growing:
            words = tr("still being recorded: to look at only")
        elif percent < 100:
            words = tr("deciding again: {0} %").format(percent)
        elif review.why_not_edit:
            words = tr("to read only")
        else:
            words = tr("edits not saved") if review.changed else ""
        set_text(self.progress, words)
        self.progress.setToolTip(self._why_not_edit())

    def _why_not_edit(self) -> str:
        with spoken(current_language().code):
            return self.review.why_not_edit

    def rest(self) -> None:
        """Decide nothing more behind the window until something new comes."""
        self.work.rest()

    def decide_more(self) -> None:
        """Decide a little more of the run again."""
        self.work.decide_more()

    def _decided(self, complete: bool) -> None:
        if complete and self.work.trial is None and not self._complete:
            self._complete = True
            self.show_run()
            if self.review.why_not_edit:
                self.reason.say(tr("Points cannot be edited: {0}.").format(self._why_not_edit()))
        self._enable()
        self._show_moment()

    def follow(self) -> None:
        """Show what was written to the file since."""
        followed = self._services.followed
        if not self.review.growing or not followed.refresh():
            return
        self.review.follow(self._services.record(), growing=followed.live)
        self._show_traces()
        self.show_run()
        if not followed.live:
            self.strips.offer_following(False)
            self.work.check_file()
        self.work.wake()

    def move_cursor(self, time: float) -> None:
        """Look at this second."""
        self.work.person_moved()
        self.looked_at = min(max(time, 0.0), self.review.record.duration)
        for line in self.lines:
            line.setValue(self.looked_at)
        self._show_moment()
        self._enable()

    def _show_moment(self) -> None:
        review = self.review
        if self.looked_at <= review.history.upto or review.history.complete:
            self.moment.show_rows(moment_rows(review.at(self.looked_at)))
        else:  # the readings at least are there at once
            self.moment.show_rows(readings_rows(review.record, self.looked_at, round(100 * review.progress)))

    def show_stretch(self, start: float, end: float) -> None:
        """Show this stretch in the strips.  [s]"""
        self.work.person_moved()
        self.strips._by_hand()
        self.strips.temperature.box.setXRange(start, end, padding=0)
        self.strips.redraw()

    def _range_shown(self, shown: tuple[float, float]) -> None:
        self.work.person_moved()
        self.overview.show_stretch(float(shown[0]), float(shown[1]))

    def _go_to(self, time: float) -> None:
        self.show_stretch(time - 90.0, time + 90.0)
        self.move_cursor(time)

    def show_finding(self, index: int) -> None:
        """Lead to where the traces show this finding, and mark it there."""
        place = self._findings[index].place
        if place is None:
            return
        self.show_stretch(*stretch_to_show(place, self.review.record.duration))
        self.mark.show(place.start, place.end)
        if len(place.points) == 1:
            self.choose(place.points[0])
        self.move_cursor(place.moment if place.moment is not None else place.start)

    def choose(self, number: int) -> None:
        self.selected = number or None
        self.show_run()

    def _point_row(self, number: int) -> None:
        self.choose(number)
        point = next(p for p in self.review.points if p.number == number)
        self.show_stretch(point.start - 120.0, point.end + 60.0)
        self.move_cursor(point.end)

    # What if

    def _ask(self, question: WhatIfAsked) -> None:
        """Fit the points, as they stand with the edits, with other inputs."""
        try:
            changes = {**changed_fields(self.review.record.plan, question.shown), "air.mode": question.air}
            record = replace(self.review.record, points=self.review.points)
            asked = WhatIf(plan=changes, liquid=question.liquid, lag_corrected=question.lag)
            history = self.review.history
            found = answer(record, asked, blocks=history.run.blocks if history.complete else None)
        except (KeyError, ValueError) as error:
            self.what_if.show_answers(result_words(self.review.result), str(error))
            return
        why_not = found.why_not(current_language().code)
        words = result_words(found.fit.as_dict()) if found.fit is not None else why_not
        self.what_if.show_answers(result_words(self.review.result), words)

    def _ask_settings(self, tolerance: float, mode: str) -> None:
        self.what_if.show_answers(result_words(self.review.result), tr("deciding …"))
        self.work.try_settings(self._services.decide_again(tolerance, mode))

    def _tried(self) -> None:
        trial = self.work.trial
        if trial is not None:
            words = tr("{0} ({1} points)").format(result_words(trial.result), trial.points)
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
        self.mark.set_look(theme)
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
        self.work.stop()
        super().closeEvent(event)
        self._services.let_go()
