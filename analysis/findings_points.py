"""Findings that the points and the fit show by themselves.

Every test is a score: how much of one more effect do the readings ask for, beyond line, common errors and noise?  Each
has its own false-alarm rate, chosen so that all tests of a run together cry wolf in at most 5 % of healthy runs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis.enthalpy_result import Comparison, Leak
from analysis.findings import Facts, Finding
from analysis.fit_input import FitPoint, number_of
from analysis.liquids import GAS_CONSTANT, Liquid
from analysis.map_fit import MapFit
from analysis.noise_scale import Distribution
from analysis.refusal import OutsideRangeError
from analysis.trapped_air import CellSetup

Array = NDArray[np.float64]
ALARM = 0.008  # of each test but the leak's; they overlap, so that all together stay below 5 % (measured)
Z_TWO_SIDED = 2.652  # normal quantile at 1 - ALARM/2
Z_ONE_SIDED = 2.409  # normal quantile at 1 - ALARM
LEAK_ALARM = 0.015  # the commonest fault may cry wolf more often than the others
Z_LEAK = 2.170  # normal quantile at 1 - LEAK_ALARM
#: Points share errors of their lags, which look like a leak on the way back: alone they accuse one tight run in ten on
#: a simulated bench that cools.  Where the whole trace was fitted its own leak must be this many uncertainties from
#: none, as for a finding of the trace itself, which sees slow leaks better.
Z_TRACE_LEAK = 2.5

#: Enthalpies of vaporisation of liquids that a water bath can serve, with room to spare.  [J/mol]
LEAST_ENTHALPY, MOST_ENTHALPY = 15e3, 100e3

#: What five points cannot show, whatever test is made; reports say so.
BLIND_SPOTS = (
    "A constant error in the amount of air - room humidity, air let in with the liquid, a wrong charge or cell volume"
    " - bends the line so little that a handful of points cannot show it; only the stated inputs or the reference can.",
    "Gas above the water line that is colder than the bath looks like a slightly different liquid.",
    "An impurity that boils nearby shifts level and slope together and looks like another liquid.",
    "An error common to all temperatures of the probe, or a sensitivity error of the pressure sensor, leaves no trace"
    " in the residuals.",
)


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the tests look at.  `mean` is the enthalpy at the mean temperature; `used` the fitted points."""

    fit: MapFit
    mean: Distribution
    leak: Leak | None
    used: Sequence[FitPoint]
    liquid: Liquid | None
    setup: CellSetup
    comparison: Comparison | None
    trace_leak: float | None = None  # the leak rate over its uncertainty in the fit of the whole trace

    def effect(self, column: Array) -> float:
        """Change of the enthalpy by an effect of this size on the readings.  [J/mol]"""
        by_theta = np.array([0.0, GAS_CONSTANT * self.fit.model.mean_temperature * self.fit.vapour.dz])
        return self.fit.posterior.shift(column, by_theta, np.zeros(len(self.fit.model.errors)))


def point_findings(evidence: Evidence) -> tuple[Finding, ...]:
    """All findings of the points, gravest first."""
    tests = (
        _facts, _scatter, _outlier, _leak, _branches, _curvature, _air_amount, _residual_air, _exhausted,
        _implausible, _pressure_fell, _level, _enthalpy, _pulls,
    )  # fmt: skip
    found = [f for test in tests for f in test(evidence)]
    order = {"refuse": 0, "doubt": 1, "note": 2}
    return tuple(sorted(found, key=lambda f: order[f.severity]))


def _facts(e: Evidence) -> list[Finding]:
    found = []
    liquid, model, vapour = e.liquid, e.fit.model, e.fit.vapour
    if liquid is None:
        found.append(Finding("unknown-liquid", "note", None, None))
    elif liquid.dz_form is None:
        found.append(Finding("unknown-liquid", "note", None, None, "no-dz", {"liquid": liquid.name}))
    elif not vapour.known:
        low, high = liquid.dz_form.range
        facts: Facts = {"low": low, "high": high, "liquid": liquid.name}
        found.append(Finding("outside-reference", "note", model.mean_temperature, high, "", facts))
    if model.sealed and e.setup.room_humidity is None:
        found.append(Finding("humidity-not-given", "note", None, None))
    if model.sealed and e.setup.plunger_drawn_back is None:
        found.append(Finding("plunger-not-given", "note", None, None))
    slope = float(e.fit.theta[1]) * GAS_CONSTANT * model.mean_temperature
    effect = slope * (1 - vapour.dz)
    if abs(effect) > 50.0:
        facts = {"effect": effect, "dz": vapour.dz}
        found.append(Finding("vapour-not-ideal", "note", None, None, "", facts, effect))
    return found


