"""The figures of a run as files of their own, for slides and theses; the same drawings as in the report."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from matplotlib.figure import Figure

from acquire.record import RunRecord
from acquire.report.content import newest_result
from acquire.report.drawings import draw_plateaus, draw_saturation, draw_traces
from acquire.report.errors import ReportError
from acquire.report.interval_figure import interval_figure
from acquire.report.language import spoken
from acquire.report.plateau_figure import parts_of
from acquire.report.result_block import liquid_of, result_block
from acquire.report.svg import figure_bytes

KINDS = ("svg", "png", "pdf")


def kinds_of(listed: str) -> tuple[str, ...]:
    """The kinds in a text such as "svg,png".

    Raises
    ------
    ReportError
        A kind that figures are not written in.
    """
    kinds = tuple(part.strip().lower() for part in listed.split(",") if part.strip())
    unknown = [kind for kind in kinds if kind not in KINDS]
    if unknown or not kinds:
        found = ", ".join(unknown) or "nothing"
        raise ReportError(f"found {found} as a kind of figure file; expected one or more of {', '.join(KINDS)}.")
    return kinds


def figures_of(record: RunRecord) -> dict[str, Callable[[], Figure]]:
    """What can be drawn of this run, by the name its files get."""
    found: dict[str, Callable[[], Figure]] = {"traces": lambda: draw_traces(record)}
    for part in range(len(parts_of(record.points))):
        name = "plateaus" if part == 0 else f"plateaus-{part + 1}"
        found[name] = lambda part=part: draw_plateaus(record, part)  # type: ignore[misc]
    fit = newest_result(record)
    if fit is not None:
        found["saturation-line"] = lambda: draw_saturation(record)
        rows = result_block(fit, liquid_of(record.plan)).rows
        if rows:
            found["intervals"] = lambda: interval_figure(rows)
    return found


def export_figures(record: RunRecord, folder: Path, kinds: Sequence[str] = KINDS, language: str = "en") -> list[Path]:
    """Write every figure of the run in every kind, in a language; the paths, in the order written.

    Raises
    ------
    ReportError
        The folder or a file in it cannot be written.
    """
    stem = Path(record.path).stem or "run"
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with spoken(language):
            for name, draw in figures_of(record).items():
                figure = draw()
                for kind in kinds:
                    path = folder / f"{stem}-{name}.{kind}"
                    path.write_bytes(figure_bytes(figure, kind))
                    written.append(path)
    except OSError as error:
        raise ReportError(
            f"a figure could not be written into {str(folder)!r}: {error.strerror or error}; expected a folder that "
            "can be written to. Name another one with --figures, or make room."
        ) from error
    return written
