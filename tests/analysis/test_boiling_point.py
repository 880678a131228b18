"""The boiling point by extrapolation: exact on a made line, honest about the way there."""

from __future__ import annotations

import pytest

from analysis.boiling_point import line_at_mean, normal_boiling_point
from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import load_liquid, unknown_liquid


def fit_of(name: str, liquid=None, temperatures=(300.15, 306.15, 312.15, 318.15, 324.15)):
    known = load_liquid(name)
    points = [FitPoint(t, float(known.saturation_pressure(t)), 0.001, 2.0) for t in temperatures]
    return fit_enthalpy(points, air="none", sensors=SensorPriors.none(), liquid=liquid or known)


@pytest.mark.parametrize("name", ["n-heptane", "ethanol", "water", "acetone"])
def test_with_the_curvature_of_the_reference_the_boiling_point_is_met(name):
    assert fit_of(name).normal_boiling_point.value == pytest.approx(load_liquid(name).boiling_point.value, abs=0.5)


def test_without_a_reference_the_parabola_serves_and_covers():
    found = fit_of("n-heptane", unknown_liquid()).normal_boiling_point
    assert found.interval_95[0] < 371.53 < found.interval_95[1]
    assert found.standard_uncertainty < 2.0


def test_farther_away_is_less_certain():
    near = fit_of("n-heptane", temperatures=(330.15, 336.15, 342.15, 348.15, 354.15)).normal_boiling_point
    assert near.standard_uncertainty < 0.3 * fit_of("n-heptane").normal_boiling_point.standard_uncertainty


def test_within_the_points_no_extrapolation_is_counted():
    fit = fit_of("n-hexane", temperatures=(331.15, 335.15, 339.15, 342.15, 346.15))
    assert fit.normal_boiling_point.standard_uncertainty < 0.05


def test_the_line_at_its_mean_is_its_first_parameter():
    fit = fit_of("n-heptane").fit
    assert line_at_mean(fit, fit.model.mean_temperature) == pytest.approx(fit.theta[0])


def test_a_refusal_leaves_the_value_alone():
    fit = fit_of("n-heptane")
    found = normal_boiling_point(fit.fit, load_liquid("n-heptane"), "the stopper lifted")
    assert found.value == pytest.approx(fit.normal_boiling_point.value)
    assert found.interval_95 is None
