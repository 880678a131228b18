"""Numbers, rows and figures of the pooled pages, in the language of the page."""

from __future__ import annotations

import math
from html import escape

from acquire.report.text import ABSENT, quantity, typeset


def number_text(value: float, decimals: int, *, signed: bool = False) -> str:
    """With so many decimals, a real minus sign and the mark of the language; a dash where there is none."""
    if not math.isfinite(value):
        return ABSENT
    text = f"{value:+.{decimals}f}" if signed else f"{value:.{decimals}f}"
    return typeset(text.lstrip("+-") if float(text) == 0.0 else text)


def kilojoules(value: float, u: float) -> str:
    """A value [J/mol] with its standard uncertainty."""
    return quantity(value, u, "kJ/mol")


def row(name: str, value: str) -> str:
    """A row of a table with two columns."""
    return f"<tr><th scope='row'>{escape(name)}</th><td class='n'>{escape(value)}</td></tr>"


def figure(drawing: str, caption: str) -> str:
    """A drawing with what it shows; on a phone it keeps its letters readable and moves sideways."""
    return f"<figure><div class='scroll drawn' tabindex='0'>{drawing}</div><figcaption>{caption}</figcaption></figure>"
