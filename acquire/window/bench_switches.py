"""What the view switches of the bench window do: nothing of it reaches the run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from acquire.window.language import tr
from acquire.window.line_state import line_state
from acquire.window.looks import LARGEST, SMALLEST
from acquire.window.status_state import tip

if TYPE_CHECKING:
    from acquire.snapshot import Snapshot
    from acquire.window.bench import BenchWindow

NUDGE = 1.0  # [s] one block


class Switches:
    """The view switches of one window."""

    def __init__(self, window: BenchWindow) -> None:
        self._window = window
        self._table: dict[str, Callable[[], object]] = {
            "previous point": lambda: self._step_point(-1),
            "next point": lambda: self._step_point(1),
            "no point": self._escape,
            "big numbers": self._big_numbers,
            "full screen": self._full_screen,
            "theme": lambda: window.set_look(window.look.next_theme()),
            "larger": lambda: self._resize_text(1),
            "smaller": lambda: self._resize_text(-1),
            "mute": lambda: window.panels.status.set_sound(not window.sound.on),
            "cautions": lambda: window.say(limits_of_knowledge()),
            "details": self._details,
            "open report": window.open_report,
            "leave": window.close,
        }

    def switch(self, name: str) -> None:
        if name in self._table:
            self._table[name]()
            return
        strips = self._window.strips
        if strips is None:
            return
        on_strips: dict[str, Callable[[], object]] = {
            "follow": strips.follow_now,
            "whole run": lambda: strips.show_last(None),
            "last 10": lambda: strips.show_last(600.0),
            "last 3": lambda: strips.show_last(180.0),
            "zoom in": lambda: strips.zoom(0.5),
            "zoom out": lambda: strips.zoom(2.0),
            "earlier": lambda: strips.pan(-0.25),
            "later": lambda: strips.pan(0.25),
            "start earlier": lambda: strips.nudge(-NUDGE, 0.0),
            "start later": lambda: strips.nudge(NUDGE, 0.0),
            "end earlier": lambda: strips.nudge(0.0, -NUDGE),
            "end later": lambda: strips.nudge(0.0, NUDGE),
        }
        on_strips[name]()

    def text_size(self, text: float) -> None:
        """Text size as chosen with the slider."""
        look = replace(self._window.look, text=min(LARGEST, max(SMALLEST, text)))
        if look != self._window.look:
            self._window.set_look(look)

    def _resize_text(self, steps: int) -> None:
        # The slider is the one place that holds the size; it reports back.
        slider = self._window.keys.text_slider
        slider.setValue(slider.value() + steps)

    def _step_point(self, by: int) -> None:
        window = self._window
        if window.snapshot is None or not window.snapshot.points:
            return
        numbers = [point.number for point in window.snapshot.points]
        if window.selected not in numbers:
            window.choose(numbers[-1] if by < 0 else numbers[0])
            return
        window.choose(numbers[(numbers.index(window.selected) + by) % len(numbers)])

    def _escape(self) -> None:
        """Leaves a note, a question, a chosen point; never a run."""
        window, message = self._window, self._window.panels.message
        if not (message.noting or message.asking):
            window.choose(0)
        message.clear()
        window.panels.setFocus()

    def _details(self) -> None:
        """What otherwise only a resting mouse shows."""
        if self._window.snapshot is not None:
            self._window.say(details(self._window.snapshot))

    def _big_numbers(self) -> None:
        window = self._window
        if window.big.isVisible():
            window.big.close()
            return
        if window.snapshot is not None:
            window.big.show_snapshot(window.snapshot)
        window.big.show()
        window.activateWindow()

    def _full_screen(self) -> None:
        window = self._window
        if window.isFullScreen():
            window.showNormal()
        else:
            window.showFullScreen()


def details(snapshot: Snapshot) -> str:
    """Tolerance, drift, lag and devices, and what the findings advise."""
    advice = [line.advice for line in line_state(snapshot).findings if line.advice]
    return " · ".join([*tip(snapshot).split("\n"), *advice])


def limits_of_knowledge() -> str:
    """What the program is not, in one breath."""
    return tr(
        "satline controls nothing and is not a safety device. It does not know what your cell, stopper and tubing "
        "withstand. Eye protection on, no flames; the safety data sheet, your local rules and the person in charge "
        "decide."
    )
