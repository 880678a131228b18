"""What goes on behind the review window: deciding again, a trial of settings, following, checking the file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from PyQt5.QtCore import QElapsedTimer, QObject, QProcess, QTimer, pyqtSignal

from acquire.review.editor import Review
from acquire.review.trial import Trial

STEP_MS, LOOK_MS = 1, 1000
BUDGET_MS = 8  # of each look at the screen, half a frame
QUIET_MS = 200  # nothing is decided this long after the person moved something: every frame is theirs


class Followed(Protocol):
    """A run that somebody may still be writing."""

    def refresh(self) -> bool: ...
    @property
    def live(self) -> bool: ...


class FileCheck(Protocol):
    """How the file is checked: by a command in a process of its own, for it reads every byte."""

    @property
    def command(self) -> Sequence[str]: ...

    def words(self, printed: str) -> str:
        """What its standard output says, in a line."""


class ReviewWork(QObject):
    """Works in small steps between the frames of the window.

    Signals
    -------
    decided
        True when the whole run was decided again.
    tried
        The trial is complete.
    looked
        Once a second: time to see whether a run that is being written has grown.
    checked
        What the check of the file says.
    """

    decided = pyqtSignal(bool)
    tried = pyqtSignal()
    looked = pyqtSignal()
    checked = pyqtSignal(str)

    def __init__(self, review: Review, check: FileCheck, parent: QObject) -> None:
        super().__init__(parent)
        self.review, self._check = review, check
        self.trial: Trial | None = None
        self._process = QProcess(self)
        self._process.finished.connect(self._file_checked)
        self._moved = QElapsedTimer()
        self._step, self._look = QTimer(self), QTimer(self)
        self._step.setInterval(STEP_MS)
        self._step.timeout.connect(self._decide)
        self._look.setInterval(LOOK_MS)
        self._look.timeout.connect(self.looked)

    def start(self) -> None:
        self._step.start()
        self._look.start()
        self.check_file()

    def stop(self) -> None:
        self._step.stop()
        self._look.stop()
        self._process.blockSignals(True)
        self._process.kill()
        self._process.waitForFinished()

    def rest(self) -> None:
        """Decide nothing more until `wake`."""
        self._step.stop()

    def wake(self) -> None:
        """There is something to decide again."""
        self._step.start()

    def person_moved(self) -> None:
        """Leave the next frames to the person."""
        self._moved.restart()

    def check_file(self) -> None:
        """Check the file again, behind the window."""
        if self._process.state() == QProcess.NotRunning:
            program, *arguments = self._check.command
            self._process.start(program, arguments)

    def _file_checked(self) -> None:
        self.checked.emit(self._check.words(bytes(self._process.readAllStandardOutput()).decode("utf-8", "replace")))

    def try_settings(self, trial: Trial) -> None:
        self.trial = trial
        self.wake()

    def decide_more(self) -> bool:
        """Decide for one budget of time; whether nothing is left to do."""
        spent = QElapsedTimer()
        spent.start()
        done = False
        while spent.elapsed() < BUDGET_MS and not done:
            if self.trial is not None:
                if self.trial.advance(1.0):
                    self.tried.emit()
                    self.trial = None
            else:
                before = self.review.history.upto
                done = self.review.advance(1.0) or (self.review.growing and self.review.history.upto == before)
        self.decided.emit(self.review.history.complete)
        return done

    def _decide(self) -> None:
        if self._moved.isValid() and self._moved.elapsed() < QUIET_MS:
            return
        if self.decide_more():
            self.rest()
