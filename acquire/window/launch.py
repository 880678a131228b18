"""Opens the window: the application, the start page, the bench; the heavy libraries only after the first paint."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from PyQt5.QtWidgets import QApplication

from acquire.clocks import real_seconds
from acquire.window.application import choose_language, make_application, show_large
from acquire.window.bench import BenchWindow
from acquire.window.crash import CrashGuard
from acquire.window.first_paint import after_first_paint
from acquire.window.language import tr
from acquire.window.preferences import Preferences, load_preferences, save_preferences
from acquire.window.sound import SoundBox, find_player
from acquire.window.start_state import Finished, Opened, StartChoice, StartRefused, StartServices

if TYPE_CHECKING:
    from acquire.window.start import StartPage


class Program:
    """One start of the window, from the start page or straight to the bench, to its end.

    Parameters
    ----------
    services
        The machine: devices, liquids, checks, and opening a run.
    choice
        What to open without asking; None shows the start page.
    """

    def __init__(self, services: StartServices, choice: StartChoice | None, preferences: Preferences) -> None:
        self.services, self.choice, self.preferences = services, choice, preferences
        self.start_page: StartPage | None = None
        self.bench: BenchWindow | None = None
        self.finished: Finished | None = None
        self.refused = ""
        self._opened: Opened | None = None
        self._guard = CrashGuard(self._finish_after_crash)

    def begin(self) -> None:
        """Put the first window on screen."""
        self._guard.install()
        if self.choice is None:
            self._show_start()
        else:
            choice = self.choice
            bench = self._show_bench()
            # What opens a run brings numpy and more with it.
            after_first_paint(bench.panels, lambda: self._open(choice))

    def end(self) -> int:
        """Tidy up.  Returns the exit status."""
        self._guard.remove()
        if self.bench is not None:
            kept = replace(
                self.preferences, theme=self.bench.look.theme.name, text=self.bench.look.text, sound=self.bench.sound.on
            )
            save_preferences(kept)
        return 1 if self._guard.crashed or self.refused or (self.finished and self.finished.trouble) else 0

    def _show_start(self) -> None:
        from acquire.window.start import StartPage

        page = StartPage(self.services, self.preferences.look, understood=self.preferences.understood)
        page.start_asked.connect(self._start_asked)
        page.understood.connect(self._understood)
        page.language_asked.connect(self._language_asked)
        self.start_page = page
        show_large(page)

    def _understood(self) -> None:
        self.preferences = replace(self.preferences, understood=True)
        save_preferences(self.preferences)

    def _language_asked(self, code: str) -> None:
        """Words are made with the widgets: another language is another page."""
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        self.preferences = replace(self.preferences, language=choose_language(application, code))
        save_preferences(self.preferences)
        before = self.start_page
        self._show_start()
        if before is not None:
            before.close()
            before.deleteLater()

    def _start_asked(self, choice: StartChoice) -> None:
        try:
            opened = self.services.open(choice)
        except StartRefused as refused:
            assert self.start_page is not None
            self.start_page.say(str(refused))
            return
        self._show_bench()
        self._attach(opened)
        if self.start_page is not None:
            self.start_page.close()

    def _show_bench(self) -> BenchWindow:
        look = self.preferences.look
        sound = SoundBox(find_player(), on=self.preferences.sound)
        self.bench = BenchWindow(None, now=real_seconds, look=look, sound=sound)
        self.bench.left.connect(self._left)
        show_large(self.bench)
        return self.bench

    def _open(self, choice: StartChoice) -> None:
        try:
            opened = self.services.open(choice)
        except StartRefused as refused:
            self.refused = str(refused)
            if self.bench is not None:
                self.bench.say(tr("{0} Close this window to go back.").format(refused))
            return
        self._attach(opened)

    def _attach(self, opened: Opened) -> None:
        assert self.bench is not None
        self._opened = opened
        self.bench.attach(opened.session, opened.finish, opened.rejoin)
        self.bench.start()

    def _left(self, finished: Finished) -> None:
        self.finished = finished

    def _finish_after_crash(self) -> Finished:
        """The last resort: a run in this process is closed; one in a process of its own goes on and is left alone."""
        if self._opened is None or self.bench is None:
            return Finished()
        if self._opened.rejoin is not None:
            return Finished("", self._opened.path, going_on=True)
        return replace(self.bench.finish_now(), path=self._opened.path)


def run_window(services: StartServices, choice: StartChoice | None = None, language: str = "") -> Program:
    """Show the window until it is left.  Returns the program with what came of it."""
    application = make_application(sys.argv[:1])
    preferences = load_preferences()
    choose_language(application, language or preferences.language)
    program = Program(services, choice, preferences)
    program.begin()
    application.exec_()
    return program


def main(services: Callable[[], StartServices] | None = None) -> int:
    """The entry of `satline-window`: the start page."""
    if services is None:
        from acquire.commands.bench import services as machine

        services = machine
    return run_window(services()).end()
