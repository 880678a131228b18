"""What the compare window says: moments, columns, cells, and how runs are told apart; knows no Qt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from acquire.window.language import said, tr
from acquire.window.themes import Theme

if TYPE_CHECKING:
    from acquire.review.compare import CompareRow

COLUMNS = (
    said("run"), said("result"), said("95 % interval"), said("straight line"), said("reference"),
    said("boiling point"), said("points"), said("findings"),
)  # fmt: skip

#: Runs differ by dashes first, by colour second: prints and eyes that see no colours tell them apart.
DASHES = ("solid", "dash", "dot", "dash dot")


def pen_style(run: int, theme: Theme) -> tuple[str, str]:
    """Colour and dashes of a run."""
    colours = (theme.ink, theme.temperature, theme.pressure, theme.focus)
    return colours[run % len(colours)], DASHES[(run // len(colours) + run) % len(DASHES)]


def moment_words(start: str | int) -> str:
    """What the runs share at time 0."""
    if isinstance(start, int):
        return tr("step {0}, from its first reading").format(start)
    return {"start": tr("the start"), "charge": tr("the charge")}[start]


def compare_cells(rows: tuple[CompareRow, ...] | list[CompareRow]) -> tuple[tuple[str, ...], ...]:
    """The table, a row a run."""
    return tuple(
        (row.label, row.result, row.interval, row.textbook, row.reference, row.boiling_point, row.points, row.doubts)
        for row in rows
    )
