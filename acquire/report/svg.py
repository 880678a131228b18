"""A matplotlib figure as SVG text that can stand inside a page next to others; knows nothing of what is drawn."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html import escape
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import ScalarFormatter

from acquire.report import palette, text

_ID = re.compile(r'\bid="([^"]+)"')
_MADE_ID = re.compile(r"[a-z][0-9a-f]{10}")
_REFERENCE = re.compile(r'(url\(#|xlink:href="#|href="#)([^")]+)')
_OPENING = re.compile(r"<svg\b[^>]*>", re.DOTALL)
_STYLE_SHEET = re.compile(r"<defs>\s*<style[^>]*>.*?</style>\s*</defs>\s*", re.DOTALL)
_PATH = re.compile(r'\bd="([^"]+)"')
_NO_PATH = re.compile(r"<path((?:(?! d=)[^>])*)/>")
_LONG_DECIMAL = re.compile(r"(\.\d\d)\d+")
_VIEW_BOX = re.compile(r'viewBox="([^"]+)"')

STYLE: dict[Any, Any] = {
    "font.family": "DejaVu Sans",  # comes with matplotlib: every machine draws the same figure
    "font.size": 8,
    "mathtext.fontset": "dejavusans",
    "axes.edgecolor": palette.INK,
    "axes.labelcolor": palette.INK,
    "axes.linewidth": 0.6,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": palette.RULE,
    "grid.linewidth": 0.5,
    "xtick.color": palette.MUTED,
    "ytick.color": palette.MUTED,
    "xtick.major.width": 0.6,
    "ytick.major.width": 0.6,
    "text.color": palette.INK,
    "lines.linewidth": 1.1,
    "lines.solid_capstyle": "round",
    "svg.fonttype": "path",  # letters as outlines: the same on every machine, and nothing to fetch
    "svg.hashsalt": "satline",  # the same figure gives the same file
    "path.simplify_threshold": 0.3,
    "figure.facecolor": "none",
    "axes.facecolor": "none",
}


@contextmanager
def drawing_style() -> Iterator[None]:
    """Draw inside this block and nothing outside it changes."""
    with mpl.rc_context(STYLE):
        yield


def figure_bytes(figure: Figure, kind: str) -> bytes:
    """The figure as a file of its own: "svg", "png" or "pdf"."""
    write_ticks(figure, text.typeset)
    buffer = io.BytesIO()
    metadata = {"svg": {"Date": None}, "pdf": {"CreationDate": None}, "png": {}}[kind]
    with drawing_style():
        figure.savefig(buffer, format=kind, metadata=metadata, dpi=200, facecolor="white")
    if kind == "svg":
        return _counted_ids(buffer.getvalue().decode("utf-8")).encode("utf-8")
    return buffer.getvalue()


class LanguageFormatter(ScalarFormatter):
    """Numbers of an axis as the language writes them; `write` makes them from their ASCII form."""

    def __init__(self, write: Callable[[str], str]) -> None:
        super().__init__(useOffset=False)
        self._write = write

    def __call__(self, x: float, pos: int | None = None) -> str:
        return self._write(super().__call__(x, pos).replace("\N{MINUS SIGN}", "-"))


def write_ticks(figure: Figure, write: Callable[[str], str]) -> None:
    """Have the numbers of every axis written so."""
    above = [child for axes in figure.axes for child in axes.child_axes]  # a second scale along the top
    for axes in (*figure.axes, *above):
        for axis in (axes.xaxis, axes.yaxis):
            if type(axis.get_major_formatter()) is ScalarFormatter:
                axis.set_major_formatter(LanguageFormatter(write))


def _counted_ids(svg: str) -> str:
    """Ids of shapes by the order of their appearance: the library makes some from addresses in memory."""
    made = dict.fromkeys(found for found in _ID.findall(svg) if _MADE_ID.fullmatch(found))
    names = {found: f"{found[0]}{number}" for number, found in enumerate(made, start=1)}
    return re.sub("|".join(made), lambda found: names[found.group()], svg) if made else svg


def inline_svg(figure: Figure, *, name: str, label: str) -> str:
    """The figure as an `<svg>` element.

    Parameters
    ----------
    name
        Put before every id inside, so that several figures on one page never share one.
    label
        What the figure shows, for people who cannot see it.
    """
    write_ticks(figure, text.typeset)
    buffer = io.StringIO()
    with drawing_style():
        figure.savefig(buffer, format="svg", metadata={"Date": None}, transparent=True)
    svg = buffer.getvalue()
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<!--.*?-->\s*", "", svg, flags=re.DOTALL)
    svg = _counted_ids(_STYLE_SHEET.sub("", svg))
    svg = _ID.sub(rf'id="{name}-\1"', svg)
    svg = _REFERENCE.sub(rf"\g<1>{name}-\g<2>", svg)
    svg = svg.replace("xlink:href", "href")
    svg = _NO_PATH.sub(r'<path d=""\1/>', svg)  # the outline of a space: SVG 1.1 wants one, if only an empty one
    # A hundredth of a printer's point is finer than any screen or press shows; the rest is a third of the page's bytes.
    svg = _PATH.sub(lambda found: f'd="{_LONG_DECIMAL.sub(lambda d: d.group(1), found.group(1))}"', svg)
    view_box = _VIEW_BOX.search(svg)
    box = view_box.group(1) if view_box else "0 0 100 100"
    # What the removed style sheet said; on the element itself it reaches no other part of the page.
    joins = "stroke-linejoin:round;stroke-linecap:butt"
    opening = f'<svg viewBox="{box}" role="img" aria-label="{escape(label, quote=True)}" style="{joins}">'
    return _OPENING.sub(lambda _: opening, svg, count=1).strip()


def bare(axes: Axes) -> None:
    """Leave only what is drawn: no frame, ticks or grid."""
    axes.set_axis_off()


def short_name(words: str, most: int = 40) -> str:
    """A name that fits into a figure.

    Dollar signs would start a formula there, and a leading underscore would hide a name from a legend.
    """
    shown = words if len(words) <= most else words[: most - 1] + "…"
    return shown.replace("$", r"\$").lstrip("_") or "run"
