"""The run computed the way a person does it by hand: air by the gas law, logarithms, a straight line.

Every step starts from the figures as they are printed, so that the answers are those a careful person gets with a
pocket calculator from the same sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from acquire.record import RunRecord

R_PRINTED = 8.314  # [J/(mol K)] as on the sheet


@dataclass(frozen=True)
class HandPoint:
    """One line of the table, all numbers rounded as printed."""

    number: int
    temperature: float  # K, 2 decimals
    pressure: float  # kPa, 2 decimals
    air: float  # kPa, 2 decimals
    vapour: float  # kPa, 2 decimals
    inverse: float  # 1000 K / T, 4 decimals
    logarithm: float  # ln(p/kPa), 3 decimals


@dataclass(frozen=True)
class HandWork:
    """The whole calculation.  `points` are those in use; `slope` is that of ln(p/kPa) over 1000 K/T."""

    temperature_0: float  # K
    pressure_0: float  # kPa
    volume_factor: float  # 1 when the plunger was drawn back
    points: tuple[HandPoint, ...]
    slope: float
    intercept: float
    u_slope: float
    student: float  # t for 95 % and n - 2
    enthalpy: float  # kJ/mol
    half_width: float  # kJ/mol


def hand_work(record: RunRecord) -> HandWork | None:
    """The calculation, or None where the run has no sealed baseline or fewer than three points with vapour."""
    sealed = next((baseline for baseline in record.baselines if baseline.kind == "sealed"), None)
    if sealed is None:
        return None
    t0, p0 = round(sealed.temperature, 2), round(sealed.pressure / 1000, 2)
    factor = _volume_factor(record)
    points = []
    for point in record.points:
        t, p = round(point.temperature, 2), round(point.pressure / 1000, 2)
        air = round(p0 * t / t0 * factor, 2)
        vapour = round(p - air, 2)
        if point.used and vapour > 0:
            points.append(
                HandPoint(point.number, t, p, air, vapour, round(1000 / t, 4), round(math.log(vapour), 3))
            )  # fmt: skip
    if len(points) < 3 or len({point.inverse for point in points}) < 3:
        return None
    return _line(t0, p0, factor, tuple(points))


def _volume_factor(record: RunRecord) -> float:
    """How much the liquid squeezes the air when the plunger was not drawn back; printed with 4 decimals."""
    cell = record.plan.get("cell", {})
    if cell.get("plunger_drawn_back", True):
        return 1.0
    space = float(cell["volume"]) + float(cell.get("tubing", 0.0))
    return round(space / (space - float(cell["charge"])), 4)


def _line(t0: float, p0: float, factor: float, points: tuple[HandPoint, ...]) -> HandWork:
    x = np.array([point.inverse for point in points])
    y = np.array([point.logarithm for point in points])
    sxx = float(np.sum((x - x.mean()) ** 2))
    slope = float(np.sum((x - x.mean()) * (y - y.mean()))) / sxx
    intercept = float(y.mean() - slope * x.mean())
    dof = len(points) - 2
    scatter = math.sqrt(float(np.sum((y - intercept - slope * x) ** 2)) / dof)
    student = float(stdtrit(dof, 0.975))
    u_slope = scatter / math.sqrt(sxx)
    return HandWork(
        t0, p0, factor, points, slope, intercept, u_slope, student,
        enthalpy=-slope * R_PRINTED, half_width=student * u_slope * R_PRINTED,
    )  # fmt: skip
