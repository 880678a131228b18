"""The status line: run file, readings, gaps, clock, and the sound switch."""

from __future__ import annotations

from PyQt5.QtCore import Qt, pyqtSignal
from PyQt5.QtGui import QResizeEvent
from PyQt5.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from acquire.window.language import tr
from acquire.window.parts import ElidedLabel, restyle, set_text, text_label
from acquire.window.status_state import StatusState

BETWEEN = " · "


class StatusLine(QWidget):
    """Shows a `StatusState`.  Decides nothing.

    Signals
    -------
    sound_toggled
        The person wants sound on (True) or off.
    """

    sound_toggled = pyqtSignal(bool)

    def __init__(self) -> None:
        super().__init__()
        self.file = ElidedLabel()
        self.file.setProperty("role", "status strong")
        self.file.setProperty("tone", "")
        self.counts = text_label("status", "quiet")
        self.clock = text_label("status strong")
        # Counts give way first, then the middle of a long file name.
        self.counts.setSizePolicy(QSizePolicy.Ignored, QSizePolicy.Preferred)
        self.counts.setAlignment(Qt.AlignRight | Qt.AlignVCenter)
        self.sound = QPushButton()
        self.sound.setProperty("role", "small")
        self.sound.setCheckable(True)
        self.sound.setChecked(True)
        self.sound.setFocusPolicy(Qt.TabFocus)
        self.sound.toggled.connect(self._sound_changed)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(4, 0, 0, 0)
        layout.setSpacing(12)
        layout.addWidget(self.counts, 1)
        layout.addWidget(self.file)
        layout.addWidget(self.clock)
        layout.addWidget(self.sound)
        self._counts = ""
        self._name_sound()

    def show_state(self, state: StatusState) -> None:
        """Show `state`.  The only way anything on this line changes."""
        set_text(self.file, f"{state.sign} {state.file}")
        self._counts = state.counts
        self._fit_counts()
        set_text(self.clock, state.clock)
        if self.toolTip() != state.tip:
            self.setToolTip(state.tip)
            self.setAccessibleName(tr("Recording"))
            self.setAccessibleDescription(f"{state.file}. {state.counts}. {state.tip}")
        restyle(self.file, tone="trouble" if state.trouble else "")

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_counts()

    def _fit_counts(self) -> None:
        """As many of the counts as there is room for, none of them in part."""
        metrics, parts = self.counts.fontMetrics(), self._counts.split(BETWEEN)
        while parts and metrics.horizontalAdvance(BETWEEN.join(parts)) > self.counts.width():
            parts.pop(0)
        set_text(self.counts, BETWEEN.join(parts))

    def set_sound(self, on: bool) -> None:
        self.sound.setChecked(on)

    def _sound_changed(self, on: bool) -> None:
        self._name_sound()
        self.sound_toggled.emit(on)

    def _name_sound(self) -> None:
        self.sound.setText(tr("Sound on  M") if self.sound.isChecked() else tr("Sound off  M"))
