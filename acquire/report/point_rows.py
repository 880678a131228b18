"""The points of a run as rows of text, with digits by their uncertainties."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from acquire.record import Baseline, PointRecord
from acquire.report import text
from acquire.report.curve import FitPointDict
from acquire.report.language import said, tr

BRANCHES = {"up": said("warming"), "down": said("cooling"), "return": said("return")}
#: Whoever takes points, where it is not a name that a person typed.
TAKERS = {"program": said("program"), "person": said("person")}


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


def point_rows(points: Sequence[FitPointDict]) -> tuple[PointRow, ...]:
    """One row for every point, as `curve.shown_points` gives them."""
    return tuple(_point_row(point) for point in points)


def _point_row(point: FitPointDict) -> PointRow:
    u_temperature = float(point.get("u_temperature") or 0.0)
    u_total = float(point.get("u_pressure_total") or 0.0)
    u_vapour = float(point.get("u_pressure_vapour") or 0.0)
    return PointRow(
        number=str(point["number"]),
        temperature=text.number_only(point["temperature"], u_temperature, "degC"),
        u_temperature=text.uncertainty_only(u_temperature, "K"),
        pressure=text.number_only(point["pressure_total"], u_total, "kPa"),
        u_pressure=text.uncertainty_only(u_total, "kPa"),
        air=text.number_only(point.get("pressure_air"), u_vapour, "kPa"),
        vapour=text.number_only(point.get("pressure_vapour"), u_vapour, "kPa") if u_vapour else text.ABSENT,
        u_vapour=text.uncertainty_only(u_vapour, "kPa"),
        residual=text.number_only(point.get("residual"), u_total, "Pa", difference=True),
        used=bool(point["used"]),
        remark=_remark(point),
    )


def _remark(point: FitPointDict) -> str:
    if not point["used"]:
        return tr("set aside: {0}").format(point["reason"]) if point.get("reason") else tr("set aside")
    taken = {"return": tr("return point"), "down": tr("while cooling")}.get(point.get("branch", ""), "")
    return ", ".join(part for part in (taken, str(point.get("remark") or "")) if part)


def taking_rows(points: Sequence[PointRecord], early: Collection[int] = ()) -> tuple[TakingRow, ...]:
    """How each point was taken.

    `early` holds the numbers of those that a person took before a plateau was proposed.
    """
    return tuple(
        TakingRow(
            number=str(point.number),
            branch=tr(BRANCHES.get(point.branch, point.branch)),
            window=text.stretch(point.start, point.end),
            length=f"{point.end - point.start:.0f}",
            readings=text.count(point.readings),
            drift=text.typeset(f"{point.drift * 3600:+.1f}"),
            lag=text_of_lag(point),
            taken_by=tr(TAKERS.get(point.taken_by, point.taken_by)),
            remark=_taking_remark(point, early),
            used=point.used,
        )
        for point in points
    )


def _taking_remark(point: PointRecord, early: Collection[int]) -> str:
    parts = [tr("taken before it was proposed")] if point.number in early else []
    if point.reason or not point.used:
        parts.append(point.reason or tr("set aside"))
    return "; ".join(parts)


def text_of_lag(point: PointRecord) -> str:
    """Lag and its uncertainty in millikelvin, `−12.0 ± 6.0`; absent where it was not known."""
    if point.lag != point.lag:
        return text.ABSENT
    return text.pair_only(point.lag, point.u_lag, "mK", difference=True)


def baseline_rows(baselines: Sequence[Baseline]) -> tuple[tuple[str, str, str, str], ...]:
    """Kind, temperature, pressure and window of each baseline."""
    return tuple(
        (
            tr("sealed baseline") if baseline.kind == "sealed" else tr("room baseline"),
            text.quantity(baseline.temperature, baseline.u_temperature, "degC"),
            text.quantity(baseline.pressure, baseline.u_pressure, "kPa"),
            text.stretch(baseline.start, baseline.end),
        )
        for baseline in baselines
    )
