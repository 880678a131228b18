"""From the start page to the program's other windows: a stored run, a folder of runs, points measured elsewhere."""

from __future__ import annotations

from collections.abc import Callable

from PyQt5.QtCore import QObject, QTimer
from PyQt5.QtGui import QKeySequence
from PyQt5.QtWidgets import QFileDialog, QPushButton, QShortcut, QWidget

from acquire.window.language import tr
from acquire.window.start_state import Elsewhere, StartServices

POLL = 200  # [ms]


class ElsewhereButtons(QObject):
    """A button and a key for each of the other windows, which open as programs of their own beside the start page.

    Parameters
    ----------
    page
        The window that the file dialogs belong to.
    say
        Told why a window could not be opened.
    """

    def __init__(self, services: StartServices, page: QWidget, say: Callable[[str], None]) -> None:
        super().__init__(page)
        self._services, self._page, self._say = services, page, say
        self._opening: list[Elsewhere] = []
        self._timer = QTimer(self)
        self._timer.setInterval(POLL)
        self._timer.timeout.connect(self._look)
        self.buttons: list[QPushButton] = []
        for key, text, ask in (
            ("F7", tr("Look at a run…  F7"), self._ask_for_run),
            ("F8", tr("Pool a folder…  F8"), self._ask_for_folder),
            ("F9", tr("Type in points…  F9"), lambda: self.open("points", "")),
        ):
            button = QPushButton(text)
            button.setProperty("role", "small")
            button.clicked.connect(ask)
            QShortcut(QKeySequence(key), page).activated.connect(button.click)
            self.buttons.append(button)

    def _ask_for_run(self) -> None:
        path, _ = QFileDialog.getOpenFileName(
            self._page, tr("A run file"), self._services.runs_folder(), tr("Run files (*.h5)")
        )
        if path:
            self.open("run", path)

    def _ask_for_folder(self) -> None:
        path = QFileDialog.getExistingDirectory(self._page, tr("A folder of runs"), self._services.runs_folder())
        if path:
            self.open("folder", path)

    def open(self, what: str, path: str) -> None:
        """Open the window for "run", "folder" or "points"; what goes wrong is said when it does."""
        self._opening.append(self._services.elsewhere(what, path))
        self._timer.start()

    def _look(self) -> None:
        for one in list(self._opening):
            trouble = one.trouble()
            if trouble is None:
                continue
            self._opening.remove(one)
            if trouble:
                self._say(trouble)
        if not self._opening:
            self._timer.stop()
