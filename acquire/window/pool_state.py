"""What the page of pooled runs says: the consensus, the benches, who stands out and why; knows no Qt.

Numbers are those of the pooled report: the same rounding, the same decimals.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from acquire.pool.words import ADVICE, AIR, REASONS, decimals_of
from acquire.window.borrowed import file_text
from acquire.window.language import counted, current_language, grouped, said, tr
from acquire.window.pool_words import finding_names, why_words
from acquire.window.quantities import MINUS, NOTHING, number

if TYPE_CHECKING:
    from acquire.pool.campaign import Progress
    from acquire.pool.outcome import BenchRow, PoolOutcome
    from acquire.pool.summary import RunSummary

KJ = 1e-3
BENCH_HEADINGS = (
    said("bench"), said("runs"), said("mean / (kJ/mol)"), said("u / (kJ/mol)"), said("scatter / (kJ/mol)"),
    said("z"), said("ζ"), said("Eₙ"), said("h"), said("k"), said("remarks"),
)  # fmt: skip
RUN_HEADINGS = (
    said("run"),
    said("day"),
    said("result / (kJ/mol)"),
    said("u / (kJ/mol)"),
    said("points"),
    said("findings"),
)
LEFT_OUT_HEADINGS = (said("file"), said("reason"))
MOST_RUNS = 500  # of one bench, or left out, in a table: nobody reads further


@dataclass(frozen=True)
class PoolChoice:
    """What the person wants pooled."""

    folder: Path
    from_traces: bool = False
    one_room: bool = False


@dataclass(frozen=True)
class PoolFound:
    """What came of a pooling: an outcome with its files, or the sentence that says why there is none."""

    outcome: PoolOutcome | None = None
    page: Path | None = None
    table: Path | None = None
    refused: str = ""


@dataclass(frozen=True)
class PoolServices:
    """What the page needs of the machine.

    `pool` analyses and pools, calling back with progress, until the last argument says to stop; `runs` lists those of
    one bench, `left_out` the files without a value; `open_run` shows one run in a window of its own, or raises
    `OSError` or `ValueError` with a sentence.
    """

    pool: Callable[[PoolChoice, Callable[[Progress], None], Callable[[], bool]], PoolFound]
    runs: Callable[[Path, str, int], Sequence[RunSummary]]
    left_out: Callable[[Path, int], Sequence[RunSummary]]
    open_run: Callable[[str], object]


@dataclass(frozen=True)
class BenchMark:
    """One bench in the picture.  [kJ/mol]"""

    bench: str
    mean: float
    half: float
    outlying: bool


@dataclass(frozen=True)
class ChartMarks:
    """One bench's control chart.  [kJ/mol]"""

    values: tuple[float, ...]
    centre: float
    lower: float
    upper: float
    signals: tuple[int, ...]


@dataclass(frozen=True)
class PoolState:
    """The page for one outcome."""

    title: str
    facts: str
    consensus: str
    interval: str
    prediction: str
    compared: tuple[tuple[str, str], ...]
    precision: tuple[tuple[str, str], ...]
    blind: str
    standing_out: tuple[tuple[str, str], ...]  # heading, text
    none_stands_out: str
    benches: tuple[tuple[str, ...], ...]  # rows of the table, in the order of `marks`
    marks: tuple[BenchMark, ...]
    charts: tuple[ChartMarks | None, ...]
    band: tuple[float, float]  # consensus, 95 %  [kJ/mol]
    reference: float  # [kJ/mol], NaN without


def kilojoules(value: float, decimals: int = 2) -> str:
    """J/mol as the report writes them, in kJ/mol without the unit."""
    return number(value * KJ, decimals)


def pair(value: float, u: float) -> str:
    """Value and standard uncertainty as in the report, with the decimal mark of the language."""
    from acquire.report.text import quantity

    text = quantity(value, u, "kJ/mol")
    head, space, unit = text.rpartition("\u00a0")
    return head.replace(".", current_language().decimal_mark) + space + unit


def pair_alone(value: float, u: float) -> str:
    """`pair` without brackets and unit, for a list whose heading names the unit."""
    return pair(value, u).rpartition("\u00a0")[0].strip("()")


def progress_words(progress: Progress | None) -> str:
    """How far it is."""
    if progress is None:
        return tr("Looking through the folder…")
    total = grouped(progress.total) if progress.total is not None else NOTHING
    words = tr("{0} of {1} files").format(grouped(progress.done), total)
    if progress.from_cache:
        words += ", " + tr("{0} known from before").format(grouped(progress.from_cache))
    if progress.left_out:
        words += ", " + tr("{0} left out").format(grouped(progress.left_out))
    return words


