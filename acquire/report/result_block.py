"""The result in words: value, interval, reason, reference and textbook line; all wording is here, none in the page."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from acquire.finding_words import better_first_words, finding_words
from acquire.own_liquids import find_liquid
from acquire.report import text
from acquire.report.given_words import cited
from acquire.report.language import language, said, source_name, tr
from analysis.liquids import Liquid, Sourced
from analysis.refusal import LiquidError

UNIT = "kJ/mol"
STANDARD_TEMPERATURE = 298.15  # [K] where calorimetric tables state their values

#: Inputs that the sentences of findings have no name for.
NOISE = (said("readings, temperature noise"), said("readings, pressure noise"))
BUDGET_LINES = 8  # sources named one by one; the rest are summed, so that the list can be taken in at a glance

# tests/benchmarks/coverage.py, column "line covers", 250 runs each of 5 points: n-hexane 74 %, n-heptane 76 %,
# cyclohexane 80 %; methanol and ethanol 0 %.  Binomial error 3 %.
WHY_TOO_NARROW = said(
    "Its interval comes from the scatter of the points about the line alone. It knows nothing of what moves all "
    "points together: the trapped air, the offsets of both sensors, the lag of a drifting bath. On simulated benches "
    "in a room of 40\u00a0% humidity, intervals made this way and called 95\u00a0% held the true value "
    "about 75 times in 100 for alkanes, and never for alcohols."
)
WHY_NOT_ENTHALPY = said(
    "Slope times the gas constant is also not yet an enthalpy: the vapour is not an ideal gas, and the value "
    "holds for the middle of the points, not for 25\u00a0°C."
)


@dataclass(frozen=True)
class IntervalRow:
    """One horizontal bar.  [kJ/mol]"""

    label: str
    value: float
    low: float
    high: float
    kind: str  # "run" | "line" | "reference"


@dataclass(frozen=True)
class BudgetRow:
    source: str
    share: str
    percent: float  # 0 to 100, for the length of a bar
    uncertainty: str


@dataclass(frozen=True)
class Reference:
    """A value from elsewhere, and how the result stands to it."""

    value: str
    source: str
    verdict: str
    inside: bool
    number: float  # [J/mol]
    u: float


@dataclass(frozen=True)
class Textbook:
    heading: str
    value: str
    interval: str
    comparison: str
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class ResultBlock:
    """Everything said about one result; `stands` is False where no value is given, and `reason` says why."""

    stands: bool
    number: str = ""  # "36.6 ± 1.2", half of the 95 % interval
    unit: str = UNIT
    interval: str = ""
    stated_at: str = ""
    standard_uncertainty: str = ""
    reason: str = ""
    advice: str = ""  # what to measure better first
    ends: tuple[float, float] | None = None  # of the interval [J/mol]
    points_used: int = 0
    mean_temperature: str = ""  # the same value where the points lie
    boiling_point: str = ""
    budget: tuple[BudgetRow, ...] = ()
    reference: Reference | None = None
    textbook: Textbook | None = None
    rows: tuple[IntervalRow, ...] = ()


def liquid_of(plan: Mapping[str, Any]) -> Liquid | None:
    """The record of the plan's liquid; None when nothing is known of it."""
    try:
        return find_liquid(str(plan.get("liquid", "")))
    except LiquidError:
        return None


