"""Calls something once a window has been painted for the first time: what takes long must not come before that."""

from __future__ import annotations

from collections.abc import Callable

from PyQt5.QtCore import QEvent, QObject, QTimer
from PyQt5.QtWidgets import QWidget


class FirstPaint(QObject):
    """Waits for the first paint of a widget; lives as its child and goes away with it."""

    def __init__(self, widget: QWidget, call: Callable[[], object]) -> None:
        super().__init__(widget)
        self._call = call
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Paint:
            watched.removeEventFilter(self)
            # The picture reaches the screen when this event is done; the timer comes after that.
            QTimer.singleShot(0, self._call)
        return False


def after_first_paint(widget: QWidget, call: Callable[[], object]) -> None:
    """Call this after the next paint of `widget`."""
    FirstPaint(widget, call)