def _scatter(e: Evidence) -> list[Finding]:
    from scipy.special import chdtri

    chi2, dof = e.fit.posterior.chi2, e.fit.posterior.dof
    threshold = float(chdtri(dof, ALARM))
    if dof < 1 or chi2 <= threshold:
        return []
    facts = {"times": math.sqrt(chi2 / dof), "chi2": chi2, "freedom": float(dof)}
    return [Finding("scatter", "doubt", chi2, threshold, "", facts, None, ALARM)]


def _outlier(e: Evidence) -> list[Finding]:
    """Largest standardised residual with its own point left out of the scale; normal, Bonferroni over the points."""
    from scipy.special import ndtri

    n = len(e.used)
    if n < 4:
        return []
    project = e.fit.posterior.projector(1.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        t = (project @ e.fit.posterior.residual) / np.sqrt(np.diag(project))
    t = np.where(np.isfinite(t), t, 0.0)
    worst = int(np.argmax(np.abs(t)))
    threshold = float(ndtri(1 - ALARM / (2 * n)))
    if abs(t[worst]) <= threshold:
        return []
    point = e.used[worst]
    size = float(t[worst] / math.sqrt(project[worst, worst]))
    column = np.zeros(n)
    column[worst] = size
    facts: Facts = {"point": number_of(e.used, worst), "temperature": point.temperature, "size": abs(size)}
    variant, effect = "above" if size > 0 else "below", e.effect(column)
    return [Finding("outlier-point", "doubt", abs(float(t[worst])), threshold, variant, facts, effect, ALARM)]


def _leak(e: Evidence) -> list[Finding]:
    leak = e.leak
    if leak is None or not math.isfinite(leak.u_rate) or leak.u_rate == 0:
        return []
    z = leak.rate / leak.u_rate
    if z <= Z_LEAK or (e.trace_leak is not None and e.trace_leak <= Z_TRACE_LEAK):
        return []
    returned = any(p.branch in ("return", "down") for p in e.used)
    severity, variant = ("doubt", "returned") if returned else ("refuse", "alone")
    return [Finding("leak", severity, z, Z_LEAK, variant, {"time": 1 / leak.rate}, leak.effect, LEAK_ALARM)]


def _branches(e: Evidence) -> list[Finding]:
    back = np.array([p.branch in ("return", "down") for p in e.used], dtype=float)
    if not 0 < back.sum() < len(back):
        return []
    offset, u = e.fit.posterior.score(back)
    if not math.isfinite(u) or abs(offset) <= Z_TWO_SIDED * u:
        return []
    variant, facts = "above" if offset > 0 else "below", {"size": abs(offset)}
    effect = e.effect(back * offset)
    return [Finding("branches-differ", "doubt", abs(offset) / u, Z_TWO_SIDED, variant, facts, effect, ALARM)]


def _bend(e: Evidence) -> Array:
    """Effect on the readings of one J/mol/K more of change of the apparent enthalpy."""
    tm, t = e.fit.model.mean_temperature, e.fit.model.temperature
    vapour = e.fit.model.line(t, e.fit.theta, e.fit.vapour)
    return vapour / GAS_CONSTANT * (tm / t - 1 + np.log(t / tm))


def _curvature(e: Evidence) -> list[Finding]:
    if len(e.used) < 4:
        return []
    column = _bend(e)
    size, u = e.fit.posterior.score(column)
    if not math.isfinite(u) or abs(size) <= Z_TWO_SIDED * u:
        return []
    effect = e.effect(column * size)
    return [Finding("curvature", "doubt", abs(size) / u, Z_TWO_SIDED, "", {"size": size}, effect, ALARM)]


def _air_amount(e: Evidence) -> list[Finding]:
    if not e.fit.model.sealed or len(e.used) < 4:
        return []
    size, u = e.fit.posterior.score(e.fit.foreign)
    if not math.isfinite(u) or abs(size) <= Z_TWO_SIDED * u:
        return []
    volume = abs(size) * (e.setup.cell_volume + e.setup.tubing_volume)
    variant, facts = "more" if size > 0 else "less", {"share": abs(size), "volume": volume}
    effect = e.effect(e.fit.foreign * size)
    return [Finding("air-amount", "doubt", abs(size) / u, Z_TWO_SIDED, variant, facts, effect, ALARM)]


def _residual_air(e: Evidence) -> list[Finding]:
    if e.fit.model.sealed or len(e.used) < 4:
        return []
    t = e.fit.model.temperature
    column = t / e.fit.model.mean_temperature
    size, u = e.fit.posterior.score(column)
    if not math.isfinite(u) or size <= Z_ONE_SIDED * u:
        return []
    effect = e.effect(column * size)
    return [Finding("residual-air", "doubt", size / u, Z_ONE_SIDED, "", {"size": size}, effect, ALARM)]


def _exhausted(e: Evidence) -> list[Finding]:
    """Vapour that grows no faster than a gas from some temperature on: no liquid is left there."""
    t, p = e.fit.model.temperature, e.fit.model.pressure
    vapour = p - e.fit.foreign
    order = np.argsort(t)
    t, vapour, sd = t[order], vapour[order], np.sqrt(e.fit.noise[order])
    if len(t) < 4 or vapour[-2] <= 0 or t[-1] - t[-2] < 1.0:
        return []
    grown = math.log(max(vapour[-1], 1.0) / vapour[-2])
    u = math.hypot(sd[-1] / max(vapour[-1], 1.0), sd[-2] / vapour[-2])
    earlier = np.polyfit(1 / t[:-1], np.log(np.maximum(vapour[:-1], 1.0)), 1)[0]
    expected = earlier * (1 / t[-1] - 1 / t[-2])
    statistic = (0.5 * expected - grown) / u
    if expected <= 0 or statistic <= Z_ONE_SIDED:
        return []
    facts = {
        "low": float(t[-2]), "high": float(t[-1]), "grown": math.expm1(grown), "expected": float(np.expm1(expected)),
    }  # fmt: skip
    return [Finding("liquid-exhausted", "refuse", statistic, Z_ONE_SIDED, "", facts, None, ALARM)]


def _implausible(e: Evidence) -> list[Finding]:
    """An enthalpy no liquid has: what is left when the readings follow a gas, not a liquid."""
    value = e.mean.value
    if LEAST_ENTHALPY <= value <= MOST_ENTHALPY:
        return []
    facts = {"value": value, "low": LEAST_ENTHALPY, "high": MOST_ENTHALPY}
    return [Finding("enthalpy-implausible", "refuse", value, LEAST_ENTHALPY, "", facts, None, 1e-4)]


def _pressure_fell(e: Evidence) -> list[Finding]:
    """Total pressure lower at a higher temperature: no closed cell with liquid does that."""
    up = [k for k, p in enumerate(e.used) if p.branch == "up"]
    up.sort(key=lambda k: e.used[k].temperature)
    for before, after in pairwise(up):
        a, b = e.used[before], e.used[after]
        drop = a.pressure - b.pressure
        u = math.hypot(math.sqrt(e.fit.noise[before]), math.sqrt(e.fit.noise[after]))
        if b.temperature - a.temperature > 0.5 and drop > max(4 * u, 200.0):
            facts = {"drop": drop, "low": a.temperature, "high": b.temperature}
            return [Finding("gas-let-out", "refuse", drop / u, 4.0, "points", facts, None, 1e-4)]
    return []


def _level(e: Evidence) -> list[Finding]:
    """Vapour pressure at the mean temperature against the reference, after the fit."""
    if e.liquid is None or e.liquid.saturation is None:
        return []
    tm = e.fit.model.mean_temperature
    try:
        reference = float(e.liquid.saturation_pressure(tm))
    except OutsideRangeError:
        return []
    found = e.fit.posterior.of(np.array([1.0, 0.0]), np.zeros(len(e.fit.model.errors)), float(e.fit.theta[0]))
    difference = found.value - math.log(reference)
    u = math.hypot(found.u, e.liquid.saturation.u)
    if abs(difference) <= Z_TWO_SIDED * u:
        return []
    facts: Facts = {"temperature": tm, "share": math.expm1(difference), "liquid": e.liquid.name}
    return [Finding("level-off-reference", "doubt", abs(difference) / u, Z_TWO_SIDED, "", facts, None, ALARM)]


def _enthalpy(e: Evidence) -> list[Finding]:
    c = e.comparison
    if c is None or c.normalised is None or abs(c.normalised) <= Z_TWO_SIDED:
        return []
    facts = {"difference": c.difference, "reference": c.reference, "times": abs(c.normalised)}
    return [Finding("enthalpy-off-reference", "doubt", abs(c.normalised), Z_TWO_SIDED, "", facts, c.difference, ALARM)]


def _pulls(e: Evidence) -> list[Finding]:
    """A common error that had to be pulled far from what was stated for it."""
    spread = np.sqrt(np.maximum(np.einsum("nk,nm,mk->k", e.fit.posterior.columns, e.fit.posterior.projector(1.0),
                                          e.fit.posterior.columns), 0.0))  # fmt: skip
    for k in np.argsort(-np.abs(e.fit.z)):
        error, z = e.fit.model.errors[k], float(e.fit.z[k])
        # z is a mean of a posterior: its own scatter over healthy runs is sqrt(1 - posterior variance).
        if error.key == "leak" or spread[k] == 0:
            continue
        statistic = abs(z) / min(float(spread[k]), 1.0)
        if abs(z) > 2.0 and statistic > Z_TWO_SIDED + 0.6:
            facts: Facts = {"source": error.label, "times": abs(z)}
            return [Finding("input-pulled", "doubt", statistic, Z_TWO_SIDED + 0.6, "", facts, None, 0.001)]
    return []