def pool_state(outcome: PoolOutcome) -> PoolState:
    """The page for this outcome."""
    found = outcome.consensus
    left = sum(count for _, count in outcome.left_out)
    facts = [
        counted("{0} run", "{0} runs", outcome.runs),
        counted("{0} bench", "{0} benches", len(outcome.benches)),
        tr("air: {0}").format(tr(AIR.get(outcome.air, outcome.air)) if outcome.air else NOTHING),
    ]
    if outcome.simulated:
        facts.append(tr("all simulated"))
    if left:
        facts.append(counted("{0} file left out", "{0} files left out", left))
    low, high = found.interval_95
    new_low, new_high = found.prediction_95
    rows = sorted(outcome.benches, key=lambda row: row.mean)
    return PoolState(
        title=tr("{0}, pooled").format(tr(outcome.liquid)),
        facts="  ·  ".join(facts),
        consensus=pair(found.value, found.standard_uncertainty),
        interval=tr("95 % interval {0} to {1} kJ/mol").format(kilojoules(low), kilojoules(high)),
        prediction=tr("Another run on another bench: {0} to {1} kJ/mol in 95 of 100 cases, its own noise apart").format(
            kilojoules(new_low), kilojoules(new_high)
        ),
        compared=_compared(outcome),
        precision=_precision(outcome),
        blind=_blind(outcome),
        standing_out=tuple(_standing_out(outcome)),
        none_stands_out="" if outcome.outlying else _nobody(outcome),
        benches=tuple(_bench_cells(row) for row in rows),
        marks=tuple(BenchMark(row.bench, row.mean * KJ, 1.96 * row.u * KJ, row.outlying is not None) for row in rows),
        charts=tuple(_chart(row) for row in rows),
        band=(low * KJ, high * KJ),
        reference=outcome.reference * KJ,
    )


def _compared(outcome: PoolOutcome) -> tuple[tuple[str, str], ...]:
    rows = [
        (tr("plain average"), pair_alone(outcome.average, outcome.average_u)),
        (tr("weighted, taken as independent"), pair_alone(outcome.weighted, outcome.weighted_u)),
    ]
    if outcome.outlying and outcome.with_all is not outcome.consensus:
        whole = outcome.with_all
        rows.append((tr("with the benches that stand out"), pair_alone(whole.value, whole.standard_uncertainty)))
    if math.isfinite(outcome.reference):
        rows.append((tr("table value"), pair_alone(outcome.reference, outcome.u_reference)))
    return tuple(rows)


def _precision(outcome: PoolOutcome) -> tuple[tuple[str, str], ...]:
    found = outcome.precision
    if found is None:
        return ()
    return (
        (tr("repeatability, runs of one bench"), kilojoules(found.repeatability, 3)),
        (tr("between benches"), kilojoules(found.between, 3)),
        (tr("reproducibility, runs of any bench"), kilojoules(found.reproducibility, 3)),
    )


def _blind(outcome: PoolOutcome) -> str:
    found = outcome.air_share
    if found is None:
        return ""
    decimals = decimals_of(found.interval_95, 100.0)
    low, high = (number(100 * x, decimals, signed=True) for x in found.interval_95)
    if not found.significant:
        return tr("An error of the air that all benches have in common lies between {0} % and {1} %.").format(low, high)
    return tr(
        "The points follow the share of air, as if each cell held {0} % of air more than its inputs say "
        "({1} % to {2} %): look at humidity, volumes and the way of closing the cell."
    ).format(number(100 * found.slope, decimals, signed=True), low, high)


def _standing_out(outcome: PoolOutcome):
    for one in outcome.outlying:
        heading = f"{one.bench}: {tr(REASONS[one.reason])}"
        others = ", ".join(tr(REASONS[reason]) for reason in one.other_reasons)
        also = " " + tr("It could also be: {0}.").format(others) if others else ""
        chance = tr("under one in a million")
        if one.p_value > 1e-6:
            chance = f"{one.p_value:.1g}".replace(".", current_language().decimal_mark).replace("-", MINUS)
        yield (
            heading,
            f"{why_words(one)}{also} {tr(ADVICE[one.reason])} "
            + tr("Chance of this in a campaign without any fault: {0}.").format(chance),
        )


def _nobody(outcome: PoolOutcome) -> str:
    if outcome.curve is None:
        return tr("A table of results holds no points: benches cannot be compared by their curves.")
    return tr("No bench stands out from the others.")


def _bench_cells(row: BenchRow) -> tuple[str, ...]:
    remarks = [tr(REASONS[row.outlying.reason])] if row.outlying else []
    if row.chart and row.chart.signals:
        remarks.append(counted("{0} signal on its chart", "{0} signals on its chart", len(row.chart.signals)))
    if row.changes and row.trend is not None:
        remarks.append(tr("changes by {0} kJ/mol a year").format(kilojoules(row.trend.slope)))
    scores = (number(value, 1) for value in (row.z, row.zeta, row.e_n, row.h, row.k))
    masses = (kilojoules(value) for value in (row.mean, row.u, row.deviation))
    return (row.bench, grouped(row.runs), *masses, *scores, "; ".join(remarks))


def _chart(row: BenchRow) -> ChartMarks | None:
    chart = row.chart
    if chart is None:
        return None
    values = tuple(float(value) * KJ for value in chart.values)
    signals = tuple(sorted({signal.index for signal in chart.signals}))
    return ChartMarks(values, chart.centre * KJ, chart.lower * KJ, chart.upper * KJ, signals)


def run_cells(summary: RunSummary) -> tuple[str, ...]:
    """One run in the list of its bench."""
    return (
        summary.run,
        day(summary.start),
        kilojoules(summary.value),
        kilojoules(summary.u),
        grouped(summary.points),
        finding_names(summary.findings),
    )


def day(seconds: float) -> str:
    """Seconds since 1970 as a date in UTC; a dash where it is not known."""
    import datetime

    if not math.isfinite(seconds):
        return NOTHING
    return datetime.datetime.fromtimestamp(seconds, datetime.UTC).date().isoformat()


def left_out_cells(summary: RunSummary) -> tuple[str, ...]:
    return summary.source, file_text(summary.reason)
