"""The fitted saturation line with its band, and the fit's points as the figures want them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from acquire.record import PointRecord
from analysis.liquids import GAS_CONSTANT

if TYPE_CHECKING:
    from analysis.enthalpy_result import EnthalpyFit

COVERAGE = 1.96  # 95 % of a normal distribution
REACH = 0.08  # of the points' range, drawn beyond both ends
STEPS = 60

FitPointDict = Mapping[str, Any]


@dataclass(frozen=True)
class SaturationCurve:
    """ln(p/Pa) over 1/T with the edges of a 95 % band; arrays of one shape."""

    inverse_temperature: NDArray[np.float64]  # [1/K]
    log_pressure: NDArray[np.float64]
    log_low: NDArray[np.float64]
    log_high: NDArray[np.float64]


def shown_points(fit: Mapping[str, Any], records: Sequence[PointRecord] = ()) -> list[dict[str, Any]]:
    """The fit's points with number, branch and reason of the run's own, where these are known.

    A point set aside has no air of its own: it is given that of its neighbours by the gas law, so that it can be
    seen beside the line.
    """
    points = list(fit["points"])
    matched: Sequence[PointRecord | None] = records if len(records) == len(points) else [None] * len(points)
    ratios = [p["pressure_air"] / p["temperature"] for p in points if p["used"] and p.get("pressure_air") is not None]
    shown = []
    for index, (point, record) in enumerate(zip(points, matched, strict=True), start=1):
        merged = {"number": index, "branch": point.get("branch", "up"), "reason": "", **point}
        if record is not None:
            merged |= {"number": record.number, "branch": record.branch, "reason": record.reason}
            merged["u_temperature"] = record.u_temperature  # with the share of the lag, which the fit keeps apart
        if merged.get("pressure_vapour") is None and ratios:
            merged["pressure_vapour"] = point["pressure_total"] - float(np.mean(ratios)) * point["temperature"]
        shown.append(merged)
    return shown


def points_as_taken(records: Sequence[PointRecord]) -> list[dict[str, Any]]:
    """The points of a run that has no fit: what was read, and nothing that only a fit can say."""
    return [
        {
            "number": point.number, "branch": point.branch, "reason": point.reason, "used": point.used,
            "temperature": point.temperature, "u_temperature": point.u_temperature,
            "pressure_total": point.pressure, "u_pressure_total": point.u_pressure,
            "pressure_air": None, "pressure_vapour": None, "residual": None,
        }
        for point in records
    ]  # fmt: skip


def placed(points: Sequence[FitPointDict], fit: EnthalpyFit | None) -> list[dict[str, Any]]:
    """The points with `drawn_vapour`: the line's pressure plus the residual, so that a point lies off the drawn line
    by what it missed in the fit and by nothing else.

    A point set aside is moved like the others on the average.  Without a fit just made the vapour pressure as stored
    has to do, and the line is drawn through the same numbers.
    """
    drawn = [{**point, "drawn_vapour": point.get("pressure_vapour")} for point in points]
    if fit is None:
        return drawn
    shifts = []
    for point in drawn:
        if point["used"] and point.get("residual") is not None:
            line = fit.predict_pressure(point["temperature"]).value
            assert line is not None  # a line has a pressure everywhere
            shifts.append(line + point["residual"] - point["pressure_vapour"])
            point["drawn_vapour"] = line + point["residual"]
    for point in drawn:
        if not point["used"] and point["drawn_vapour"] is not None and shifts:
            point["drawn_vapour"] += float(np.mean(shifts))
    return drawn


def on_the_line(points: Sequence[FitPointDict]) -> list[FitPointDict]:
    """The points with a vapour pressure above zero: the others have no logarithm and no place on the line."""
    return [point for point in points if (point.get("pressure_vapour") or 0.0) > 0]


def fitted_pressure(point: FitPointDict) -> float:
    """Vapour pressure that the fit expects at this point.  [Pa]"""
    return float(point["pressure_vapour"]) - float(point.get("residual") or 0.0)


def curve_of(fit: EnthalpyFit) -> SaturationCurve:
    """The line and band of a fit that was just made."""
    used = np.array([1.0 / point.temperature for point in fit.points if point.used])
    x = _span(used)
    value, low, high = fit.band(1.0 / x)
    return SaturationCurve(x, np.log(value), np.log(low), np.log(high))


def curve_of_document(fit: Mapping[str, Any]) -> SaturationCurve | None:
    """The line of a stored fit document, which has no band of its own; None for fewer than two usable points.

    The line is a parabola in 1/T through the fitted pressures, so it is the fit's own to well below the width of a
    drawn line.  The band has the enthalpy's uncertainty about the middle of the points and, in the middle, the mean
    relative uncertainty of the vapour pressures.
    """
    used = [point for point in on_the_line(fit["points"]) if point["used"] and fitted_pressure(point) > 0]
    inverse = np.array([1.0 / point["temperature"] for point in used])
    different = len(np.unique(inverse))
    if different < 2:
        return None
    fitted = np.log([fitted_pressure(point) for point in used])
    line = np.polynomial.Polynomial.fit(inverse, fitted, 2 if different > 2 else 1)
    x = _span(inverse)
    relative = float(np.mean([(point.get("u_pressure_vapour") or 0.0) / point["pressure_vapour"] for point in used]))
    u_slope = float(fit["enthalpy_vap"].get("standard_uncertainty") or 0.0) / GAS_CONSTANT
    half = COVERAGE * np.hypot(relative, (x - float(inverse.mean())) * u_slope)
    y = line(x)
    return SaturationCurve(x, y, y - half, y + half)


def _span(inverse: NDArray[np.float64]) -> NDArray[np.float64]:
    reach = REACH * float(np.ptp(inverse))
    return np.linspace(inverse.min() - reach, inverse.max() + reach, STEPS)


def textbook_log_pressure(fit: Mapping[str, Any], inverse_temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    """ln(p/Pa) of the straight line through ln p."""
    line = fit["textbook_line"]
    return float(line["intercept"]) + float(line["slope"]) * inverse_temperature


def total_slopes(points: Sequence[PointRecord], fit: Mapping[str, Any] | None) -> dict[int, float]:
    """dp/dT of the cell at each point, by point number: of the vapour as the line has it, and of the air.  [Pa/K]

    Without a line, of a gas alone: less than the truth, so that a deviation never looks smaller than it is.
    """
    slopes = {point.number: point.pressure / point.temperature for point in points}
    line = (fit or {}).get("textbook_line")
    if fit is None or not line or len(fit["points"]) != len(points):
        return slopes
    for record, point in zip(points, shown_points(fit, points), strict=True):
        vapour = max(point.get("pressure_vapour") or 0.0, 0.0)
        of_vapour = -float(line["slope"]) * vapour / record.temperature**2
        slopes[record.number] = of_vapour + (record.pressure - vapour) / record.temperature
    return slopes
