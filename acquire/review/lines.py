"""The same points through other straight lines, and warming against cooling: what the choice of method alone does."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from acquire.finding_words import error_words
from acquire.record import PointRecord, RunRecord
from acquire.report.language import counted, language, tr
from acquire.review.what_if import Answer, answer
from analysis.line_fit import LineFit, fit_line_equal_u, fit_line_known_u, fit_line_relative_u, fit_line_york
from analysis.liquids import GAS_CONSTANT
from analysis.refusal import AnalysisError

COOLING = ("down", "return")
WARMING_ONLY, COOLING_ONLY = "warming", "cooling"
LEAST_POINTS = 3


@dataclass(frozen=True)
class LineAnswer:
    """What one kind of straight line gives; slope times R, with nothing corrected.

    `enthalpy` and its uncertainty are NaN where the method cannot be used, and `refused` says why.
    """

    method: str
    assumes: str
    enthalpy: float  # [J/mol]
    u: float
    interval_95: tuple[float, float]
    refused: str = ""


@dataclass(frozen=True)
class LinePoints:
    """ln(p/Pa) over 1/T with standard uncertainties, of points in use whose vapour pressure is above zero."""

    inverse: NDArray[np.float64]
    logarithm: NDArray[np.float64]
    u_inverse: NDArray[np.float64]
    u_logarithm: NDArray[np.float64]


#: Name, what it assumes, and the fit.
METHODS: tuple[tuple[str, str, Callable[[LinePoints], LineFit]], ...] = (
    (
        "equal scatter",
        "every point equally uncertain, by what the scatter shows; temperatures exact",
        lambda p: fit_line_equal_u(p.inverse, p.logarithm),
    ),
    (
        "known uncertainties",
        "the pressures' uncertainties as stated; the scatter counts for nothing; temperatures exact",
        lambda p: fit_line_known_u(p.inverse, p.logarithm, p.u_logarithm),
    ),
    (
        "relative uncertainties",
        "the pressures' uncertainties up to a factor, which the scatter shows; temperatures exact",
        lambda p: fit_line_relative_u(p.inverse, p.logarithm, p.u_logarithm),
    ),
    (
        "both axes uncertain",
        "uncertainties of pressure and temperature as stated (York)",
        lambda p: fit_line_york(p.inverse, p.logarithm, p.u_inverse, p.u_logarithm),
    ),
)


def line_points(record: RunRecord) -> LinePoints:
    """The points in use with the air of the sealed baseline taken off by the gas law."""
    sealed = next((baseline for baseline in record.baselines if baseline.kind == "sealed"), None)
    per_kelvin = sealed.pressure / sealed.temperature if sealed is not None else 0.0
    rows = [_row(point, point.pressure - per_kelvin * point.temperature) for point in record.points if point.used]
    columns = np.array([row for row in rows if row is not None], dtype=float).reshape(-1, 4)
    return LinePoints(*columns.T)


def _row(point: PointRecord, vapour: float) -> tuple[float, float, float, float] | None:
    if vapour <= 0:
        return None
    t = point.temperature
    return 1 / t, math.log(vapour), point.u_temperature / t**2, point.u_pressure / vapour


def line_answers(record: RunRecord) -> tuple[LineAnswer, ...]:
    """What each kind of straight line makes of the points."""
    from scipy.special import stdtrit  # only where a line is asked for

    points = line_points(record)
    found = []
    for method, assumes, fit in METHODS:
        try:
            line = fit(points)
        except AnalysisError as refused:
            nothing = (math.nan, math.nan)
            found.append(
                LineAnswer(method, assumes, math.nan, math.nan, nothing, error_words(refused, language().code))
            )
            continue
        value, u = -line.slope * GAS_CONSTANT, line.u_slope * GAS_CONSTANT
        factor = 1.959964 if math.isinf(line.dof) else float(stdtrit(line.dof, 0.975))
        found.append(LineAnswer(method, assumes, value, u, (value - factor * u, value + factor * u)))
    return tuple(found)


def branch_answers(record: RunRecord) -> dict[str, Answer]:
    """The whole fit of the points taken while warming, and of those taken while cooling.

    A leak pulls the two apart; a lag that was not corrected moves both the same way.
    """
    return {
        WARMING_ONLY: _branch(record, [p for p in record.points if p.branch not in COOLING], WARMING_ONLY),
        COOLING_ONLY: _branch(record, [p for p in record.points if p.branch in COOLING], COOLING_ONLY),
    }


def _branch(record: RunRecord, points: Sequence[PointRecord], name: str) -> Answer:
    used = sum(point.used for point in points)
    if used < LEAST_POINTS:
        return Answer(
            None,
            counted(
                "found {0} point in use taken while {{0}}; a fit needs {{1}}.",
                "found {0} points in use taken while {{0}}; a fit needs {{1}}.",
                used,
            ).format(tr(name), LEAST_POINTS),
        )
    # the traces tell of the whole run, not of one branch
    return answer(replace(record, points=tuple(points)), blocks=())
