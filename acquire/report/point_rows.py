"""The points of a run as rows of text, with digits by their uncertainties."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from acquire.record import Baseline, PointRecord
from acquire.report import text

TAKEN_BY = {"program": "program", "person": "person", "simulated operator": "simulated operator"}


@dataclass(frozen=True)
class PointRow:
    """One point as it went into the fit.  Units stand in the head of the table."""

    number: str
    temperature: str  # °C
    u_temperature: str  # K
    pressure: str  # kPa
    u_pressure: str
    air: str  # kPa
    vapour: str  # kPa
    u_vapour: str
    residual: str  # Pa
    used: bool
    remark: str


@dataclass(frozen=True)
class TakingRow:
    """How one point was taken."""

    number: str
    branch: str
    window: str  # minutes:seconds
    length: str  # s
    readings: str
    drift: str  # K/h
    lag: str  # mK
    taken_by: str
    remark: str
    used: bool


def point_rows(fit: Mapping[str, Any], points: Sequence[PointRecord] = ()) -> tuple[PointRow, ...]:
    """One row for every point of the fit, numbered as the run numbers them where it has them."""
    fitted: list[Mapping[str, Any]] = list(fit["points"])
    matched = points if len(points) == len(fitted) else [None] * len(fitted)
    return tuple(
        _point_row(index, point, record)
        for index, (point, record) in enumerate(zip(fitted, matched, strict=True), start=1)
    )


def _point_row(index: int, point: Mapping[str, Any], record: PointRecord | None) -> PointRow:
    u_temperature = float(point.get("u_temperature") or 0.0)
    u_total = float(point.get("u_pressure_total") or point.get("u_pressure") or 0.0)
    u_vapour = float(point.get("u_pressure_vapour") or u_total)
    remark = ""
    if not point["used"]:
        reason = record.reason if record else ""
        remark = f"set aside: {reason}" if reason else "set aside"
    elif point.get("branch") in ("return", "down"):
        remark = "return point" if point["branch"] == "return" else "while cooling"
    return PointRow(
        number=str(record.number if record else index),
        temperature=text.number_only(point["temperature"], u_temperature, "degC"),
        u_temperature=text.uncertainty_only(u_temperature, "K"),
        pressure=text.number_only(point["pressure_total"], u_total, "kPa"),
        u_pressure=text.uncertainty_only(u_total, "kPa"),
        air=text.number_only(point.get("pressure_air"), u_vapour, "kPa"),
        vapour=text.number_only(point["pressure_vapour"], u_vapour, "kPa"),
        u_vapour=text.uncertainty_only(u_vapour, "kPa"),
        residual=text.number_only(point.get("residual"), u_total, "Pa", difference=True),
        used=bool(point["used"]),
        remark=remark,
    )


def taking_rows(points: Sequence[PointRecord]) -> tuple[TakingRow, ...]:
    return tuple(
        TakingRow(
            number=str(point.number),
            branch={"up": "warming", "down": "cooling", "return": "return"}.get(point.branch, point.branch),
            window=f"{text.clock(point.start)} to {text.clock(point.end)}",
            length=f"{point.end - point.start:.0f}",
            readings=str(point.readings),
            drift=text.typeset(f"{point.drift * 3600:+.1f}"),
            lag=text.typeset(text_of_lag(point)),
            taken_by=TAKEN_BY.get(point.taken_by, point.taken_by),
            remark=point.reason if point.reason else ("" if point.used else "set aside"),
            used=point.used,
        )
        for point in points
    )


def text_of_lag(point: PointRecord) -> str:
    """Lag and its uncertainty in millikelvin, `−12 ± 6`; absent where it was not known."""
    if point.lag != point.lag:
        return text.ABSENT
    return text.quantity(point.lag, point.u_lag, "mK", difference=True).removesuffix(f"{text.SPACE}mK").strip("()")


def baseline_rows(baselines: Sequence[Baseline]) -> tuple[tuple[str, str, str, str], ...]:
    """Kind, temperature, pressure and window of each baseline."""
    return tuple(
        (
            f"{baseline.kind} baseline",
            text.quantity(baseline.temperature, baseline.u_temperature, "degC"),
            text.quantity(baseline.pressure, baseline.u_pressure, "kPa"),
            f"{text.clock(baseline.start)} to {text.clock(baseline.end)}",
        )
        for baseline in baselines
    )
