"""The application that every window of the program is shown by; brings none of the windows with it."""

from __future__ import annotations

import sys

from PyQt5.QtCore import QLibraryInfo, QLocale, Qt, QTranslator
from PyQt5.QtGui import QIcon
from PyQt5.QtWidgets import QApplication, QWidget

from acquire.window.language import FOLDER, available_languages, load_language, use_language

ICON = FOLDER / "satline.svg"


def make_application(arguments: list[str]) -> QApplication:
    """The one application object, sharp on every screen and looking the same on every desktop."""
    running = QApplication.instance()
    if isinstance(running, QApplication):
        return running
    QApplication.setAttribute(Qt.AA_EnableHighDpiScaling, True)
    QApplication.setAttribute(Qt.AA_UseHighDpiPixmaps, True)
    QApplication.setHighDpiScaleFactorRoundingPolicy(Qt.HighDpiScaleFactorRoundingPolicy.PassThrough)
    application = QApplication(arguments)
    application.setApplicationName("satline")
    application.setStyle("Fusion")
    give_icon(application)
    return application


def give_icon(application: QApplication) -> None:
    """The program's own icon on every window and in the task bar."""
    application.setWindowIcon(QIcon(str(ICON)))
    # A desktop finds the menu entry, and Windows the place in its task bar, by a name and not by the interpreter.
    application.setDesktopFileName("satline")
    if sys.platform == "win32":
        import ctypes

        ctypes.windll.shell32.SetCurrentProcessExplicitAppUserModelID("satline")


def choose_language(application: QApplication, code: str) -> str:
    """Show this language, that of the machine for no code, English where there is no such translation."""
    wanted = code or QLocale.system().name()[:2]
    if wanted not in available_languages():
        wanted = "en"
    use_language(load_language(wanted))
    translator = QTranslator(application)
    # Qt's own words (file dialog, context menus) come with Qt, for the languages it has.
    if translator.load(f"qtbase_{wanted}", QLibraryInfo.location(QLibraryInfo.TranslationsPath)):
        application.installTranslator(translator)
    return wanted


def show_large(window: QWidget) -> None:
    """Show a window over the whole screen, and never beyond it."""
    screen = QApplication.primaryScreen()
    if screen is not None:
        window.resize(screen.availableGeometry().size())
    window.showMaximized()
