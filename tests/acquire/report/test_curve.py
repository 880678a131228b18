"""The drawn line is the fit's own, and a point lies off it by its residual."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acquire.report.curve import (
    curve_of,
    curve_of_document,
    fitted_pressure,
    placed,
    shown_points,
    textbook_log_pressure,
    total_slopes,
)
from acquire.review.what_if import answer, recomputed

R = 8.314462618


def test_a_stored_fit_is_drawn_through_its_own_fitted_pressures(example_run):
    fit = example_run.results[0]
    curve = curve_of_document(fit)
    for point in fit["points"]:
        drawn = np.interp(1 / point["temperature"], curve.inverse_temperature, curve.log_pressure)
        # 60 straight pieces over a curve that bends by 1e-3 at most
        assert drawn == pytest.approx(math.log(fitted_pressure(point)), abs=2e-4)


def test_the_band_of_a_stored_fit_is_narrowest_in_the_middle_and_as_wide_as_the_enthalpy_says(example_run):
    fit = example_run.results[0]
    curve = curve_of_document(fit)
    half = (curve.log_high - curve.log_low) / 2
    assert abs(int(np.argmin(half)) - len(half) // 2) < len(half) // 4
    middle = np.mean([1 / p["temperature"] for p in fit["points"]])
    relative = np.mean([p["u_pressure_vapour"] / p["pressure_vapour"] for p in fit["points"]])
    away = curve.inverse_temperature[0] - middle
    expected = 1.96 * math.hypot(relative, away * fit["enthalpy_vap"]["standard_uncertainty"] / R)
    assert half[0] == pytest.approx(expected, rel=1e-9)


def test_two_points_give_a_straight_line_and_one_gives_none(example_run):
    fit = example_run.results[0]
    two = {**fit, "points": fit["points"][:2]}
    curve = curve_of_document(two)
    assert np.diff(curve.log_pressure, 2) == pytest.approx(0.0, abs=1e-9)
    assert curve_of_document({**fit, "points": fit["points"][:1]}) is None


def test_a_fit_made_again_gives_the_bands_own_numbers(example_run):
    fit = answer(example_run).fit
    curve = curve_of(fit)
    value, low, high = fit.band(1 / curve.inverse_temperature)
    assert np.exp(curve.log_pressure) == pytest.approx(value)
    assert np.exp(curve.log_low) == pytest.approx(low)
    assert np.exp(curve.log_high) == pytest.approx(high)


def test_a_point_lies_off_the_line_by_its_residual_and_by_nothing_else(example_run):
    fit = answer(example_run).fit
    stored = fit.as_dict()
    run = replace(example_run, results=(stored,))
    for point in placed(shown_points(stored, run.points), recomputed(run, stored)):
        line = fit.predict_pressure(point["temperature"]).value
        assert point["drawn_vapour"] - line == pytest.approx(point["residual"])


def test_a_point_set_aside_is_given_its_neighbours_air_so_that_it_can_be_seen(example_run, build_run):
    points = (*example_run.points[:5], replace(example_run.points[5], used=False))
    stored = answer(build_run(points=points)).fit.as_dict()
    assert stored["points"][5]["pressure_vapour"] is None
    shown = shown_points(stored, points)[5]
    ratio = np.mean([p["pressure_air"] / p["temperature"] for p in stored["points"][:5]])
    assert shown["pressure_vapour"] == pytest.approx(points[5].pressure - ratio * points[5].temperature)
    assert shown["used"] is False


def test_points_have_the_runs_numbers_branches_and_full_temperature_uncertainty(example_run):
    shown = shown_points(example_run.results[0], example_run.points)
    assert [point["number"] for point in shown] == [1, 2, 3, 4, 5, 6]
    assert shown[5]["branch"] == "return"
    assert shown[0]["u_temperature"] == example_run.points[0].u_temperature


def test_a_result_of_other_points_is_numbered_by_itself(example_run):
    shown = shown_points(example_run.results[0], example_run.points[:3])
    assert [point["number"] for point in shown] == [1, 2, 3, 4, 5, 6]


def test_the_textbook_line_is_intercept_and_slope_over_inverse_temperature(example_run):
    fit = example_run.results[0]
    line = fit["textbook_line"]
    drawn = textbook_log_pressure(fit, np.array([1 / 300.0]))[0]
    assert drawn == pytest.approx(line["intercept"] + line["slope"] / 300.0)


def test_the_slope_of_the_total_pressure_agrees_with_a_numerical_one(example_run):
    def total(temperature):
        vapour = 6090.8 * math.exp(-36_860.0 / R * (1 / temperature - 1 / 298.15))
        return vapour + 100_900.0 * temperature / 294.55

    slopes = total_slopes(example_run.points, example_run.results[0])
    for point in example_run.points:
        numeric = (total(point.temperature + 0.01) - total(point.temperature - 0.01)) / 0.02
        assert slopes[point.number] == pytest.approx(numeric, rel=0.02)


def test_without_a_fit_the_slope_is_that_of_a_gas_and_less_than_the_truth(example_run):
    alone = total_slopes(example_run.points, None)
    fitted = total_slopes(example_run.points, example_run.results[0])
    assert all(alone[number] < fitted[number] for number in alone)
