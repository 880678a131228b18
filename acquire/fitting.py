"""From the plan and points of a run to the fit of `analysis`, and back to what a run and a screen need of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from acquire.finding_words import error_words, refusal_facts, with_words
from acquire.plan import RunPlan
from acquire.record import Baseline, PointRecord
from analysis.evaporation_heat import cooling_by_vapour
from analysis.findings import Finding
from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import Liquid
from analysis.planning import expected_pressure, minimum_charge, saturation_time, temperature_at_limit
from analysis.refusal import AnalysisError
from analysis.trapped_air import CellSetup, SealedBaseline

COVERAGE_95 = 1.96  # normal; the noise scale is taken as it was found


def cell_setup(plan: RunPlan, baselines: Sequence[Baseline]) -> CellSetup:
    """The bench as the fit wants to know it."""
    room = next((b for b in baselines if b.kind == "room"), None)
    cell = plan.cell
    return CellSetup(
        cell_volume=cell.volume,
        u_cell_volume=cell.u_volume,
        charge_volume=cell.charge,
        u_charge_volume=cell.u_charge,
        plunger_drawn_back=cell.plunger_drawn_back,
        u_drawn_volume=cell.u_charge,
        tubing_volume=cell.tubing,
        u_tubing_volume=cell.u_tubing,
        gas_above_water=cell.gas_above_water,
        u_gas_above_water=cell.u_gas_above_water,
        room_temperature=room.temperature if room else 295.15,
        room_humidity=plan.room.humidity,
        u_room_humidity=plan.room.u_humidity,
        room_pressure=room.pressure if room else None,
        dissolved_air=0.0 if cell.degassed else 1.0,
    )


def sensor_priors(plan: RunPlan) -> SensorPriors:
    """What the sensors may share as errors over the run."""
    thermometer, manometer = plan.sensors.temperature, plan.sensors.pressure
    return SensorPriors(
        u_offset_pressure=manometer.u_offset,
        u_gain_pressure=manometer.u_gain,
        u_nonlinearity_pressure=manometer.u_nonlinearity,
        u_drift_pressure=manometer.u_drift,
        u_offset_temperature=thermometer.u_offset,
        u_gain_temperature=thermometer.u_gain,
    )


def sealed_baseline(baselines: Sequence[Baseline]) -> SealedBaseline | None:
    """The sealed baseline as the fit wants it."""
    sealed = next((b for b in baselines if b.kind == "sealed"), None)
    if sealed is None:
        return None
    return SealedBaseline(
        sealed.temperature,
        sealed.pressure,
        sealed.u_temperature,
        sealed.u_pressure,
        time=0.5 * (sealed.start + sealed.end),
    )


def fit_point(point: PointRecord) -> FitPoint:
    """A point for the fit, with the uncertainty of its lag apart: the points of a run share it in good part."""
    alone = math.sqrt(max(point.u_temperature**2 - point.u_lag**2, 1e-8))
    return FitPoint(
        temperature=point.temperature,
        pressure=point.pressure,
        u_temperature=alone,
        u_pressure=point.u_pressure,
        correlation=point.correlation,
        time=0.5 * (point.start + point.end),
        branch=point.branch,
        label=point.label,
        used=point.used,
        lag=point.lag,
        u_lag=point.u_lag,
    )


@dataclass(frozen=True)
class FitOutcome:
    """A fit, or why there is none.

    `document` is the JSON document of the fit; `refused` says in English why there is none, `refusal` has the facts
    of it for another language; `gain` is (target [K], half-width of the 95 % interval with one more
    point there [J/mol]) where a target was given.
    """

    document: dict[str, Any] | None
    refused: str = ""
    refusal: dict[str, Any] | None = None
    gain: tuple[float, float] | None = None


def fit_points(
    plan: RunPlan,
    liquid: Liquid | None,
    baselines: Sequence[Baseline],
    points: Sequence[PointRecord],
    *,
    next_target: float | None = None,
    run_findings: Sequence[Finding] = (),
    trace_leak: float | None = None,
) -> FitOutcome:
    """Fit the points of a run with what its plan says, and with what was found in its traces."""
    from analysis.enthalpy import fit_enthalpy  # brings scipy: not before a fit is wanted
    from analysis.next_point import next_point_gain

    try:
        fit = fit_enthalpy(
            [fit_point(p) for p in points],
            baseline=sealed_baseline(baselines),
            setup=cell_setup(plan, baselines),
            sensors=sensor_priors(plan),
            liquid=liquid,
            air=plan.air.mode,
            run_findings=run_findings,
            trace_leak=trace_leak,
        )
    except AnalysisError as refused:
        return FitOutcome(None, error_words(refused), refusal_facts(refused))
    gain = None
    if next_target is not None and fit.enthalpy_vap.interval_95 is not None:
        gain = (next_target, COVERAGE_95 * next_point_gain(fit, [next_target])[0].then)
    return FitOutcome(with_words(fit.as_dict()), gain=gain)


def fit_summary(fit: Mapping[str, Any], points: int) -> dict[str, Any]:
    """The few numbers of a fit that the journal keeps with each result."""
    value = fit["enthalpy_vap"]
    return {
        "enthalpy_vap": value["value"],
        "standard_uncertainty": value["standard_uncertainty"],
        "interval_95": value["interval_95"],
        "temperature": value["temperature"],
        "at_298_15": value["at_298_15"],
        "points": points,
    }


def slopes_of_cell(
    liquid: Liquid | None, sealed: Baseline, cell_volume: float, charge: float
) -> tuple[Callable[[float], float] | None, float, Callable[[float], float]]:
    """What the settling judge wants to know of a cell that will be charged with so much liquid.

    The judge needs dp/dT to 15 %; outside the range of the reference the value at its end serves well enough.

    Parameters
    ----------
    cell_volume, charge : float
        [m3]

    Returns
    -------
    dp/dT of the total pressure as a function of temperature, None for a liquid without reference data; the air's part
    of it; and by how much the charge cools as it evaporates.  [Pa/K], [Pa/K], [K/Pa]
    """
    air = sealed.pressure / sealed.temperature

    def cooling(temperature: float) -> float:
        return cooling_by_vapour(liquid, cell_volume, charge, temperature)

    if liquid is None or liquid.saturation is None:
        return None, air, cooling
    known = liquid
    low, high = liquid.saturation.range

    def beta(temperature: float) -> float:
        return float(known.beta(min(max(temperature, low), high))) + air

    return beta, air, cooling


Forecast = Callable[[float], float]


def forecasts(
    plan: RunPlan, liquid: Liquid | None, baselines: Sequence[Baseline], points: Sequence[PointRecord]
) -> tuple[Forecast, Forecast]:
    """Total pressure [Pa] forecast for a bath temperature [K], and the bath temperature at which a pressure is reached.

    Both give NaN where there is nothing to forecast from; the second also where the pressure is not reached.
    """
    sealed = sealed_baseline(baselines)
    if sealed is None:
        return (lambda _: math.nan), (lambda _: math.nan)
    known = sealed, cell_setup(plan, baselines), liquid, [fit_point(p) for p in points]

    def pressure(temperature: float) -> float:
        return expected_pressure(temperature, *known)

    def reached(limit: float) -> float:
        found = temperature_at_limit(limit, *known)
        return math.nan if found is None else found

    return pressure, reached


def charge_that_evaporates(plan: RunPlan, liquid: Liquid | None) -> float:
    """Volume of the liquid that the cell's vapour takes at the warmest target; NaN where that is not known.  [m3]"""
    if liquid is None or liquid.saturation is None or liquid.dz_form is None or not plan.bath.targets:
        return math.nan
    low, high = liquid.saturation.range[0], min(liquid.saturation.range[1], liquid.dz_form.range[1])
    warmest = min(max(max(plan.bath.targets), low), high)
    found = minimum_charge(liquid, warmest, plan.cell.volume + plan.cell.tubing)
    return math.nan if found is None else found


def saturates_unswirled(plan: RunPlan, liquid: Liquid | None, temperature: float) -> float | None:
    """Time in which vapour fills a cell that stands still to 99 %, by diffusion alone; None: liquid not known.  [s]

    The gas is taken to be as deep as a sphere of the cell's volume is wide.
    """
    if liquid is None:
        return None
    slowest = saturation_time(liquid, temperature, (6 * plan.cell.volume / math.pi) ** (1 / 3))
    return None if slowest is None else math.log(100) * slowest
