"""What the review window says: the moment under the cursor, the points, residuals and what-if inputs; knows no Qt."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from acquire.report.language import spoken
from acquire.report.language import tr as page_words
from acquire.window.borrowed import gate_text, tolerance_text
from acquire.window.language import current_language, said, tr
from acquire.window.points_entry_state import BRANCHES
from acquire.window.quantities import (
    NOTHING,
    celsius,
    clock,
    duration,
    kilopascal,
    number,
    pressure,
    temperature,
    with_uncertainty,
)
from acquire.window.readouts_state import COVERAGE
from acquire.window.strips_state import Limit, Span, StripsState, mark_of

if TYPE_CHECKING:
    from acquire.journal import Entry
    from acquire.record import Baseline, PointRecord, RunRecord
    from acquire.review.cursor import ChannelThen, Known

SHAPES = {"level": "▬", "easing": "◢", "moving": "▲", "unknown": "·"}
STATES = {"level": said("level"), "easing": said("easing"), "moving": said("moving"), "unknown": said("unknown")}


@dataclass(frozen=True)
class Row:
    """One line of a list: what, and its value in words."""

    name: str
    value: str


@dataclass(frozen=True)
class PointRow:
    """One point in the table."""

    number: int
    cells: tuple[str, ...]
    used: bool


@dataclass(frozen=True)
class Picture:
    """What the result panel of the bench needs, taken from a reviewed run."""

    points: tuple[PointRecord, ...]
    result: Mapping[str, Any] | None
    journal_tail: tuple[Entry, ...]
    refused: str  # why there is no result; empty where there is one, or none was tried
    refusal: Mapping[str, Any] | None  # its facts, where the file keeps them
    next_point_gain: None = None


def picture(points: Sequence[PointRecord], result: Mapping[str, Any] | None, journal: Sequence[Entry]) -> Picture:
    """What the result panel shows of a run with its edits."""
    tried = next((entry for entry in reversed(journal) if entry.kind == "result"), None)
    why: Mapping[str, Any] = {} if tried is None or result is not None else tried.data
    return Picture(tuple(points), result, tuple(journal[-1:]), str(why.get("refused", "")), why.get("refusal"))


POINT_HEADINGS = (
    said("point"), said("while"), said("T / °C"), said("p / kPa"), said("vapour / kPa"), said("lag / K"),
    said("residual / Pa"),
)  # fmt: skip


def moment_rows(known: Known | None) -> tuple[Row, ...]:
    """The second under the cursor: readings, settling, and why no plateau was offered."""
    if known is None:
        return (Row(tr("time"), NOTHING),)
    rows = [
        Row(tr("time"), f"{clock(known.time)} · {_stage(known.stage)}"),
        _channel_row(tr("bath temperature"), known.channels["temperature"], temperature, 1.0, "K"),
        _channel_row(tr("cell pressure"), known.channels["pressure"], pressure, 1e-3, "kPa"),
    ]
    for name, word in (("temperature", tr("temperature")), ("pressure", tr("pressure"))):
        state = known.channels[name]
        if state.level_in is not None and state.state == "easing":
            low, middle, high = state.level_in
            forecast = f"{duration(middle)} ({duration(low)} – {duration(high)})"
            rows.append(Row(tr("{0} level in").format(word), forecast))
    if math.isfinite(known.lag):
        rows.append(Row(tr("lag"), f"{number(known.lag, 3, signed=True)} ± {number(known.u_lag, 3)} K"))
    if math.isfinite(known.drift):
        rows.append(Row(tr("drift of the bath"), f"{number(60 * known.drift, 3, signed=True)} K/min"))
    if math.isfinite(known.tolerance):
        why = f" ({tolerance_text(known.tolerance_reason)})" if known.tolerance_reason else ""
        rows.append(Row(tr("tolerance"), f"{number(known.tolerance, 2)} K{why}"))
    if known.ready:
        rows.append(Row(tr("plateau"), tr("ready")))
    rows.extend(Row(tr("against a plateau"), gate_text(code, text)) for code, text in known.gates)
    return tuple(rows)


def readings_rows(record: RunRecord, time: float, percent: int) -> tuple[Row, ...]:
    """The second under the cursor where nothing was decided again yet: its readings alone."""
    rows = [Row(tr("time"), clock(time))]
    shown = (("temperature", tr("bath temperature"), temperature), ("pressure", tr("cell pressure"), pressure))
    for channel, name, words in shown:
        trace = record.traces.get(channel)
        second = math.floor(time)
        values = trace.values_between(second, second + 1.0) if trace is not None else np.empty(0)
        values = values[np.isfinite(values)]
        rows.append(Row(name, words(float(np.mean(values))) if len(values) else NOTHING))
    rows.append(Row(tr("settling"), tr("the run is being decided again up to here: {0} %").format(percent)))
    return tuple(rows)


def line_words(record: RunRecord) -> tuple[Row, ...]:
    """What other straight lines, and each branch alone, make of the same points."""
    from acquire.review.lines import branch_answers, line_answers  # brings scipy

    if sum(point.used for point in record.points) < 3:
        return ()
    with spoken(current_language().code):
        lines, branches = line_answers(record), branch_answers(record)
    rows = []
    for line in lines:
        value = tr("{0} kJ/mol, 95 % interval {1} to {2}")
        ends = (line.enthalpy, *line.interval_95)
        words = line.refused or value.format(*(number(end / 1e3, 2) for end in ends))
        rows.append(Row(tr(LINE_NAMES.get(line.method, line.method)), words))
    for name, found in branches.items():
        words = found.why_not(current_language().code) if found.fit is None else result_words(found.fit.as_dict())
        rows.append(Row(tr(LINE_NAMES[name]), words))
    return tuple(rows)


def _stage(stage: str) -> str:
    """A stage of the run by the name that the journal has for it."""
    with spoken(current_language().code):
        return page_words(stage)


LINE_NAMES = {
    "equal scatter": said("line, equal scatter"),
    "known uncertainties": said("line, known uncertainties"),
    "relative uncertainties": said("line, relative uncertainties"),
    "both axes uncertain": said("line, both axes uncertain"),
    "warming": said("full fit, warming only"),
    "cooling": said("full fit, cooling only"),
}


def _channel_row(name: str, state: ChannelThen, shown: Any, factor: float, unit: str) -> Row:
    sign = f"{SHAPES[state.state]} " if state.state != "unknown" else ""  # its dot would be one dot too many in a row
    parts = [shown(state.value), f"{sign}{tr(STATES[state.state])}"]
    most = factor * (abs(state.still_to_come) + COVERAGE * abs(state.u_still_to_come))
    if most < 0.0005:  # what three decimals would not show
        parts.append(tr("nothing more to come"))
    elif math.isfinite(state.still_to_come):
        parts.append(
            tr("still to come {0} ± {1} {2}").format(
                number(state.still_to_come * factor, 3, signed=True), number(state.u_still_to_come * factor, 3), unit
            )
        )
    return Row(name, " · ".join(parts))


def point_rows(points: Sequence[PointRecord], result: Mapping[str, Any] | None) -> tuple[PointRow, ...]:
    """The table of points with what the fit says of each."""
    fitted = list(result["points"]) if result is not None else []
    lines = dict(zip((p.number for p in points), fitted, strict=False)) if len(fitted) == len(points) else {}
    rows = []
    for point in points:
        line = lines.get(point.number)
        vapour = _vapour(point, line)
        residual = line.get("residual") if line and point.used else None
        cells = (
            str(point.number),
            tr("set aside") if not point.used else tr(BRANCHES.get(point.branch, point.branch)),
            with_uncertainty(celsius(point.temperature), point.u_temperature, "").strip(),
            with_uncertainty(kilopascal(point.pressure), kilopascal(point.u_pressure), "").strip(),
            vapour,
            number(point.lag, 2, signed=True),
            NOTHING if residual is None else number(residual, 0, signed=True),
        )
        rows.append(PointRow(point.number, cells, point.used))
    return tuple(rows)


def residuals(
    points: Sequence[PointRecord], result: Mapping[str, Any] | None
) -> tuple[tuple[float, float, float], ...]:
    """(T [°C], residual [Pa], its u [Pa]) of the points that were fitted."""
    fitted = list(result["points"]) if result is not None else []
    if len(fitted) != len(points):
        return ()
    return tuple(
        (celsius(point.temperature), line["residual"], point.u_pressure)
        for point, line in zip(points, fitted, strict=True)
        if point.used and line.get("residual") is not None
    )


def review_strips(
    duration_s: float,
    baselines: Iterable[Baseline],
    points: Iterable[PointRecord],
    entries: Iterable[Entry],
    plan: Mapping[str, Any],
) -> StripsState:
    """Plateaus, marks and limits of a stored run."""
    spans = [
        Span("baseline", b.start, b.end, tr("room baseline") if b.kind == "room" else tr("sealed baseline"))
        for b in baselines
    ]
    spans += [Span("point" if p.used else "set aside", p.start, p.end, str(p.number), p.number) for p in points]
    marks = tuple(mark for entry in entries if (mark := mark_of(entry)) is not None)
    limit = (plan.get("limits") or {}).get("temperature")
    limits: tuple[Limit, ...] = ()
    if limit is not None:
        limits = (Limit("temperature", celsius(limit), tr("limit {0}").format(temperature(limit, 0))),)
    return StripsState(duration_s, tuple(spans), marks, limits, tr("Traces of the stored run"), closed=True)


def _vapour(point: PointRecord, line: Mapping[str, Any] | None) -> str:
    value = line.get("pressure_vapour") if line else None
    if line is None or value is None:
        return NOTHING
    u = line.get("u_pressure_vapour") or point.u_pressure
    return with_uncertainty(kilopascal(value), kilopascal(u), "").strip()


@dataclass(frozen=True)
class Field:
    """One input of "what if"."""

    path: str  # of the plan
    label: str
    unit: str
    factor: float  # SI value = shown value * factor + shift
    shift: float
    decimals: int
    low: float  # shown
    high: float


FIELDS = (
    Field("room.humidity", said("room humidity"), "%", 0.01, 0.0, 0, 0.0, 100.0),
    Field("cell.volume", said("cell volume"), "mL", 1e-6, 0.0, 1, 1.0, 10_000.0),
    Field("cell.charge", said("charge"), "mL", 1e-6, 0.0, 2, 0.0, 100.0),
    Field("cell.tubing", said("tubing"), "mL", 1e-6, 0.0, 2, 0.0, 1000.0),
    Field("cell.gas_above_water", said("gas above the water"), "%", 0.01, 0.0, 1, 0.0, 100.0),
    Field("sensors.temperature.u_offset", said("u of the thermometer's offset"), "K", 1.0, 0.0, 2, 0.0, 10.0),
    Field("sensors.pressure.u_offset", said("u of the sensor's offset"), "kPa", 1e3, 0.0, 2, 0.0, 100.0),
    Field("sensors.temperature.u_gain", said("u of the thermometer's gain"), "%", 0.01, 0.0, 2, 0.0, 50.0),
    Field("sensors.pressure.u_gain", said("u of the sensor's gain"), "%", 0.01, 0.0, 2, 0.0, 50.0),
)


def field_value(plan: Mapping[str, Any], field: Field) -> float | None:
    """The plan's number in the unit shown, None where it has none (humidity not measured)."""
    part: Any = plan
    for name in field.path.split("."):
        part = part.get(name) if isinstance(part, Mapping) else None
    return None if part is None else (float(part) - field.shift) / field.factor


def changed_fields(plan: Mapping[str, Any], shown: Mapping[str, float]) -> dict[str, float]:
    """Paths and SI values of the fields that differ from the plan in the digits shown."""
    changes = {}
    for field in FIELDS:
        value, stored = shown.get(field.path), field_value(plan, field)
        if value is None or (stored is not None and abs(value - stored) < 0.5 * 10.0**-field.decimals):
            continue
        changes[field.path] = value * field.factor + field.shift
    return changes


def result_words(result: Mapping[str, Any] | None) -> str:
    """The enthalpy in one line."""
    if result is None:
        return tr("no result")
    value = result["enthalpy_vap"].get("at_298_15") or result["enthalpy_vap"]
    if value.get("value") is None:
        return tr("no result")
    text = number(value["value"] / 1e3, 2)
    if value.get("interval_95") is None:
        return tr("{0} kJ/mol, no interval is given").format(text)
    low, high = value["interval_95"]
    return tr("{0} kJ/mol, 95 % interval {1} to {2}").format(text, number(low / 1e3, 2), number(high / 1e3, 2))
