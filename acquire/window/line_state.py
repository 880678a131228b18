"""What the result panel says: the saturation line as points and curve, the enthalpy with its interval, the budget."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from acquire.finding_words import finding_words
from acquire.window.borrowed import no_fit_text, source_text
from acquire.window.cards_state import results_by_point
from acquire.window.language import counted, current_language, tr
from acquire.window.quantities import SPACE, decimals_for, interval, number, temperature

if TYPE_CHECKING:  # the records bring numpy, which is loaded only after the window is on screen
    from acquire.snapshot import Snapshot

MAX_BUDGET = 4  # rows; the rest is added up into one
MAX_FINDINGS = 2  # what fits beside the traces; all of them are in the report


@dataclass(frozen=True)
class LinePoint:
    """A marker; `x` = 1000 K / T, `y` = ln(p/kPa), `half` = half height of its 95 % bar."""

    number: int
    x: float
    y: float
    half: float
    used: bool
    branch: str


@dataclass(frozen=True)
class BudgetRow:
    source: str
    share: float  # 0 to 1
    text: str


@dataclass(frozen=True)
class FindingLine:
    sign: str
    text: str
    advice: str
    severity: str


@dataclass(frozen=True)
class LineState:
    points: tuple[LinePoint, ...]
    curve: tuple[tuple[float, float, float, float], ...]  # (x, y, low, high)
    heading: str
    result: str
    basis: str
    budget: tuple[BudgetRow, ...]
    gain: str
    findings: tuple[FindingLine, ...]
    description: str


def line_state(snapshot: Snapshot) -> LineState:
    points = _points(snapshot)
    used = sum(point.used for point in snapshot.points)
    fit = snapshot.result
    heading = tr("Enthalpy of vaporisation")
    if fit is None:
        basis = no_fit_text(snapshot.refused, snapshot.refusal) or tr(
            "The line and its result appear with the third point."
        )
        return LineState(points, (), heading, "", basis, (), "", (), basis)
    stated, at = _stated(fit)
    points_text = counted("{0} point", "{0} points", used)
    if stated.get("value") is None or stated.get("interval_95") is None:
        result, sort = "", tr("no interval can be given")
    else:
        low, high = stated["interval_95"]
        result = interval(stated["value"] / 1e3, low / 1e3, high / 1e3, "kJ/mol")
        sort = tr("95 % interval")
    basis = " · ".join((sort, points_text, tr("at {0}").format(temperature(at, 0))))
    gain = gain_text(snapshot)
    findings = finding_lines(fit, MAX_FINDINGS - bool(gain))
    return LineState(
        points, _curve(fit), heading, result, basis, budget_rows(fit), gain, findings,
        f"{heading}: {result}, {basis}. {gain}".strip(),
    )  # fmt: skip


def _stated(fit: Mapping[str, Any]) -> tuple[Mapping[str, Any], float]:
    """The value to show and its temperature: at 25 °C where the fit carries it there."""
    value = fit["enthalpy_vap"]
    standard = value.get("at_298_15")
    if standard and standard.get("value") is not None and standard.get("interval_95") is not None:
        return standard, 298.15
    return value, value["temperature"]


def _points(snapshot: Snapshot) -> tuple[LinePoint, ...]:
    lines = results_by_point(snapshot)
    found = []
    for point in snapshot.points:
        line = lines.get(point.number)
        vapour = line.get("pressure_vapour") if line else None
        if line is None or vapour is None or not vapour > 0:
            continue
        u = line.get("u_pressure_vapour") or point.u_pressure
        found.append(
            LinePoint(
                point.number, 1e3 / line.get("temperature", point.temperature), math.log(vapour / 1e3),
                1.96 * u / vapour, point.used, point.branch,
            )
        )  # fmt: skip
    return tuple(found)


def _curve(fit: Mapping[str, Any]) -> tuple[tuple[float, float, float, float], ...]:
    # numpy is loaded only once there is a line to draw: the window must be on screen first.
    from acquire.report.curve import curve_of_document

    curve = curve_of_document(fit)
    if curve is None:
        return ()
    to_kpa = math.log(1e3)
    return tuple(
        (1e3 * x, y - to_kpa, low - to_kpa, high - to_kpa)
        for x, y, low, high in zip(
            curve.inverse_temperature.tolist(), curve.log_pressure.tolist(),
            curve.log_low.tolist(), curve.log_high.tolist(), strict=True,
        )
    )  # fmt: skip


def budget_rows(fit: Mapping[str, Any]) -> tuple[BudgetRow, ...]:
    """The largest shares first, small ones added into one row."""
    lines = sorted(fit.get("budget") or [], key=lambda line: -line["share"])
    rows = [BudgetRow(source_text(line["source"]), line["share"], percent(line["share"])) for line in lines]
    if len(rows) > MAX_BUDGET:
        rest = sum(row.share for row in rows[MAX_BUDGET - 1 :])
        rows = [*rows[: MAX_BUDGET - 1], BudgetRow(tr("all others"), rest, percent(rest))]
    return tuple(rows)


def percent(share: float) -> str:
    if 0 < share < 0.005:
        return "<" + SPACE + "1" + SPACE + "%"
    return number(100 * share, 0) + SPACE + "%"


def gain_text(snapshot: Snapshot) -> str:
    """What one more point would bring."""
    if snapshot.next_point_gain is None:
        return ""
    target, half = snapshot.next_point_gain
    shown = number(half / 1e3, min(2, decimals_for(half / 1e3)))
    return tr("One more point at {0} would narrow it to ± {1} kJ/mol.").format(temperature(target, 0), shown)


def finding_lines(fit: Mapping[str, Any], most: int = MAX_FINDINGS) -> tuple[FindingLine, ...]:
    """The gravest findings first."""
    signs = {"note": "i", "doubt": "!", "refuse": "!!"}
    order = ("refuse", "doubt", "note")
    found = sorted(fit.get("findings") or [], key=lambda finding: order.index(finding["severity"]))
    lines = [
        FindingLine(
            signs[finding["severity"]], *finding_words(finding, current_language().code), finding["severity"],
        )
        for finding in found
    ]  # fmt: skip
    return tuple(lines[:most])
