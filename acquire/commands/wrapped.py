"""Sentences for a person at a terminal: broken between words, set in under their beginning, commands kept in one piece.

Where the output goes into a file or another program, lines stay whole.
"""

from __future__ import annotations

import sys
from typing import TextIO

_GLUE = "\0"  # stands for a space within a command while lines are broken


def wrapped(text: str, width: int, first: str = "", rest: str | None = None) -> str:
    """The text in lines of at most `width`; two spaces before and behind mark a command, which is never broken.

    Parameters
    ----------
    text
        One paragraph.
    width
        Columns of the terminal.
    first, rest
        What the first line and the others begin with; by default `rest` is as deep and two spaces more.
    """
    import textwrap

    parts = text.split("  ")
    glued = [part.replace(" ", _GLUE) if number % 2 else part for number, part in enumerate(parts)]
    lines = textwrap.wrap(
        " ".join(glued),
        max(width, 30),
        initial_indent=first,
        subsequent_indent=" " * (len(first) + 2) if rest is None else rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return "\n".join(lines).replace(_GLUE, " ")


def say(text: str, first: str = "", rest: str | None = None, *, to: TextIO | None = None) -> None:
    """Print a sentence, in lines where a person reads it."""
    import shutil

    to = to or sys.stdout
    if not to.isatty():
        print(first + text, file=to)
        return
    print(wrapped(text, shutil.get_terminal_size().columns, first, rest), file=to)