def result_block(
    fit: Mapping[str, Any] | None, liquid: Liquid | None, *, why_none: str = "", called: str = ""
) -> ResultBlock:
    """The words for a fit as `EnthalpyFit.as_dict()` gives it, or for its absence.

    Parameters
    ----------
    why_none
        What to say where there is no fit.
    called
        What the result is of, for its bar in the figure; this run where not given.
    """
    if fit is None:
        return ResultBlock(False, reason=_sentence(why_none) or tr("No result was computed in this run."))
    stated = _stated(fit["enthalpy_vap"])
    if stated is None:
        return ResultBlock(False, reason=_refusal(fit), textbook=_textbook(fit, math.nan, None))
    value, u, (low, high), temperature = stated
    enthalpy = fit["enthalpy_vap"]
    used = sum(1 for point in fit["points"] if point["used"])
    reference = _reference(liquid, value, low, high, u)
    return ResultBlock(
        True,
        number=_plus_minus(value, low, high),
        interval=text.interval(low, high, UNIT),
        stated_at=text.quantity(temperature, None, "degC"),
        standard_uncertainty=text.with_unit(text.uncertainty_only(u, UNIT), UNIT),
        reason=_reason(fit),
        advice=_advice(fit.get("method") or {}),
        ends=(low, high),
        points_used=used,
        mean_temperature=_at_the_points(enthalpy),
        boiling_point=_boiling_point(fit),
        budget=_budget(fit),
        reference=reference,
        textbook=_textbook(fit, high - low, reference),
        rows=_rows(fit, (called or tr("this run"), value, low, high), reference),
    )


def _stated(enthalpy: Mapping[str, Any]) -> tuple[float, float, tuple[float, float], float] | None:
    """Value, u, interval and temperature: at 298.15 K where the fit gives that, else where the points lie."""
    for block, temperature in (
        (enthalpy.get("at_298_15"), STANDARD_TEMPERATURE),
        (enthalpy, enthalpy.get("temperature") or math.nan),
    ):
        ends = (block or {}).get("interval_95") or ()
        if block and _number(block.get("value")) and ends and all(map(_number, ends)):
            low, high = ends
            return float(block["value"]), float(block["standard_uncertainty"]), (float(low), float(high)), temperature
    return None


def _advice(method: Mapping[str, Any]) -> str:
    """What to measure better first: in words of this language where the fit gave facts."""
    if "better_first" in method:
        return better_first_words(method["better_first"], language().code)
    return str(method.get("measure_better_first") or "")


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and math.isfinite(value)


def _refusal(fit: Mapping[str, Any]) -> str:
    refusing = [finding_words(f, language().code) for f in fit.get("findings") or () if f["severity"] == "refuse"]
    told = " ".join(words.text for words in refusing) or (fit.get("method") or {}).get("interval_refused")
    told = told or tr("The points do not carry a value with an interval.")
    return " ".join(part for part in (told, *(words.advice for words in refusing)) if part)


def _plus_minus(value: float, low: float, high: float) -> str:
    """`36.6 ± 1.2`; the longer half, so that the short form never claims more than the interval does."""
    half = max(high - value, value - low)
    return text.pair_only(value, half, UNIT)


def _at_the_points(enthalpy: Mapping[str, Any]) -> str:
    if not (_number(enthalpy.get("value")) and _number(enthalpy.get("temperature"))):
        return ""
    value = text.quantity(enthalpy["value"], enthalpy["standard_uncertainty"], UNIT)
    return tr("{0} {1} at {2}").format(value, text.K_IS_1, text.celsius(enthalpy["temperature"]))


def _boiling_point(fit: Mapping[str, Any]) -> str:
    boiling = fit.get("normal_boiling_point") or {}
    if not _number(boiling.get("value")):
        return ""
    return text.quantity(boiling["value"], boiling["standard_uncertainty"], "degC")


def _budget(fit: Mapping[str, Any]) -> tuple[BudgetRow, ...]:
    rows = sorted(fit.get("budget") or (), key=lambda row: -row["share"])
    shown, rest = rows[:BUDGET_LINES], rows[BUDGET_LINES:]
    if len(rest) == 1:
        shown, rest = rows, []
    lines = [_budget_row(row["source"], row["share"], row["standard_uncertainty"]) for row in shown]
    if rest:
        together = math.sqrt(sum(row["standard_uncertainty"] ** 2 for row in rest))
        lines.append(
            _budget_row(tr("{0} smaller ones together").format(len(rest)), sum(row["share"] for row in rest), together)
        )
    return tuple(lines)


