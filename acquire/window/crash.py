"""The last resort of the window: whatever nobody foresaw closes the run file, says where it is, and can be copied."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable
from types import TracebackType

from PyQt5.QtWidgets import QApplication, QDialog, QHBoxLayout, QPlainTextEdit, QPushButton, QVBoxLayout

from acquire.window.language import tr
from acquire.window.parts import text_label
from acquire.window.start_state import Finished


class CrashWindow(QDialog):
    """Says what happened and where the run is."""

    def __init__(self, headline: str, details: str) -> None:
        super().__init__()
        self.setWindowTitle(tr("satline has to stop"))
        self.headline = text_label("body", wrap=True)
        self.headline.setText(headline)
        self.details = QPlainTextEdit(details)
        self.details.setReadOnly(True)
        self.details.setAccessibleName(tr("Details"))
        self.copy = QPushButton(tr("Copy the details"))
        self.leave = QPushButton(tr("Leave"))
        self.copy.clicked.connect(lambda: QApplication.clipboard().setText(details))
        self.leave.clicked.connect(self.accept)
        buttons = QHBoxLayout()
        buttons.addWidget(self.copy)
        buttons.addStretch(1)
        buttons.addWidget(self.leave)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.addWidget(self.headline)
        layout.addWidget(self.details, 1)
        layout.addLayout(buttons)
        self.resize(820, 460)


class CrashGuard:
    """Stands in for `sys.excepthook` while a window is open.

    Parameters
    ----------
    finish
        Closes the run and its file.
    show
        Shows the crash window and returns when it was left.
    leave
        Ends the program with this exit status.
    """

    def __init__(
        self,
        finish: Callable[[], Finished],
        show: Callable[[CrashWindow], object] | None = None,
        leave: Callable[[int], object] = QApplication.exit,
    ) -> None:
        self._finish, self._leave = finish, leave
        self._show = show or (lambda window: window.exec_())
        self._before = sys.excepthook
        self.crashed = False

    def install(self) -> None:
        self._before, sys.excepthook = sys.excepthook, self.handle

    def remove(self) -> None:
        sys.excepthook = self._before

    def handle(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        """Close the file, tell, leave.  A second exception on the way is only printed."""
        details = "".join(traceback.format_exception(kind, error, trace))
        print(details, file=sys.stderr)
        if self.crashed or issubclass(kind, KeyboardInterrupt):
            self._leave(1)
            return
        self.crashed = True
        try:
            finished = self._finish()
        except Exception as second:  # noqa: BLE001  (nothing may keep the person from being told)
            finished = Finished(trouble=f"{type(second).__name__}: {second}")
            details += "\n" + "".join(traceback.format_exception(second))
        self._show(CrashWindow(headline(finished), details))
        self._leave(1)


def headline(finished: Finished) -> str:
    """What the person has to know first: where the run is."""
    parts = [tr("Something happened that satline was not made for, and it has to stop.")]
    if finished.going_on:
        parts.append(
            tr("The run goes on being recorded in a process of its own. To see it again: satline bench --rejoin {0}")
            .format(finished.path)
        )  # fmt: skip
    elif finished.path and not finished.trouble:
        parts.append(tr("The run file is closed and holds everything up to now: {0}").format(finished.path))
    elif finished.path:
        parts.append(tr("The run file is {0}; it may need `satline verify --repair`. {1}").format(
            finished.path, finished.trouble
        ))  # fmt: skip
    parts.append(tr("If something is being warmed, stop that first: nobody is told anything any more."))
    return "\n\n".join(parts)
