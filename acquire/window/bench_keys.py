"""Every act and every view switch as a menu entry with its key: whatever the mouse can do, the keyboard can."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from PyQt5.QtCore import Qt
from PyQt5.QtGui import QKeySequence
from PyQt5.QtWidgets import QAction, QLabel, QMainWindow, QMenu, QSlider, QVBoxLayout, QWidget, QWidgetAction

from acquire import acts
from acquire.window.acts_state import ANSWER_KEY, LABELS, ActsState
from acquire.window.language import said, tr
from acquire.window.looks import LARGEST, SMALLEST

#: View and window switches: name -> (label, keys).
SWITCHES: dict[str, tuple[str, tuple[str, ...]]] = {
    "follow": (said("Follow the run"), ("Home",)),
    "whole run": (said("Show the whole run"), ("1",)),
    "last 10": (said("Show the last 10 min"), ("2",)),
    "last 3": (said("Show the last 3 min"), ("3",)),
    "zoom in": (said("Shorter stretch of time"), ("+",)),
    "zoom out": (said("Longer stretch of time"), ("-",)),
    "earlier": (said("Earlier"), ("Left",)),
    "later": (said("Later"), ("Right",)),
    "previous point": (said("Look at the point before"), ("Up",)),
    "next point": (said("Look at the next point"), ("Down",)),
    "no point": (said("Look at no point"), ("Esc",)),
    "start earlier": (said("Window starts 1 s earlier"), ("Alt+Left",)),
    "start later": (said("Window starts 1 s later"), ("Alt+Right",)),
    "end earlier": (said("Window ends 1 s earlier"), ("Shift+Left",)),
    "end later": (said("Window ends 1 s later"), ("Shift+Right",)),
    "big numbers": (said("Big numbers in a second window"), ("Ctrl+B",)),
    "full screen": (said("Full screen"), ("F11",)),
    "theme": (said("Next theme: light, dark, high contrast"), ("Ctrl+T",)),
    "larger": (said("Larger text"), ("Ctrl++", "Ctrl+=")),
    "smaller": (said("Smaller text"), ("Ctrl+-",)),
    "mute": (said("Sound on or off"), ("M",)),
    "cautions": (said("What satline cannot know"), ("F1",)),
    "details": (said("How settling is judged; devices; advice"), ("F2",)),
    "open report": (said("Open the report"), ("Ctrl+R",)),
    "leave": (said("Leave"), ("Ctrl+Q",)),
}

_RUN = (
    acts.BEGIN, acts.TAKE, acts.SET_ASIDE, acts.RESTORE, None, acts.VALVE_CLOSED, acts.VALVE_OPENED, acts.CHARGED,
    acts.WARMED, acts.COOLED, acts.NEXT, None, acts.NOTE, acts.UNDO, acts.REDO, None, acts.VENTED, acts.FINISH,
)  # fmt: skip
_TRACES = (
    "follow", "whole run", "last 10", "last 3", "zoom in", "zoom out", "earlier", "later", None, "previous point",
    "next point", "no point", "start earlier", "start later", "end earlier", "end later",
)  # fmt: skip
_VIEW = ("big numbers", "full screen", None, "theme", "larger", "smaller", None, "mute")


@dataclass(frozen=True)
class KeyMap:
    """The actions of a window by name."""

    acts: dict[str, QAction]
    answer: QAction
    switches: dict[str, QAction]
    text_slider: QSlider

    def show_state(self, state: ActsState) -> None:
        """Enable what can be done now, under the label that fits now."""
        for name, action in self.acts.items():
            action.setEnabled(name in state.enabled)
            action.setVisible(name not in state.absent)
            if action.text() != state.labels[name]:
                action.setText(state.labels[name])
        self.answer.setText(state.answer_label or tr("Done"))


def build_keys(
    window: QMainWindow,
    on_act: Callable[[str], None],
    on_answer: Callable[[], None],
    on_switch: Callable[[str], None],
    on_text: Callable[[float], None],
) -> KeyMap:
    """Make the menus of a window and connect every entry."""
    run = window.menuBar().addMenu(tr("&Run"))
    answer = QAction(tr("Done"), window)
    answer.setShortcuts([QKeySequence(ANSWER_KEY), QKeySequence("Enter")])
    answer.triggered.connect(on_answer)
    run.addAction(answer)
    made: dict[str, QAction] = {}
    for name in _RUN:
        if name is None:
            run.addSeparator()
            continue
        label, key = LABELS[name]
        made[name] = _action(window, run, tr(label), (key,), partial(on_act, name))
        # Holding the key down must not take one plateau after another.
        made[name].setAutoRepeat(False)
    answer.setAutoRepeat(False)
    switches: dict[str, QAction] = {}
    traces, view = window.menuBar().addMenu(tr("&Traces")), window.menuBar().addMenu(tr("&View"))
    help_menu = window.menuBar().addMenu(tr("&Help"))
    for menu, names in ((traces, _TRACES), (view, _VIEW), (help_menu, ("cautions", "details"))):
        for name in names:
            if name is None:
                menu.addSeparator()
                continue
            label, keys = SWITCHES[name]
            switches[name] = _action(window, menu, tr(label), keys, partial(on_switch, name))
    run.addSeparator()
    for name in ("open report", "leave"):
        label, keys = SWITCHES[name]
        switches[name] = _action(window, run, tr(label), keys, partial(on_switch, name))
    return KeyMap(made, answer, switches, _text_slider(view, on_text))


def _action(window: QMainWindow, menu: QMenu, label: str, keys: tuple[str, ...], slot: Callable[[], object]) -> QAction:
    action = QAction(label, window)
    action.setShortcuts([QKeySequence(key) for key in keys])
    action.triggered.connect(lambda _checked=False: slot())
    menu.addAction(action)
    return action


def _text_slider(menu: QMenu, on_text: Callable[[float], None]) -> QSlider:
    """Text size as a slider in the menu, in tenths."""
    holder = QWidget()
    layout = QVBoxLayout(holder)
    layout.setContentsMargins(22, 4, 22, 8)
    layout.addWidget(QLabel(tr("Text size")))
    slider = QSlider(Qt.Horizontal)
    slider.setRange(round(SMALLEST * 10), round(LARGEST * 10))
    slider.setValue(10)
    slider.setAccessibleName(tr("Text size"))
    slider.valueChanged.connect(lambda value: on_text(value / 10))
    layout.addWidget(slider)
    action = QWidgetAction(menu)
    action.setDefaultWidget(holder)
    menu.addAction(action)
    return slider