def _budget_row(source: str, share: float, u: float) -> BudgetRow:
    alone = text.with_unit(text.uncertainty_only(u, UNIT), UNIT)
    return BudgetRow(source_name(source), text.percent(share), 100 * max(0.0, min(1.0, share)), alone)


def _reason(fit: Mapping[str, Any]) -> str:
    rows = sorted(fit.get("budget") or (), key=lambda row: -row["share"])
    if not rows:
        return ""
    first, *others = (f"{source_name(row['source'])} ({text.percent(row['share'])})" for row in rows[:2])
    if not others or rows[0]["share"] > 0.8:
        return tr("Nearly all of the uncertainty comes from one source: {0}.").format(first)
    return tr("Largest parts of the uncertainty: {0}; {1}.").format(first, others[0])


def _reference(liquid: Liquid | None, value: float, low: float, high: float, u: float) -> Reference | None:
    known: Sourced | None = liquid.enthalpy_vap if liquid else None
    if liquid is None or known is None or not abs(known.temperature - STANDARD_TEMPERATURE) < 0.5:
        return None
    inside = low <= known.value <= high
    difference = text.with_unit(text.number_only(abs(value - known.value), u, UNIT), UNIT)
    combined = math.hypot(u, known.u)
    apart = text.typeset(f"{abs(value - known.value) / combined:.1f}") if combined else "?"
    lies = tr("The reference lies outside the 95\u00a0% interval.")
    if inside:
        lies = tr("The reference lies inside the 95\u00a0% interval.")
    side = tr("The result is {0} below it: {1} standard uncertainties.")
    if value > known.value:
        side = tr("The result is {0} above it: {1} standard uncertainties.")
    verdict = f"{lies} {side.format(difference, apart)}"
    return Reference(
        text.quantity(known.value, known.u, UNIT), cited(known.source), verdict, inside, known.value, known.u
    )


def _textbook(fit: Mapping[str, Any], width: float, reference: Reference | None) -> Textbook | None:
    line = fit.get("textbook_line") or {}
    if not _number(line.get("enthalpy_vap")):
        return None
    u = line.get("standard_uncertainty")
    low, high = line.get("interval_95") or (math.nan, math.nan)
    comparison, heading = "", tr("The textbook line, and what its interval leaves out")
    if _number(low) and _number(high) and high > low and _number(width):
        ratio = width / (high - low)
        if ratio > 1.05:
            heading = tr("The textbook line, and why its interval is too narrow")
        comparison = (
            tr("The full interval is {0} times as wide.").format(text.typeset(f"{ratio:.1f}")) if ratio > 1.05
            else tr("Here the full interval is no wider: the points scatter more than their uncertainties explain.")
        )  # fmt: skip
    if reference is not None and _number(low) and _number(high) and not low <= reference.number <= high:
        comparison += " " + tr("The reference lies outside the textbook interval.")
    return Textbook(
        heading,
        text.quantity(line["enthalpy_vap"], u if _number(u) else None, UNIT),
        text.interval(low, high, UNIT) if _number(low) and _number(high) else text.ABSENT,
        comparison.strip(),
        (tr(WHY_TOO_NARROW), tr(WHY_NOT_ENTHALPY)),
    )


def _rows(
    fit: Mapping[str, Any], main: tuple[str, float, float, float], reference: Reference | None
) -> tuple[IntervalRow, ...]:
    rows = [_row(*main, "run")]
    line = fit.get("textbook_line") or {}
    interval = line.get("interval_95")
    if _number(line.get("enthalpy_vap")) and interval and all(map(_number, interval)):
        rows.append(_row(tr("textbook line"), line["enthalpy_vap"], interval[0], interval[1], "line"))
    if reference is not None:
        half = 1.96 * reference.u
        value = reference.number
        rows.append(_row(tr("reference"), value, value - half, value + half, "reference"))
    return tuple(rows)


def _row(label: str, value: float, low: float, high: float, kind: str) -> IntervalRow:
    return IntervalRow(label, value / 1000, low / 1000, high / 1000, kind)
