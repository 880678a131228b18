"""The row of acts, each with its key, and the line beside it that says what the run answered."""

from __future__ import annotations

from PyQt5.QtCore import Qt, pyqtSignal
from PyQt5.QtWidgets import QHBoxLayout, QPushButton, QWidget

from acquire.window.acts_state import ActsState
from acquire.window.parts import restyle

MAX_BUTTONS = 6


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
        self._acts: list[str] = [""] * MAX_BUTTONS
        self.buttons: list[QPushButton] = []
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        for index in range(MAX_BUTTONS):
            button = QPushButton()
            button.setFocusPolicy(Qt.TabFocus)
            button.clicked.connect(lambda _checked, index=index: self.act_clicked.emit(self._acts[index]))
            button.hide()
            layout.addWidget(button)
            self.buttons.append(button)

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
