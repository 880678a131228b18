"""A line that asks for a reason, or says something, without taking the window over."""

from __future__ import annotations

from collections.abc import Callable

from PyQt5.QtWidgets import QHBoxLayout, QLineEdit, QSizePolicy, QWidget

from acquire.window.language import tr
from acquire.window.parts import set_text, text_label


class ReasonBar(QWidget):
    """Asks for a reason: Return gives it, Esc leaves everything as it is."""

    def __init__(self) -> None:
        super().__init__()
        self.words = text_label("said", wrap=True)
        # A path has no place to break at: the line is cut before the window becomes wider than the screen.
        self.words.setSizePolicy(QSizePolicy.Ignored, QSizePolicy.Preferred)
        self.words.setMinimumWidth(120)
        self.entry = QLineEdit()
        self.entry.setPlaceholderText(tr("the reason, then Return"))
        self.entry.setMaxLength(300)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.words, 1)
        layout.addWidget(self.entry, 1)
        self.entry.returnPressed.connect(self._given)
        self._answer: Callable[[str], None] | None = None
        self.entry.setVisible(False)

    def ask(self, question: str, answer: Callable[[str], None]) -> None:
        """Ask; `answer` is called with the reason once there is one."""
        set_text(self.words, question)
        self._answer = answer
        self.entry.clear()
        self.entry.setAccessibleName(question)
        self.entry.setVisible(True)
        self.entry.setFocus()

    def say(self, text: str) -> None:
        """Say something; nothing is asked any more."""
        self._answer = None
        self.entry.setVisible(False)
        set_text(self.words, text)
        self.words.setToolTip(text)

    def _given(self) -> None:
        reason = self.entry.text().strip()
        answer = self._answer
        if answer is None or not reason:
            return
        self.say("")
        answer(reason)
