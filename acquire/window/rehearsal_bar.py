"""Controls of a rehearsal in the bench window: pause, faster, slower, by mouse and key; absent at a real bench."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PyQt5.QtCore import Qt
from PyQt5.QtGui import QKeySequence
from PyQt5.QtWidgets import QAction, QHBoxLayout, QPushButton

from acquire.rehearsal_pace import FASTER, PAUSE, SLOWER, PaceError
from acquire.window.borrowed import file_text
from acquire.window.language import tr
from acquire.window.parts import framed, restyle, set_text, text_label
from acquire.window.rehearsal_state import PACE_KEYS, rehearsal_state

if TYPE_CHECKING:
    from acquire.snapshot import Snapshot
    from acquire.window.bench import BenchWindow


class RehearsalBar:
    """Menu and buttons of one window; asks the recorder and says what it answered."""

    def __init__(self, window: BenchWindow) -> None:
        self._window = window
        self.frame = framed("act")
        self.name, self.speed = text_label("status strong"), text_label("status strong")
        self.name.setText(tr("Rehearsal"))
        self.speed.setAlignment(Qt.AlignCenter)
        self.buttons: dict[str, QPushButton] = {}
        for change, text in ((PAUSE, tr("Pause  P")), (SLOWER, "<"), (FASTER, ">")):
            button = QPushButton(text)
            button.setProperty("role", "small")
            button.setFocusPolicy(Qt.TabFocus)
            button.setAccessibleName(tr(PACE_KEYS[change][0]))
            button.setToolTip(tr(PACE_KEYS[change][0]))
            button.clicked.connect(partial(self._clicked, change))
            self.buttons[change] = button
        layout = QHBoxLayout(self.frame)
        layout.setContentsMargins(10, 2, 10, 2)
        layout.setSpacing(8)
        for widget in (self.name, self.buttons[PAUSE], self.buttons[SLOWER], self.speed, self.buttons[FASTER]):
            layout.addWidget(widget)
        window.panels.rehearsal_place.addWidget(self.frame)
        self.menu = window.menuBar().addMenu(tr("R&ehearsal"))
        self.actions: dict[str, QAction] = {}
        for change, (label, keys) in PACE_KEYS.items():
            action = QAction(tr(label), window)
            action.setShortcuts([QKeySequence(key) for key in keys])
            action.setAutoRepeat(False)
            action.triggered.connect(partial(self._clicked, change))
            self.menu.addAction(action)
            self.actions[change] = action

    def show_snapshot(self, snapshot: Snapshot) -> None:
        state = rehearsal_state(snapshot)
        set_text(self.speed, state.speed)
        if self.buttons[PAUSE].text() != state.pause:
            self.buttons[PAUSE].setText(state.pause)
        restyle(self.buttons[PAUSE], due="true" if state.paused else "false")
        for change, possible in ((PAUSE, True), (FASTER, state.can_faster), (SLOWER, state.can_slower)):
            self.buttons[change].setEnabled(possible)
            self.actions[change].setEnabled(possible and state.shown)
        self.frame.setVisible(state.shown)

    def _clicked(self, change: str, _checked: bool = False) -> None:
        from acquire.runfile.errors import RunFileError

        window = self._window
        if window.link is None:
            return
        try:
            window.link.session.pace(change)
        except (RunFileError, PaceError) as trouble:
            window.say(file_text(str(trouble)))
            return
        window.show_all()
        window.panels.setFocus()


def rehearsal_bar(window: BenchWindow) -> RehearsalBar | None:
    """The controls where the run's time can be changed, None at a real bench."""
    from acquire.runfile.errors import RunFileError

    link = window.link
    ask = getattr(link.session, "pace", None) if link is not None else None
    try:
        return RehearsalBar(window) if ask is not None and ask() is not None else None
    except RunFileError:
        return None  # the recorder is gone: the window says so by itself
