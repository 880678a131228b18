"""From points to an enthalpy of vaporisation: the one entrance to the fit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.boiling_point import normal_boiling_point
from analysis.budget import budget, improvements, measure_better_first
from analysis.enthalpy_result import Comparison, EnthalpyFit, Estimate, Leak, PointResult, TextbookLine
from analysis.findings import Facts, Finding
from analysis.findings_inputs import input_findings
from analysis.findings_points import BLIND_SPOTS, Evidence, point_findings
from analysis.fit_input import FitPoint, SensorPriors, check_points, check_setting
from analysis.line_fit import fit_line_equal_u
from analysis.liquids import GAS_CONSTANT, ROOM_TEMPERATURE, Liquid
from analysis.map_fit import MapFit, fit_map
from analysis.noise_scale import Distribution
from analysis.reading_model import ReadingModel
from analysis.refusal import FitRefused
from analysis.trapped_air import CellSetup, SealedBaseline

__all__ = ["EnthalpyFit", "FitPoint", "SensorPriors", "fit_enthalpy"]

Array = NDArray[np.float64]
LIFTED = ("gas-let-out", "trace")  # the finding that explains why no line goes through the points
LEAK_SIGNIFICANT = 2.6  # in standard uncertainties: 1 % of tight runs correct a leak that is none


def fit_enthalpy(
    points: Sequence[FitPoint],
    *,
    baseline: SealedBaseline | None = None,
    setup: CellSetup | None = None,
    sensors: SensorPriors | None = None,
    liquid: Liquid | None = None,
    air: str = "sealed",
    run_findings: Sequence[Finding] = (),
    trace_leak: float | None = None,
) -> EnthalpyFit:
    """Enthalpy of vaporisation from settled points, with an interval that counts everything stated.

    Parameters
    ----------
    points
        In any order; at least three used ones.
    baseline
        The sealed baseline; needed with air="sealed".
    setup, sensors
        The bench and what its sensors may share as errors; defaults are those of a usual teaching bench.
    liquid
        From the table of liquids, or None: unknown, with wider priors.  Its vapour pressures and its enthalpy are
        never used in the fit, only dZ, the heat-capacity difference and the properties that the air balance needs.
    air : str
        "sealed": trapped air from the baseline; "none": evacuated cell, pressures are of vapour alone; "corrected":
        the air was already subtracted.
    run_findings
        What was found in the traces; one of severity "refuse" withholds the interval.
    trace_leak : float, optional
        Leak rate over its uncertainty by the fit of the whole trace, which sees a leak better than the points do.
        None: there was no such fit, and the points alone have to tell.

    Returns
    -------
    EnthalpyFit

    Raises
    ------
    FitRefused
        Where no line can be fitted; the message says what was found, what was expected, and the way out.

    Notes
    -----
    Readings are fitted directly, not their logarithms: near the low end the air is most of the pressure and its error
    is not small against the vapour.  Common errors have normal priors; the scale of the points' own noise has a
    log-normal one and is averaged over.  The value is the slope times dZ (Clapeyron), at the mean temperature
    1/mean(1/T), where the curvature of ln p does not move it.
    """
    setup, sensors = setup or CellSetup(), sensors or SensorPriors()
    check_setting(baseline, setup, sensors, air)
    check_points(points)
    used = [p for p in points if p.used]

    def fitted(leak: bool, near: MapFit | None = None) -> MapFit:
        return fit_map(ReadingModel(points, baseline, setup, sensors, liquid, air, leak), used, near)

    try:
        fit, leak = _with_leak_if_called_for(fitted, used, air)
    except FitRefused as refused:
        raise _known_reason(refused, run_findings) from None
    mean, room = enthalpy_at(fit, None), enthalpy_at(fit, ROOM_TEMPERATURE)
    parts = budget(fit, mean)
    line = textbook_line(used, baseline if air == "sealed" else None)
    compared = _compare(room, liquid)
    evidence = Evidence(fit, mean, leak, used, liquid, setup, compared, trace_leak)
    found = (*run_findings, *input_findings(baseline, air), *point_findings(evidence))
    found = _once(found)
    refusals = tuple(f for f in found if f.severity == "refuse")
    tm = fit.model.mean_temperature
    return EnthalpyFit(
        enthalpy_vap=_estimate(mean, tm, bool(refusals)),
        at_298_15=_estimate(room, ROOM_TEMPERATURE, bool(refusals)),
        textbook_line=line,
        normal_boiling_point=normal_boiling_point(fit, liquid, bool(refusals)),
        budget=() if refusals else parts,
        findings=found,
        points=_point_results(points, fit),
        method=_method(
            fit,
            liquid,
            air,
            leak,
            refusals,
            compared,
            measure_better_first(improvements(fit, *enthalpy_weights(fit, None)[:2])),
        ),
        refusals=refusals,
        comparison=compared,
        leak=leak,
        fit=fit,
    )


def _once(found: Sequence[Finding]) -> tuple[Finding, ...]:
    """One finding of each kind, the gravest: traces and points can see the same thing."""
    rank = {"refuse": 0, "doubt": 1, "note": 2}
    kept: dict[str, Finding] = {}
    for finding in found:
        if finding.code not in kept or rank[finding.severity] < rank[kept[finding.code].severity]:
            kept[finding.code] = finding
    return tuple(sorted(kept.values(), key=lambda f: rank[f.severity]))


def _known_reason(refused: FitRefused, run_findings: Sequence[Finding]) -> FitRefused:
    """The refusal with what the traces know of its reason: points before and after a lifted stopper share no line."""
    for finding in run_findings:
        if refused.code in ("no-line", "pressure-below-air") and (finding.code, finding.variant) == LIFTED:
            return FitRefused("gas-let-out", time=finding.facts["time"], drop=finding.facts["drop"])
    return refused


def _with_leak_if_called_for(fitted: Any, used: list[FitPoint], air: str) -> tuple[MapFit, Leak | None]:
    """Correct a leak where a return point shows it or where it is significant; else that would only add noise."""
    plain = fitted(False)
    model = plain.model
    if air != "sealed" or np.ptp(model.exposure) == 0 or len(used) < 4:
        return plain, None
    per_rate = -plain.foreign * model.exposure
    rate, u_rate = plain.posterior.score(per_rate)
    effect = plain.posterior.shift(per_rate, *enthalpy_weights(plain, None)[:2])
    returned = any(p.branch in ("return", "down") for p in used)
    if returned or rate > LEAK_SIGNIFICANT * u_rate:
        leaky = fitted(True, plain)
        k = next(k for k, e in enumerate(leaky.model.errors) if e.key == "leak")
        size = leaky.model.errors[k].u
        by_z = np.zeros(len(leaky.model.errors))
        by_z[k] = size
        found = leaky.posterior.of(np.zeros(2), by_z)
        why = "a return point shows it" if returned else "significant"
        return leaky, Leak(found.value, found.u, True, why, found.value * effect)
    return plain, Leak(rate, u_rate, False, "no return point and not significant", rate * effect)


def enthalpy_weights(fit: MapFit, temperature: float | None) -> tuple[Array, Array, float]:
    """How the enthalpy of vaporisation answers to theta and the common errors, and its value where they are zero."""
    model, vapour = fit.model, fit.vapour
    tm = model.mean_temperature
    s = float(fit.theta[1]) * GAS_CONSTANT * tm
    by_theta = np.array([0.0, GAS_CONSTANT * tm * vapour.dz])
    by_z = np.zeros(len(model.errors))
    away = 0.0 if temperature is None else temperature - tm
    for k, error in enumerate(model.errors):
        if error.key == "dz":
            by_z[k] = s * vapour.u_dz
        elif error.key == "dcp":
            by_z[k] = vapour.u_heat_capacity * away
    carried = (vapour.heat_capacity + 0.5 * vapour.heat_capacity_slope * away) * away
    return by_theta, by_z, s * vapour.dz + carried


def enthalpy_at(fit: MapFit, temperature: float | None) -> Distribution:
    """Enthalpy of vaporisation at a temperature, None: at the mean temperature of the points.  [J/mol]"""
    return fit.posterior.of(*enthalpy_weights(fit, temperature))


def textbook_line(used: Sequence[FitPoint], baseline: SealedBaseline | None) -> TextbookLine | None:
    """ln(p - p0 T/T0) against 1/T by ordinary least squares; the interval is Student's, from the scatter alone.

    None where a simply corrected pressure is not positive.
    """
    from scipy.special import stdtrit

    t = np.array([p.temperature for p in used])
    vapour = np.array([p.pressure for p in used])
    if baseline is not None:
        vapour = vapour - baseline.pressure * t / baseline.temperature
    if np.any(vapour <= 0):
        return None
    line = fit_line_equal_u(1 / t, np.log(vapour))
    value, u = -line.slope * GAS_CONSTANT, line.u_slope * GAS_CONSTANT
    half = float(stdtrit(line.dof, 0.975)) * u
    return TextbookLine(value, u, (value - half, value + half), line.slope, line.intercept)


def _estimate(found: Distribution, temperature: float, refused: bool) -> Estimate:
    if refused:
        return Estimate(found.value, None, None, temperature)
    return Estimate(found.value, found.u, found.interval, temperature)


def _compare(room: Distribution, liquid: Liquid | None) -> Comparison | None:
    if liquid is None or liquid.enthalpy_vap is None:
        return None
    reference = liquid.enthalpy_vap
    difference = room.value - reference.value
    return Comparison(
        reference.value, reference.u, reference.source, difference, difference / math.hypot(room.u, reference.u)
    )


def _point_results(points: Sequence[FitPoint], fit: MapFit) -> tuple[PointResult, ...]:
    model = fit.model
    air_part = [k for k, e in enumerate(model.errors) if e.key in {i.key for i in model.air_inputs}]
    u_air = np.sqrt((fit.posterior.columns[:, air_part] ** 2).sum(axis=1))
    # What the readings say of vapour and air once the common errors are taken as found: the sensor's zero belongs to
    # neither, so the three columns add up and the points lie about the fitted line.
    vapour = model.line(model.temperature, fit.theta, fit.vapour)
    results, row = [], 0
    for point in points:
        known: dict[str, float] = dict.fromkeys(
            ("pressure_air", "pressure_vapour", "u_pressure_air", "u_pressure_vapour", "residual", "standard_residual"),
            math.nan,
        )
        if point.used:
            residual = float(model.pressure[row] - fit.fitted[row])
            known = {
                "pressure_air": float(fit.fitted[row] - vapour[row]),
                "pressure_vapour": float(vapour[row] + residual),
                "u_pressure_air": float(u_air[row]),
                "u_pressure_vapour": math.hypot(point.u_pressure, float(u_air[row])),
                "residual": residual,
                "standard_residual": residual / math.sqrt(float(fit.noise[row])),
            }
            row += 1
        results.append(
            PointResult(
                temperature=point.temperature,
                pressure_total=point.pressure,
                u_temperature=point.u_temperature,
                u_pressure_total=point.u_pressure,
                used=point.used,
                label=point.label,
                branch=point.branch,
                time=point.time,
                **known,
            )
        )
    return tuple(results)


def _method(
    fit: MapFit,
    liquid: Liquid | None,
    air: str,
    leak: Leak | None,
    refusals: Sequence[Finding],
    compared: Comparison | None,
    better_first: Facts | None,
) -> dict[str, Any]:
    model, vapour = fit.model, fit.vapour
    pulls = {e.label: float(z) for e, z in zip(model.errors, fit.z, strict=True)}
    return {
        "name": "direct fit in p with priors, noise scale averaged",
        "air": air,
        "liquid": None if liquid is None else liquid.name,
        "points_used": len(model.temperature),
        "mean_temperature": model.mean_temperature,
        "pressure_vapour_at_mean": math.exp(float(fit.theta[0])),
        "apparent_enthalpy": float(fit.theta[1]) * GAS_CONSTANT * model.mean_temperature,
        "dz": vapour.dz,
        "u_dz": vapour.u_dz,
        "dz_source": vapour.source,
        "heat_capacity_difference": vapour.heat_capacity,
        "u_heat_capacity_difference": vapour.u_heat_capacity,
        "chi2": fit.posterior.chi2,
        "degrees_of_freedom": fit.posterior.dof,
        "noise_scale": fit.posterior.scale,
        "pulls": pulls,
        "leak": None if leak is None else asdict(leak),
        "sensors": asdict(model.sensors),
        "setup": asdict(model.setup) if air == "sealed" else None,
        "better_first": better_first,
        "blind_spots": list(BLIND_SPOTS),
        "interval_refused": [f.code for f in refusals] or None,
        "reference": None if compared is None else asdict(compared),
    }
