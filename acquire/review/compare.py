"""Two or more runs beside each other: traces on one clock, lines, residuals, a table; plain data, drawn elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from acquire.record import PointRecord, RunRecord
from acquire.report import text
from acquire.report.content import FindingRow, finding_rows, newest_result
from acquire.report.curve import SaturationCurve, curve_of, curve_of_document, placed, shown_points
from acquire.report.decimate import drawable
from acquire.report.given_words import title_words
from acquire.report.language import counted, tr
from acquire.report.result_block import liquid_of, result_block
from acquire.report.story import why_no_result
from acquire.review.journal_view import act_name
from acquire.review.what_if import recomputed

START, CHARGE = "start", "charge"
BATH_CHANGES = ("warmed", "cooled")
COOLING = ("down", "return")


@dataclass(frozen=True)
class Overlay:
    """One trace of one run on the common clock."""

    run: int  # which of the runs given
    label: str
    channel: str
    time: NDArray[np.float64]  # (n,) [s] since the moment that the runs share
    value: NDArray[np.float64]  # (n,) [K or Pa]


@dataclass(frozen=True)
class Step:
    """One change of the bath and what followed until the next one."""

    run: int
    label: str
    number: int  # 1, 2, ... from the charge on; step 1 is the charge itself
    start: float  # [s] in the run
    end: float  # [s]
    point: PointRecord | None  # the point taken in it


@dataclass(frozen=True)
class LineOfRun:
    """The saturation line of one run, and its points as they lie beside it."""

    run: int
    label: str
    curve: SaturationCurve | None
    inverse_temperature: tuple[float, ...]  # [1/K] of each point
    log_pressure: tuple[float, ...]  # ln(p/Pa)
    residual: tuple[float, ...]  # [Pa], NaN where the fit gives none
    used: tuple[bool, ...]
    cooling: tuple[bool, ...]


@dataclass(frozen=True)
class CompareRow:
    """What the table says of one run."""

    label: str
    result: str
    interval: str
    textbook: str
    reference: str
    boiling_point: str
    points: str
    findings: str
    doubts: str  # those that put the value in doubt, and how many do not


def labels_of(records: Sequence[RunRecord]) -> tuple[str, ...]:
    """A short name for each run that no two share: its title, with the start where titles repeat."""
    titles = [title_words(record) for record in records]
    labels = []
    for index, (record, label) in enumerate(zip(records, titles, strict=True)):
        if titles.count(label) > 1:
            label = f"{label}, {text.date_and_time(record.start_time)}"
        while label in labels:
            label = f"{label} ({index + 1})"
        labels.append(label)
    return tuple(labels)


def moment_of(record: RunRecord, moment: str) -> float | None:
    """Run time of the start or of the charge; None where the run has no such moment.  [s]"""
    if moment == START:
        return 0.0
    if moment != CHARGE:
        raise ValueError(f"moment is {moment!r}; expected {START!r} or {CHARGE!r}")
    return next((entry.time for entry in record.journal if act_name(entry) == "charged"), None)


def overlays(records: Sequence[RunRecord], channel: str, moment: str = CHARGE) -> tuple[Overlay, ...]:
    """The traces of one channel with their clocks set to zero at a moment; runs without it are left out."""
    found = []
    for index, (record, label) in enumerate(zip(records, labels_of(records), strict=True)):
        zero = moment_of(record, moment)
        trace = record.traces.get(channel)
        if zero is None or trace is None:
            continue
        time, value = drawable(trace)
        found.append(Overlay(index, label, channel, time - zero, value))
    return tuple(found)


def steps_of(record: RunRecord, run: int = 0, label: str = "") -> tuple[Step, ...]:
    """The charge and each change of the bath after it, with the point that was taken before the next change."""
    zero = moment_of(record, CHARGE)
    if zero is None:
        return ()
    changes = [entry.time for entry in record.journal if act_name(entry) in BATH_CHANGES and entry.time > zero]
    starts = [zero, *sorted(changes)]
    ends = [*starts[1:], record.duration]
    steps = []
    for number, (start, end) in enumerate(zip(starts, ends, strict=True), start=1):
        inside = [point for point in record.points if start <= 0.5 * (point.start + point.end) < end]
        steps.append(Step(run, label or title_words(record), number, start, end, inside[0] if inside else None))
    return tuple(steps)


def step_overlays(records: Sequence[RunRecord], channel: str, number: int) -> tuple[Overlay, ...]:
    """The traces of one channel during the step of this number, each from the step's own start.

    The value is the reading less that at the start of the step, so that runs at other temperatures lie together.
    """
    found = []
    for index, (record, label) in enumerate(zip(records, labels_of(records), strict=True)):
        step = next((step for step in steps_of(record, index, label) if step.number == number), None)
        trace = record.traces.get(channel)
        if step is None or trace is None:
            continue
        time, value = drawable(trace)
        inside = (time >= step.start) & (time < step.end)
        if inside.any():
            found.append(Overlay(index, label, channel, time[inside] - step.start, value[inside] - value[inside][0]))
    return tuple(found)


def lines_of(records: Sequence[RunRecord]) -> tuple[LineOfRun, ...]:
    """The saturation lines of the runs that have a result."""
    found = []
    for index, (record, label) in enumerate(zip(records, labels_of(records), strict=True)):
        fit = newest_result(record)
        if fit is None:
            continue
        again = recomputed(record, fit)
        curve = curve_of(again) if again is not None else curve_of_document(fit)
        points = [p for p in placed(shown_points(fit, record.points), again) if (p.get("drawn_vapour") or 0.0) > 0]
        residuals = (p.get("residual") for p in points)
        found.append(
            LineOfRun(
                index,
                label,
                curve,
                tuple(1.0 / p["temperature"] for p in points),
                tuple(float(np.log(p["drawn_vapour"])) for p in points),
                tuple(float("nan") if residual is None else float(residual) for residual in residuals),
                tuple(bool(p["used"]) for p in points),
                tuple(p["branch"] in COOLING for p in points),
            )
        )
    return tuple(found)


def compare_rows(records: Sequence[RunRecord]) -> tuple[CompareRow, ...]:
    """The table of results and findings, a row a run."""
    rows = []
    for record, label in zip(records, labels_of(records), strict=True):
        fit = newest_result(record)
        result = result_block(fit, liquid_of(record.plan), why_none=why_no_result(record))
        used = sum(point.used for point in record.points)
        rows.append(
            CompareRow(
                label=label,
                result=text.with_unit(f"({result.number})", result.unit)
                if result.stands
                else tr("none: {0}").format(result.reason),
                interval=result.interval,
                textbook=result.textbook.value if result.textbook else "",
                reference="" if result.reference is None else tr("inside" if result.reference.inside else "outside"),
                boiling_point=result.boiling_point,
                points=tr("{0} of {1}").format(used, len(record.points)),
                doubts=_doubts(finding_rows(fit)),
                findings=" ".join(row.text for row in finding_rows(fit)) or tr("none"),
            )
        )
    return tuple(rows)


def _doubts(found: Sequence[FindingRow]) -> str:
    notes = sum(row.severity == "note" for row in found)
    told = [f"{row.sign} {row.text}" for row in found if row.severity != "note"]
    if notes:
        told.append(counted("{0} note", "{0} notes", notes))
    return " ".join(told) or tr("none")
