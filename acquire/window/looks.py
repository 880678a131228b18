"""Theme and sizes of a window: which, how large, and how many pixels 17 mm are on this screen."""

from __future__ import annotations

from dataclasses import dataclass, replace

from acquire.window.parts import DIGIT_MM
from acquire.window.themes import LIGHT, THEMES, Theme

SMALLEST, LARGEST, STEP = 0.8, 2.0, 0.1  # text size that the person may choose, times the planned one
PLANNED = (1280, 800)  # [px] the window that sizes at scale 1 are planned for
TRUSTED_DPI = (60.0, 300.0)  # screens report nonsense often enough (a projector says it is 16 cm wide)
USUAL_DPI = 96.0


@dataclass(frozen=True)
class Look:
    theme: Theme = LIGHT
    text: float = 1.0  # chosen by the person

    def larger(self, steps: int) -> Look:
        text = round(min(LARGEST, max(SMALLEST, self.text + steps * STEP)), 2)
        return replace(self, text=text)

    def next_theme(self) -> Look:
        names = list(THEMES)
        return replace(self, theme=THEMES[names[(names.index(self.theme.name) + 1) % len(names)]])


def automatic_scale(width: int, height: int) -> float:
    """How much larger text becomes in a larger window, in steps of 0.05; the rest of the room goes to the traces."""
    share = min(width / PLANNED[0], height / PLANNED[1])
    return max(0.85, round(max(share, 0.1) ** 0.6 * 20) / 20)


SIDE_PANELS = 538  # [px] width of the two side panels at scale 1
SIDE_SHARE = 0.5  # of the window's width that they may have: the traces are what one looks at


def bench_scale(width: int, height: int, text: float) -> float:
    """Scale of the bench window's letters for the size the person chose, as far as there is room for them."""
    return round(min(automatic_scale(width, height) * text, SIDE_SHARE * width / SIDE_PANELS), 3)


START_ROOM = (900, 680)  # [px] what the start page needs at scale 1, in the longer language, every check in two lines


def start_scale(width: int, height: int, text: float) -> float:
    """The same for the start page."""
    wanted = automatic_scale(width, height) * text
    return round(min(wanted, width / START_ROOM[0], height / START_ROOM[1]), 3)


TOUCH_MM = 15.0  # [mm] a wet finger, or one in a glove; common practice for touch at machines, no source


def touch_pixels(dots_per_inch: float, window_height: int) -> float:
    """Least height of what is pressed with wet hands.  [px]

    15 mm on the screen, and never more than a twelfth of the window.
    """
    return min(TOUCH_MM * trusted(dots_per_inch) / 25.4, window_height / 12)


def trusted(dots_per_inch: float) -> float:
    """What the screen says of itself, where that can be."""
    low, high = TRUSTED_DPI
    return dots_per_inch if low <= dots_per_inch <= high else USUAL_DPI


def digit_pixels(dots_per_inch: float, window_height: int, text: float) -> float:
    """Height of a readout's digits.  [px]

    17 mm on the screen, more in a tall window, and never more than a seventh of the window: the traces need room too.
    """
    wanted = max(DIGIT_MM * trusted(dots_per_inch) / 25.4, 0.08 * window_height) * text
    return min(wanted, window_height / 7)
