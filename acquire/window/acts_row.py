"""The row of acts, each with its key, and the line beside it that says what the run answered."""

from __future__ import annotations

import math

from PyQt5.QtCore import Qt, pyqtSignal
from PyQt5.QtGui import QFont, QFontMetrics, QResizeEvent
from PyQt5.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from acquire.window.acts_state import ActsState
from acquire.window.parts import restyle

MAX_BUTTONS = 6
FRAME = 8  # [px] both sides of a button, with a ring around the one that has the keyboard
LEAST_SHRINK = 0.5  # smaller letters than that are no help to anybody


class ActsRow(QWidget):
    """Shows an `ActsState`.  Decides nothing.

    Signals
    -------
    act_clicked
        Name of the act the person wants.  Whether it is allowed is for the run to say.
    """

    act_clicked = pyqtSignal(str)

    def __init__(self) -> None:
        super().__init__()
        self._scale = 1.0
        self._fitted: tuple[object, ...] = ()
        # The row gives way: letters become smaller before the window becomes wider than the screen.
        self.setSizePolicy(QSizePolicy.Ignored, QSizePolicy.Preferred)
        self._acts: list[str] = [""] * MAX_BUTTONS
        self.buttons: list[QPushButton] = []
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        for index in range(MAX_BUTTONS):
            button = QPushButton()
            button.setProperty("role", "act")  # higher than others: wet fingers
            button.setFocusPolicy(Qt.TabFocus)
            button.clicked.connect(lambda _checked, index=index: self.act_clicked.emit(self._acts[index]))
            button.hide()
            layout.addWidget(button)
            self.buttons.append(button)
        layout.addStretch(1)

    def set_scale(self, scale: float, least_height: float = 0.0) -> None:
        """Letters by scale; buttons at least this high, however small the letters become, and never too low for them.
        [px]
        """
        self._scale = scale
        size, pad, _ = self._sizes(1.0)
        high = max(math.ceil(least_height), self._metrics(size).height() + 2 * pad + FRAME)
        for button in self.buttons:
            button.setMinimumHeight(high)  # a least height of its own is all that a layout asks for
        self.setStyleSheet("")
        self._fitted = ()
        self._fit()

    def _fit(self) -> None:
        """Make the letters as large as planned, or as small as the width wants."""
        shown = [button for button in self.buttons if not button.isHidden()]
        if not shown or self.width() < 100:
            return
        fitted = (self.width(), self._scale, tuple(button.text() for button in shown))
        if fitted == self._fitted:
            return
        self._fitted = fitted
        room = self.width() - 8 * (len(shown) - 1)
        shrink = next((one / 50 for one in range(50, 24, -1) if self._needed(shown, one / 50) <= room), LEAST_SHRINK)
        size, pad, side = self._sizes(shrink)
        rule = f"QPushButton {{ font-size: {size}px; padding: {pad}px {side}px; }}" if shrink < 1 else ""
        if rule != self.styleSheet():
            self.setStyleSheet(rule)

    def _sizes(self, shrink: float) -> tuple[int, int, int]:
        """Letters, and room above and beside them.  [px]"""
        size, pad, side = (round(one * self._scale * shrink) for one in (14.5, 13, 12))
        return size, pad, side

    def _metrics(self, size: int) -> QFontMetrics:
        font = QFont(self.font())
        font.setPixelSize(size)
        font.setWeight(QFont.Bold)  # as wide as the one that is due
        return QFontMetrics(font)

    def _needed(self, shown: list[QPushButton], shrink: float) -> int:
        """Width of all buttons with letters of this size, counted and not asked for: a button knows its own width only
        some events after its letters changed.  [px]"""
        size, _, side = self._sizes(shrink)
        metrics = self._metrics(size)
        return sum(metrics.horizontalAdvance(button.text()) + 2 * side + FRAME for button in shown)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def button_for(self, act: str) -> QPushButton | None:
        """The button that stands for an act now."""
        if act not in self._acts:
            return None
        return self.buttons[self._acts.index(act)]

    def show_state(self, state: ActsState) -> None:
        """Show `state`.  The only way anything on this panel changes."""
        for index, button in enumerate(self.buttons):
            shown = index < len(state.row)
            button.setVisible(shown)
            self._acts[index] = state.row[index].act if shown else ""
            if not shown:
                continue
            act = state.row[index]
            text = f"{act.label}  {act.key}"
            if button.text() != text:
                button.setText(text)
                button.setAccessibleName(act.label)
                button.setAccessibleDescription(act.key)
            button.setEnabled(act.enabled)
            restyle(button, due="true" if act.due else "false")
        self._fit()
