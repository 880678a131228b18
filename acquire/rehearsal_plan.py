"""The run plan of a rehearsal: that of its bench, with what a plan of the person says laid over it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from acquire.live import RECORDED, SIMULATED
from acquire.plan import RunPlan, stored_plan
from acquire.rehearsal import plan_of
from drivers.errors import DriverError
from sim.scenario import load_scenario


class PlanDoesNotFitError(DriverError):
    """A plan that contradicts the bench it is laid over."""


def own_plan(device: str, *, automatic: bool | None = None) -> RunPlan:
    """The plan that belongs to a simulated or recorded bench.

    Parameters
    ----------
    automatic
        Whether plateaus are taken by themselves; as that plan says where not given.

    Raises
    ------
    sim.errors.SimError, RunFileError
    """
    if device.startswith(RECORDED):
        from acquire.stored_rehearsal import stored_run

        plan = stored_plan(stored_run(device[len(RECORDED) :]).plan)
    else:
        plan = plan_of(load_scenario(device[len(SIMULATED) :]))
    if automatic is None:
        return plan
    return plan.model_copy(update={"settle": plan.settle.model_copy(update={"automatic": automatic})})


def merged_plan(own: RunPlan, given: RunPlan) -> RunPlan:
    """The bench's own plan with what the given one says; what that leaves out stays the bench's.

    Raises
    ------
    PlanDoesNotFitError
    """
    said = given.model_dump(mode="json", exclude_unset=True)
    try:
        return stored_plan(_laid_over(own.model_dump(mode="json"), said))
    except ValueError as error:
        why = "; ".join(detail["msg"] for detail in error.errors()) if hasattr(error, "errors") else str(error)
        raise PlanDoesNotFitError(
            f"the given plan does not fit the bench it is for: {why}. "
            "Change it, or leave out what the bench's own plan says already."
        ) from error


def _laid_over(own: Mapping[str, Any], said: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(own)
    for key, value in said.items():
        below = merged.get(key)
        merged[key] = _laid_over(below, value) if isinstance(value, dict) and isinstance(below, dict) else value
    return merged
