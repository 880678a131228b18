"""The two readouts, to be read from two metres away."""

from __future__ import annotations

from PyQt5.QtCore import Qt
from PyQt5.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout

from acquire.window.parts import Bar, Digits, FittedText, set_text, text_label
from acquire.window.readouts_state import ReadoutState
from acquire.window.themes import Theme


class Readout(QFrame):
    """Shows a `ReadoutState`.  Decides nothing."""

    def __init__(self, role: str, widest: str) -> None:
        super().__init__()
        self.setProperty("role", "panel")
        self._role = role
        self._theme: Theme | None = None
        self._stale = False
        self.name = text_label("readout name", "quiet")
        self.state = text_label("state")
        self.state.setAlignment(Qt.AlignRight | Qt.AlignVCenter)
        self.digits = Digits(widest)
        self.coming = FittedText(15, bold=False)
        self.bar = Bar()
        top = QHBoxLayout()
        top.addWidget(self.name)
        top.addStretch(1)
        top.addWidget(self.state)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(16, 6, 16, 10)
        layout.setSpacing(2)
        layout.addLayout(top)
        layout.addWidget(self.digits)
        layout.addWidget(self.coming)
        layout.addSpacing(2)
        layout.addWidget(self.bar)

    def set_look(self, theme: Theme, scale: float) -> None:
        self._theme = theme
        self.coming.set_look(theme.quiet, scale)
        self._recolour()

    def set_digit_height(self, pixels: float) -> None:
        self.digits.set_digit_height(pixels)

    def show_state(self, state: ReadoutState) -> None:
        """Show `state`.  The only way anything on this panel changes."""
        set_text(self.name, state.name)
        set_text(self.state, f"{state.shape} {state.word}")
        self.digits.set_value(state.value, state.unit)
        self.coming.set_text(state.coming)
        self.bar.set_share(state.filled)
        if state.stale != self._stale:
            self._stale = state.stale
            self._recolour()
        if self.accessibleName() != state.description:
            self.setAccessibleName(state.description)

    def _recolour(self) -> None:
        if self._theme is None:
            return
        colour = self._theme.faint if self._stale else getattr(self._theme, self._role)
        self.digits.set_colour(colour)
        self.bar.set_colours(colour, self._theme.bar_back)
