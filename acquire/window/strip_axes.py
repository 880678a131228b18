"""Axes of the strips: time in minutes or hours, values with the decimal mark of the language."""

from __future__ import annotations

import math

import pyqtgraph as pg
from PyQt5.QtGui import QFont

from acquire.window.language import tr
from acquire.window.quantities import number

_STEPS = (60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 21600, 43200, 86400)  # [s]
HOURS_FROM = 3.0 * 3600  # [s] shown stretch from which hours read better than minutes


class _OneStepAxis(pg.AxisItem):
    """An axis whose numbers stand one step apart; its paper asks for their places in every frame."""

    def tickValues(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, list[float]]]:
        ((step, _),) = self.tickSpacing(minVal, maxVal, size)
        return [(step, [step * n for n in range(math.ceil(minVal / step), math.floor(maxVal / step) + 1)])]


class TimeAxis(_OneStepAxis):
    """Seconds inside, minutes or hours on the paper; `named` where it says which."""

    def __init__(self, *, named: bool = True) -> None:
        self._named = named
        super().__init__("bottom")
        self.enableAutoSIPrefix(False)
        self._hours = False
        self._name()

    def showLabel(self, show: bool = True) -> None:
        super().showLabel(show and self._named)  # a new name would show itself

    def tickSpacing(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, float]]:
        self._choose(maxVal - minVal)
        wanted = (maxVal - minVal) / max(2.0, size / 95)
        unit = 3600.0 if self._hours else 60.0
        if wanted <= 0.5 * unit:
            # Parts of the unit that its decimals can say: 20 s are no round part of a minute.
            return [(unit * round_step(wanted / unit), 0.0)]
        step = next((one for one in _STEPS if one >= wanted), 86400 * (1 + wanted // 86400))
        return [(float(step), 0.0)]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        unit = 3600.0 if self._hours else 60.0
        decimals = max(0, math.ceil(-math.log10(spacing / unit) - 1e-9))
        return [number(value / unit, decimals) for value in values]

    def _choose(self, shown: float) -> None:
        hours = shown >= HOURS_FROM
        if hours != self._hours:
            self._hours = hours
            self._name()

    def _name(self) -> None:
        self.setLabel(tr("time since start / h") if self._hours else tr("time since start / min"))


class ValueAxis(_OneStepAxis):
    """A value axis of fixed width: the first frame must not lack its numbers, nor later ones move the picture."""

    def __init__(self, label: str = "", side: str = "left") -> None:
        super().__init__(side)
        self.enableAutoSIPrefix(False)
        self.pixels = 13  # [px] of its letters
        self.finest = 0.0  # the smallest step between two numbers: finer ones are wider than the axis
        if label:
            self.setLabel(label)

    def tickSpacing(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, float]]:
        """As many numbers as fit with air between them, whatever the size of the letters."""
        apart = (1.5 if self.orientation == "left" else 3.6) * self.pixels
        return [(max(self.finest, round_step((maxVal - minVal) / max(1.0, size / apart))), 0.0)]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        decimals = 0 if spacing >= 1 else 1 if spacing >= 0.1 else 2 if spacing >= 0.01 else 3
        return [number(value, decimals) for value in values]


def round_step(least: float) -> float:
    """The next of 1, 2, 5, 10, ... times a power of ten."""
    if not least > 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(least))
    return next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= least * (1 - 1e-9))


def style_axis(axis: pg.AxisItem, ink: str, pixels: int) -> None:
    """Give an axis its colour and letter size; pyqtgraph does not follow the palette."""
    if isinstance(axis, ValueAxis):
        axis.pixels = pixels
    font = QFont()
    font.setPixelSize(pixels)
    axis.setTickFont(font)
    axis.setPen(pg.mkPen(ink))
    axis.setTextPen(pg.mkPen(ink))
    axis.setStyle(tickLength=-4, autoExpandTextSpace=False, tickTextOffset=5)
    if axis.labelText:
        axis.setLabel(text=axis.labelText, **{"color": ink, "font-size": f"{pixels}px"})


def leave_room(plot: pg.PlotItem, pixels: int) -> None:
    """Leave room above a picture: half of the number at its highest mark stands over its edge."""
    plot.layout.setContentsMargins(1, round(0.6 * pixels), 1, 1)
