"""The fit on vapour pressures that others measured, as the NIST TRC ThermoML Archive holds them (trc.nist.gov).

Dichloromethane: P. Vrbka, V. Dohnal, Fluid Phase Equilib. 411 (2016) 59-65, doi 10.1016/j.fluid.2015.11.037, set 1.
Diethyl ether: F. Amireche-Ziar, G. Boukais-Belaribi, Fluid Phase Equilib. 268 (2008) 39-44,
doi 10.1016/j.fluid.2008.03.015, set 2 (the archive states 1 %; one reading of each pair typed in, 304.75 K and below).
Calorimetric enthalpies at 298.15 K: CRC Handbook tables as shipped in `chemicals`.
"""

from __future__ import annotations

import pytest

from analysis.antoine import fit_antoine
from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import load_liquid, unknown_liquid

#: K, kPa, and the expanded (k = 2) uncertainty in kPa that the archive states.
DICHLOROMETHANE = [
    (285.887, 34.664, 0.065), (287.578, 37.330, 0.068), (289.939, 41.330, 0.073), (292.118, 45.330, 0.078),
    (294.148, 49.329, 0.083), (296.048, 53.329, 0.090), (298.414, 58.662, 0.095), (300.612, 63.995, 0.102),
    (302.668, 69.328, 0.109), (304.605, 74.661, 0.115), (306.434, 79.993, 0.121), (308.167, 85.326, 0.128),
    (309.816, 90.659, 0.134), (311.391, 95.992, 0.137),
]  # fmt: skip
DIETHYL_ETHER = [
    (265.44, 17.06, 0.17), (274.86, 26.90, 0.27), (284.83, 41.98, 0.43), (294.77, 62.89, 0.64), (304.75, 91.58, 0.93),
]  # fmt: skip
SETS = {"dichloromethane": (DICHLOROMETHANE, 28.82e3), "diethyl ether": (DIETHYL_ETHER, 27.10e3)}


def fit_of(name: str, liquid):
    points = [FitPoint(t, 1e3 * p, 0.01, 0.5e3 * u) for t, p, u in SETS[name][0]]
    return fit_enthalpy(points, air="none", sensors=SensorPriors.none(), liquid=liquid)


@pytest.mark.parametrize("name", SETS)
def test_the_calorimetric_value_lies_inside_the_stated_interval(name):
    low, high = fit_of(name, load_liquid(name)).at_298_15.interval_95
    assert low < SETS[name][1] < high
    assert high - low < 0.05 * SETS[name][1]  # and the interval says something


@pytest.mark.parametrize("name", SETS)
def test_the_slope_alone_misses_it_and_the_report_says_by_how_much(name):
    fit = fit_of(name, load_liquid(name))
    assert fit.textbook_line.interval_95[0] > SETS[name][1]
    effect = {f.code: f for f in fit.findings}["vapour-not-ideal"].effect
    assert 0.4e3 < effect < 1.4e3


@pytest.mark.parametrize("name", SETS)
def test_a_liquid_the_table_does_not_know_is_covered_too_by_a_wider_interval(name):
    known, unknown = fit_of(name, load_liquid(name)), fit_of(name, unknown_liquid())
    assert unknown.at_298_15.interval_95[0] < SETS[name][1] < unknown.at_298_15.interval_95[1]
    assert unknown.at_298_15.standard_uncertainty > 1.5 * known.at_298_15.standard_uncertainty
    assert "unknown-liquid" in {f.code for f in unknown.findings}


def test_antoine_and_clapeyron_reach_the_same_number():
    fit = fit_of("dichloromethane", load_liquid("dichloromethane"))
    tm, dz = fit.method["mean_temperature"], fit.method["dz"]
    antoine = fit_antoine([t for t, _, _ in DICHLOROMETHANE], [1e3 * p for _, p, _ in DICHLOROMETHANE])
    value, u = antoine.enthalpy_vap(tm, dz)
    assert value == pytest.approx(fit.enthalpy_vap.value, abs=2 * u + 30.0)
    assert antoine.residual_sd < 1e-3
