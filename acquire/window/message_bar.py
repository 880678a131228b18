"""The line above the acts: what the run answered, a note being written, or a question; never a dialog."""

from __future__ import annotations

from PyQt5.QtCore import Qt, QTimer, pyqtSignal
from PyQt5.QtGui import QKeyEvent
from PyQt5.QtWidgets import QFrame, QHBoxLayout, QLineEdit, QPushButton, QSizePolicy

from acquire.window.language import tr
from acquire.window.parts import set_text, text_label

SHOWN_MS = 8000  # [ms] long enough to look up from the bath and read one sentence
MS_A_LETTER = 70  # [ms] for longer ones: half of what a calm reader needs for the whole is to find the place
MAX_NOTE_LETTERS = 400  # the run file keeps that much of an entry


class NoteField(QLineEdit):
    """One line of text that Escape leaves.

    Signals
    -------
    given_up
    """

    given_up = pyqtSignal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key_Escape:
            self.given_up.emit()
            return
        super().keyPressEvent(event)


class MessageBar(QFrame):
    """Says, asks, or takes a note, one at a time.

    Signals
    -------
    note_written
        Text of a note.
    leave_confirmed
        The person wants to close the run file and leave.
    """

    note_written = pyqtSignal(str)
    leave_confirmed = pyqtSignal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("role", "act")
        self.said = text_label("said", wrap=True)
        self.said.setSizePolicy(QSizePolicy.Ignored, QSizePolicy.Preferred)
        self.said.setMinimumWidth(180)  # [px] the window must not become wider for a sentence
        self.field = NoteField()
        self.field.setMaxLength(MAX_NOTE_LETTERS)
        self.field.setAccessibleName(tr("Note"))
        self.field.setPlaceholderText(tr("What was seen or done? Enter keeps it, Esc leaves"))
        self.keep = QPushButton(tr("Keep the note  ⏎"))
        self.leave = QPushButton(tr("Close the file and leave"))
        self.stay = QPushButton(tr("Go on recording"))
        for button in (self.keep, self.leave, self.stay):
            button.setProperty("role", "small")
            button.setFocusPolicy(Qt.TabFocus)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(12, 5, 12, 5)
        layout.addWidget(self.said, 1)
        layout.addWidget(self.field, 1)
        for button in (self.keep, self.leave, self.stay):
            layout.addWidget(button)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.clear)
        self.field.given_up.connect(self.clear)
        self.keep.clicked.connect(self.keep_note)
        self.leave.clicked.connect(self.leave_confirmed)
        self.stay.clicked.connect(self.clear)
        self.clear()

    @property
    def noting(self) -> bool:
        return not self.field.isHidden()

    @property
    def asking(self) -> bool:
        return not self.leave.isHidden()

    def say(self, text: str) -> None:
        """Show a sentence for a while; a note being written or a question is not pushed away."""
        if self.noting or self.asking:
            return
        set_text(self.said, text)
        self._show(said=True)
        self._timer.start(max(SHOWN_MS, MS_A_LETTER * len(text)))

    def ask_to_leave(self, text: str) -> None:
        set_text(self.said, text)
        self._show(said=True, asking=True)

    def open_note(self) -> None:
        """Begin a note; what is typed goes there until Enter or Escape."""
        self.field.clear()
        self._show(noting=True)
        self.field.setFocus(Qt.ShortcutFocusReason)

    def keep_note(self) -> None:
        text = self.field.text().strip()
        self.clear()
        if text:
            self.note_written.emit(text)

    def clear(self) -> None:
        self._timer.stop()
        self._show()

    def _show(self, *, said: bool = False, noting: bool = False, asking: bool = False) -> None:
        self._timer.stop()
        self.said.setVisible(said)
        self.field.setVisible(noting)
        self.keep.setVisible(noting)
        self.leave.setVisible(asking)
        self.stay.setVisible(asking)
        self.setVisible(said or noting or asking)
