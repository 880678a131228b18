"""The fit again from a run record: as it was, or under other settings; nothing in the record changes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from acquire.finding_words import error_words, refusal_words
from acquire.fitting import cell_setup, fit_point, sealed_baseline, sensor_priors
from acquire.own_liquids import find_liquid
from acquire.plan import RunPlan, stored_plan
from acquire.record import PointRecord, RunRecord
from acquire.trace_findings import stored_trace_findings
from analysis.fit_input import FitPoint
from analysis.liquids import Liquid
from analysis.refusal import AnalysisError, LiquidError
from analysis.settling import Block

if TYPE_CHECKING:
    from analysis.enthalpy_result import EnthalpyFit

#: Two fits of the same points on different machines differ in the last bits only; a changed input shows far above.
SAME = 1e-6


@dataclass(frozen=True)
class WhatIf:
    """What is changed for one look; everything left alone is as the run had it.

    Parameters
    ----------
    plan
        Changes of the plan by path, SI: `{"room.humidity": 0.6, "cell.volume": 141e-6}`.
    liquid
        Another liquid by name; "unknown" for none.
    use
        Points to use or leave out, by number.
    lag_corrected
        False takes the temperatures as the probe read them.
    """

    plan: Mapping[str, Any] = field(default_factory=dict)
    liquid: str | None = None
    use: Mapping[int, bool] = field(default_factory=dict)
    lag_corrected: bool = True


@dataclass(frozen=True)
class Answer:
    """A fit, or why there is none: in English, and as the error that has the words of any language."""

    fit: EnthalpyFit | None
    refused: str = ""
    error: Exception | None = None

    def why_not(self, language: str) -> str:
        """Why there is no fit, in a person's language."""
        return self.refused if self.error is None else error_words(self.error, language)


def changed_plan(plan: RunPlan, changes: Mapping[str, Any]) -> RunPlan:
    """The plan with some of its numbers replaced and everything checked again.

    Raises
    ------
    KeyError
        A path that the plan does not have.
    ValueError
        A value that the plan does not allow; the text says which and why (pydantic's own error).
    """
    data = plan.model_dump(mode="json")
    for path, value in changes.items():
        *parents, leaf = path.split(".")
        part = data
        for parent in parents:
            part = part[parent]
        if leaf not in part:
            raise KeyError(f"a plan has no {path!r}")
        part[leaf] = value
    return stored_plan(data)


def answer(record: RunRecord, question: WhatIf = WhatIf(), *, blocks: Sequence[Block] | None = None) -> Answer:
    """Fit the points of the run as `question` asks, its traces deciding on leaks as they did in the run.

    `blocks` are those of the whole run where they are at hand; empty: the points alone decide.
    """
    from analysis.enthalpy import fit_enthalpy  # brings scipy: not before a fit is wanted

    plan = changed_plan(stored_plan(record.plan), question.plan)
    try:
        liquid = _liquid(plan.liquid if question.liquid is None else question.liquid)
        points = _used(record.points, question)
        found, leak = stored_trace_findings(record, plan, liquid, points, blocks)
        fit = fit_enthalpy(
            [_point(point, question) for point in points],
            baseline=sealed_baseline(record.baselines),
            setup=cell_setup(plan, record.baselines),
            sensors=sensor_priors(plan),
            liquid=liquid,
            air=plan.air.mode,
            run_findings=found,
            trace_leak=leak,
        )
    except AnalysisError as refused:
        return Answer(None, error_words(refused), refused)
    return Answer(fit, refusal_words(fit.refusals))


def fit_input(points: Sequence[PointRecord], question: WhatIf) -> list[FitPoint]:
    """The points as the fit wants them, with the question's choices."""
    return [_point(point, question) for point in _used(points, question)]


def _used(points: Sequence[PointRecord], question: WhatIf) -> list[PointRecord]:
    return [replace(point, used=question.use.get(point.number, point.used)) for point in points]


def _point(point: PointRecord, question: WhatIf) -> FitPoint:
    if question.lag_corrected:
        return fit_point(point)
    return fit_point(replace(point, temperature=point.temperature_probe, lag=0.0, u_lag=0.0))


def _liquid(name: str) -> Liquid | None:
    return find_liquid(name)


def recomputed(record: RunRecord, stored: Mapping[str, Any]) -> EnthalpyFit | None:
    """The fit made again from the record, if it gives the stored result; None where it does not.

    A stored result that this does not give was made under other settings, by another version, or from other points.
    """
    try:
        again = answer(record, blocks=()).fit  # traces decide on findings, not on the value that is compared
    except (ValueError, KeyError, LiquidError):
        return None  # a plan of another version, or a record without one
    value = stored["enthalpy_vap"]["value"]
    if again is None or value is None or again.enthalpy_vap.value is None:
        return None
    return again if abs(again.enthalpy_vap.value - value) <= SAME * abs(value) else None
