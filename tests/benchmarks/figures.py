"""One way to print a figure with its goal, so that the ledger can collect them from every benchmark."""

from __future__ import annotations

MARK = "figure |"


def show_figure(name: str, value: str, goal: str, beside: str = "") -> None:
    """Print one figure.

    Parameters
    ----------
    name
        What was measured; begins with the part of the program it belongs to.
    value, goal
        With their units, ready to read.
    beside
        A physical limit or a rival to hold it against, with where it comes from.
    """
    print(f"{MARK} {name} | {value} | {goal} | {beside}", flush=True)


def figures_in(output: str) -> list[tuple[str, str, str, str]]:
    """The figures that a benchmark printed: name, value, goal, what stands beside it."""
    rows = []
    for line in output.splitlines():
        if line.startswith(MARK):
            name, value, goal, beside = (part.strip() for part in line.removeprefix(MARK).split(" | "))
            rows.append((name, value, goal, beside))
    return rows
