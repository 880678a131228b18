"""Small drawings as SVG text: axes with ticks, bars, marks.  Pure functions of numbers; nothing of runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape

from acquire.report import palette
from acquire.report.text import typeset

FONT = "font-family='DejaVu Sans, sans-serif'"


class Drawing:
    """A drawing with a linear scale in x and in y; y grows upwards.

    Parameters
    ----------
    width, height : float
        Of the whole, in pixels.
    x, y : (low, high)
        What the inner frame spans, in units of the data.
    margins : left, right, top, bottom
    """

    def __init__(
        self,
        width: float,
        height: float,
        x: tuple[float, float],
        y: tuple[float, float],
        margins: tuple[float, float, float, float] = (56, 12, 12, 40),
    ) -> None:
        self.width, self.height, self.xs, self.ys = width, height, x, y
        self.left, self.right = margins[0], width - margins[1]
        self.top, self.bottom = margins[2], height - margins[3]
        self._parts: list[str] = []

    def x(self, value: float) -> float:
        low, high = self.xs
        return self.left + (value - low) / (high - low) * (self.right - self.left)

    def y(self, value: float) -> float:
        low, high = self.ys
        return self.bottom - (value - low) / (high - low) * (self.bottom - self.top)

    def add(self, text: str) -> None:
        self._parts.append(text)

    def line(self, x1: float, y1: float, x2: float, y2: float, colour: str, width: float = 1.0, dash: str = "") -> None:
        dashes = f" stroke-dasharray='{dash}'" if dash else ""
        self.add(
            f"<line x1='{self.x(x1):.1f}' y1='{self.y(y1):.1f}' x2='{self.x(x2):.1f}' y2='{self.y(y2):.1f}' "
            f"stroke='{colour}' stroke-width='{width}'{dashes}/>"
        )

    def band_x(self, low: float, high: float, colour: str) -> None:
        self.add(
            f"<rect x='{self.x(low):.1f}' y='{self.top:.1f}' width='{max(self.x(high) - self.x(low), 0.5):.1f}' "
            f"height='{self.bottom - self.top:.1f}' fill='{colour}'/>"
        )

    def band_y(self, low: float, high: float, colour: str) -> None:
        self.add(
            f"<rect x='{self.left:.1f}' y='{self.y(high):.1f}' width='{self.right - self.left:.1f}' "
            f"height='{max(self.y(low) - self.y(high), 0.5):.1f}' fill='{colour}'/>"
        )

    def bar(self, x: float, value: float, width: float, colour: str) -> None:
        a, b = sorted((self.y(0.0), self.y(value)))
        half = width / 2 / (self.xs[1] - self.xs[0]) * (self.right - self.left)
        self.add(
            f"<rect x='{self.x(x) - half:.1f}' y='{a:.1f}' width='{2 * half:.1f}' height='{max(b - a, 0.5):.1f}' "
            f"fill='{colour}'/>"
        )

    def dot(self, x: float, y: float, colour: str, *, hollow: bool = False, size: float = 3.4) -> None:
        fill = palette.PAPER if hollow else colour
        self.add(
            f"<circle cx='{self.x(x):.1f}' cy='{self.y(y):.1f}' r='{size}' fill='{fill}' stroke='{colour}' "
            "stroke-width='1.4'/>"
        )

    def diamond(self, x: float, y: float, colour: str, size: float = 5.0) -> None:
        cx, cy = self.x(x), self.y(y)
        points = f"{cx - size:.1f},{cy:.1f} {cx:.1f},{cy - size:.1f} {cx + size:.1f},{cy:.1f} {cx:.1f},{cy + size:.1f}"
        self.add(f"<polygon points='{points}' fill='{colour}'/>")

    def path(self, xs: Sequence[float], ys: Sequence[float], colour: str, width: float = 1.2, dash: str = "") -> None:
        points = " ".join(f"{self.x(a):.1f},{self.y(b):.1f}" for a, b in zip(xs, ys, strict=True))
        dashes = f" stroke-dasharray='{dash}'" if dash else ""
        self.add(f"<polyline points='{points}' fill='none' stroke='{colour}' stroke-width='{width}'{dashes}/>")

    def text(
        self, px: float, py: float, text: str, *, anchor: str = "start", size: float = 11, colour: str = palette.INK
    ) -> None:
        """Text at pixels."""
        self.add(
            f"<text x='{px:.1f}' y='{py:.1f}' {FONT} font-size='{size}' fill='{colour}' text-anchor='{anchor}'>"
            f"{escape(text)}</text>"
        )

    def text_up(self, px: float, py: float, text: str, *, size: float = 10, colour: str = palette.INK) -> None:
        """Text that ends at these pixels and is read from below."""
        self.add(
            f"<text transform='translate({px:.1f},{py:.1f}) rotate(-90)' {FONT} font-size='{size}' fill='{colour}' "
            f"text-anchor='end'>{escape(text)}</text>"
        )

    def x_axis(self, label: str, *, count: int = 6, grid: bool = True) -> None:
        for value in ticks(*self.xs, count):
            at = self.x(value)
            end = self.top if grid else self.bottom
            self.add(
                f"<line x1='{at:.1f}' y1='{self.bottom + 4:.1f}' x2='{at:.1f}' y2='{end:.1f}' "
                f"stroke='{palette.RULE}' stroke-width='0.8'/>"
            )
            self.text(at, self.bottom + 16, tick_text(value), anchor="middle", colour=palette.MUTED)
        self.text((self.left + self.right) / 2, self.bottom + 33, label, anchor="middle")

    def y_axis(self, label: str, *, count: int = 5) -> None:
        for value in ticks(*self.ys, count):
            at = self.y(value)
            self.add(
                f"<line x1='{self.left - 4:.1f}' y1='{at:.1f}' x2='{self.right:.1f}' y2='{at:.1f}' "
                f"stroke='{palette.RULE}' stroke-width='0.8'/>"
            )
            self.text(self.left - 7, at + 4, tick_text(value), anchor="end", colour=palette.MUTED)
        self.text(self.left - 48, self.top - 9, label, anchor="start")

    def svg(self, label: str) -> str:
        """The drawing as one element that scales with the page; `label` is for people who cannot see it."""
        return (
            f"<svg role='img' aria-label='{escape(label, quote=True)}' "
            f"viewBox='0 0 {self.width:.0f} {self.height:.0f}' xmlns='http://www.w3.org/2000/svg'>"
            f"{''.join(self._parts)}</svg>"
        )


def ticks(low: float, high: float, count: int) -> list[float]:
    """Round values that part the span into about `count` pieces."""
    span = high - low
    if not span > 0:
        return [low]
    raw = span / max(count, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(f * power for f in (1, 2, 5, 10) if f * power >= raw)
    first = math.ceil(low / step - 1e-9)
    return [round(i * step, 12) for i in range(first, math.floor(high / step + 1e-9) + 1)]


def tick_text(value: float) -> str:
    return typeset(f"{value:.10g}")


def padded(values: Sequence[float], share: float = 0.06) -> tuple[float, float]:
    """The span of finite values with some room at both ends."""
    finite = [value for value in values if math.isfinite(value)]
    low, high = min(finite), max(finite)
    room = share * (high - low) or abs(high) * 0.01 or 1.0
    return low - room, high + room
