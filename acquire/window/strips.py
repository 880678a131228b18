"""The two strips: pressure and temperature against time, following the run or held where the person looks."""

from __future__ import annotations

import math

import pyqtgraph as pg
from PyQt5.QtCore import QSignalBlocker, Qt, pyqtSignal
from PyQt5.QtGui import QColor, QResizeEvent
from PyQt5.QtWidgets import QFrame, QHBoxLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from acquire.window.language import tr
from acquire.window.parts import fill_view, text_label
from acquire.window.quantities import ZERO_CELSIUS
from acquire.window.strip import Strip
from acquire.window.strip_layout import nudged
from acquire.window.strip_store import Array
from acquire.window.strips_state import Span, StripsState, follow_range
from acquire.window.themes import LIGHT, Theme

SPANS = (None, 600.0, 180.0)  # [s] what the three lengths of "follow" show; None is the whole run


class StripsPanel(QFrame):
    """Shows a `StripsState` over the readings it was given.  Decides nothing.

    Signals
    -------
    point_chosen
        Number of the point whose plateau was clicked, 0 for beside all plateaus.
    window_moved
        (number of the point, start, end [s]): the person dragged an end of its window.
    """

    point_chosen = pyqtSignal(int)
    window_moved = pyqtSignal(int, float, float)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "panel")
        self.view = pg.GraphicsLayoutWidget()
        self.view.setFocusPolicy(Qt.NoFocus)
        self.view.ci.layout.setContentsMargins(0, 8, 6, 0)
        self.view.ci.layout.setSpacing(6)
        self.pressure = Strip("pressure", 0.4, words=True, with_time=False)
        self.temperature = Strip("temperature", 0.4, words=False, with_time=True)
        # Names stand level above their strips: turned by a quarter they are neither read nor fitted in.
        self.pressure_name = text_label("card heading", "pressure")
        self.pressure_name.setText(tr("Cell pressure / kPa"))
        self.temperature_name = pg.LabelItem(justify="left")
        self.view.addItem(self.pressure.plot, 0, 0)
        self.view.addItem(self.temperature_name, 1, 0)
        self.view.addItem(self.temperature.plot, 2, 0)
        for row, share in ((0, 3), (2, 2)):
            self.view.ci.layout.setRowStretchFactor(row, share)
            # Stretch alone shares out what is left over a preferred height, which is the same for both.
            self.view.ci.layout.setRowPreferredHeight(row, 100 * share)
        self.strips = (self.pressure, self.temperature)
        for strip in self.strips:
            strip.box.time_clicked.connect(self._clicked)
            strip.box.moved_by_hand.connect(self._by_hand)
        # `temperature` carries the readable axis, so it leads; the other follows in the same step.
        self.pressure.box.setXLink(self.temperature.box)
        self._growing = True
        self.follow = QPushButton()
        self.follow.setProperty("role", "small")
        self.follow.setText(tr("Follow  Home"))
        self.follow.setCheckable(True)
        self.follow.setChecked(True)
        self.follow.setFocusPolicy(Qt.TabFocus)
        self.follow.clicked.connect(self.follow_now)
        self.spans: list[QPushButton] = []
        # The row gives way: buttons go before the window becomes wider than the screen; each has its key in the menu.
        self.bar = QWidget()
        self.bar.setSizePolicy(QSizePolicy.Ignored, QSizePolicy.Fixed)
        bar = QHBoxLayout(self.bar)
        bar.setContentsMargins(0, 0, 4, 0)
        bar.addWidget(self.pressure_name)
        bar.addStretch(1)
        for span in SPANS:
            button = QPushButton()
            button.setText(tr("Whole run") if span is None else tr("Last {0} min").format(round(span / 60)))
            button.setProperty("role", "small")
            button.setCheckable(True)
            button.setChecked(span is None)
            button.setFocusPolicy(Qt.TabFocus)
            button.clicked.connect(lambda _checked, span=span: self.show_last(span))
            bar.addWidget(button)
            self.spans.append(button)
        bar.addWidget(self.follow)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 6, 6, 2)
        layout.setSpacing(0)
        layout.addWidget(self.bar)
        layout.addWidget(self.view)
        self._state = StripsState(0.0, (), (), (), "")
        self._theme = LIGHT
        self._following = True
        self._span: float | None = None  # the whole run
        self._selected: int | None = None
        self.handle: pg.LinearRegionItem | None = None

    def set_look(self, theme: Theme, pixels: int) -> None:
        self._theme = theme
        fill_view(self.view, theme.card)
        for strip in self.strips:
            colour = theme.temperature if strip.channel == "temperature" else theme.pressure
            strip.set_look(theme, colour, pixels, round(pixels * 3.6), self.devicePixelRatioF())
        self.temperature_name.setText(
            tr("Bath temperature / °C"), color=theme.temperature, size=f"{pixels}px", bold=True, justify="left"
        )
        self.temperature_name.setFixedHeight(round(pixels * 1.5))
        self._show_handle()
        self._fit_bar()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_bar()

    def offer_following(self, growing: bool) -> None:
        """Whether more readings may come; a run that is complete has nothing to follow."""
        self._growing = growing
        self._fit_bar()

    def _fit_bar(self) -> None:
        """Show as many buttons as there is room for, the one that brings the run back first."""
        room = self.width() - self.pressure_name.sizeHint().width() - 24
        self.follow.setVisible(self._growing)
        for button in (self.follow, *self.spans) if self._growing else self.spans:
            room -= button.sizeHint().width() + 6
            button.setVisible(room >= 0)

    def add(self, channel: str, time: Array, value: Array) -> None:
        """New readings of a channel.  [s, K or Pa]"""
        if channel == "temperature":
            self.temperature.add(time, value - ZERO_CELSIUS)
        elif channel == "pressure":
            self.pressure.add(time, value / 1e3)

    def show_state(self, state: StripsState, selected: int | None) -> None:
        """Show `state`, with the window of `selected` ready to be dragged.  Redraws only what changed."""
        spans_changed = state.spans != self._state.spans or selected != self._selected
        self._state, self._selected = state, selected
        for strip in self.strips:
            strip.show_state(state)
        if self.accessibleDescription() != state.description:
            self.setAccessibleName(tr("Traces"))
            self.setAccessibleDescription(state.description)
        if spans_changed:
            self._show_handle()
        self.redraw()

    def redraw(self) -> None:
        now = self._state.now
        if self._state.closed and math.isfinite(self.temperature.store.last_time):
            now = self.temperature.store.last_time  # the clock goes on, the run does not
        start, end = follow_range(now, self._span) if self._following else self._held()
        if self._following and self._state.closed and self._span is None:
            end = max(now, 60.0)  # nothing will come that room must be left for
        for strip in self.strips:
            strip.draw(start, end)

    def _held(self) -> tuple[float, float]:
        left, right = self.temperature.box.viewRange()[0]
        return float(left), float(right)

    @property
    def following(self) -> bool:
        return self._following

    def follow_now(self) -> None:
        self._following = True
        self.follow.setChecked(True)
        self._mark_buttons()
        self.redraw()

    def show_last(self, span: float | None) -> None:
        """Follow the run and show the last `span` seconds, or all of it."""
        self._span = span
        self.follow_now()

    def zoom(self, factor: float) -> None:
        """Show a stretch `factor` times as long, about its right end while following."""
        start, end = self._held()
        middle = self._state.now if self._following else (start + end) / 2
        self._by_hand()
        half = max(5.0, (end - start) * factor / 2)
        self.temperature.box.setXRange(middle - half, middle + half, padding=0)
        self.redraw()

    def pan(self, share: float) -> None:
        """Move by a share of what is shown; forwards in time when positive."""
        start, end = self._held()
        self._by_hand()
        by = share * (end - start)
        self.temperature.box.setXRange(start + by, end + by, padding=0)
        self.redraw()

    def _by_hand(self) -> None:
        self._following = False
        self.follow.setChecked(False)
        self._mark_buttons()

    def _mark_buttons(self) -> None:
        for span, button in zip(SPANS, self.spans, strict=True):
            button.setChecked(self._following and span == self._span)

    def _clicked(self, time: float) -> None:
        hit = [span for span in self._state.spans if span.number is not None and span.start <= time <= span.end]
        self.point_chosen.emit(hit[0].number or 0 if hit else 0)

    def _selected_span(self) -> Span | None:
        return next(
            (span for span in self._state.spans if span.number == self._selected and self._selected is not None), None
        )

    def _show_handle(self) -> None:
        span = self._selected_span()
        if span is None:
            if self.handle is not None:
                self.pressure.plot.removeItem(self.handle)
                self.handle = None
            return
        if self.handle is None:
            self.handle = pg.LinearRegionItem(movable=True, swapMode="block")
            self.handle.sigRegionChangeFinished.connect(self._dragged)
            self.pressure.plot.addItem(self.handle, ignoreBounds=True)
        fill = QColor(self._theme.focus)
        fill.setAlpha(40)
        self.handle.setBrush(fill)
        self.handle.setHoverBrush(fill)
        for line in self.handle.lines:
            line.setPen(pg.mkPen(self._theme.focus, width=3))
            line.setHoverPen(pg.mkPen(self._theme.focus, width=5))
        with QSignalBlocker(self.handle):
            self.handle.setRegion((span.start, span.end))

    def _dragged(self) -> None:
        if self.handle is not None and self._selected is not None:
            left, right = self.handle.getRegion()
            start, end = nudged(left, right, 0.0, 0.0, self._state.now)
            span = self._selected_span()
            if span is None or (start, end) != (span.start, span.end):
                self.window_moved.emit(self._selected, start, end)

    def nudge(self, by_start: float, by_end: float) -> None:
        """Move an end of the chosen point's window by whole seconds, as a drag would."""
        span = self._selected_span()
        if span is not None and span.number is not None:
            self.window_moved.emit(span.number, *nudged(span.start, span.end, by_start, by_end, self._state.now))
