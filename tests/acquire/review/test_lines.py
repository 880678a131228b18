"""Other lines through the same points, and one branch against the other."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from acquire.review.lines import COOLING_ONLY, WARMING_ONLY, branch_answers, line_answers, line_points
from acquire.review.what_if import WhatIf, answer

R = 8.314462618


def test_the_points_of_a_line_have_the_air_of_the_sealed_baseline_taken_off(recorded):
    sealed = next(b for b in recorded.baselines if b.kind == "sealed")
    points = line_points(recorded)
    for index, point in enumerate(recorded.points):
        vapour = point.pressure - sealed.pressure * point.temperature / sealed.temperature
        assert points.inverse[index] == 1 / point.temperature
        assert points.logarithm[index] == pytest.approx(math.log(vapour))
        assert points.u_logarithm[index] == pytest.approx(point.u_pressure / vapour)


def test_equal_scatter_is_the_line_of_a_reference_library_and_the_stored_textbook_line(recorded):
    # scipy.stats.linregress: ordinary least squares with the standard error of the slope
    points = line_points(recorded)
    reference = stats.linregress(points.inverse, points.logarithm)
    found = line_answers(recorded)[0]
    assert found.enthalpy == pytest.approx(-reference.slope * R, rel=1e-9)
    assert found.u == pytest.approx(reference.stderr * R, rel=1e-6)
    assert found.interval_95 == pytest.approx(tuple(recorded.results[-1]["textbook_line"]["interval_95"]), rel=1e-6)


def test_methods_agree_on_the_value_and_part_on_the_uncertainty(recorded):
    found = line_answers(recorded)
    values = [line.enthalpy for line in found]
    assert max(values) - min(values) < 400.0  # [J/mol] one run, one truth
    assert len({round(line.u, 3) for line in found}) == len(found)
    assert all(low < line.enthalpy < high for line in found for low, high in [line.interval_95])


def test_known_uncertainties_use_the_normal_factor_and_scatter_the_one_of_student(recorded):
    by_name = {line.method: line for line in line_answers(recorded)}
    known, relative = by_name["known uncertainties"], by_name["relative uncertainties"]
    assert (known.interval_95[1] - known.enthalpy) / known.u == pytest.approx(stats.norm.ppf(0.975), rel=1e-6)
    dof = len(recorded.points) - 2
    assert (relative.interval_95[1] - relative.enthalpy) / relative.u == pytest.approx(stats.t.ppf(0.975, dof))


def test_too_few_points_for_a_line_are_an_answer_with_a_reason(recorded):
    two = replace(recorded, points=recorded.points[:1])
    assert all(math.isnan(line.enthalpy) and "expected" in line.refused for line in line_answers(two))


def test_a_point_below_the_air_has_no_logarithm_and_is_left_out(recorded):
    low = replace(recorded.points[0], pressure=recorded.points[0].pressure - 30e3)
    assert len(line_points(replace(recorded, points=(low, *recorded.points[1:]))).inverse) == len(recorded.points) - 1


def test_one_branch_alone_is_fitted_as_if_the_other_had_been_set_aside(recorded):
    found = branch_answers(recorded)
    alone = answer(recorded, WhatIf(use={4: False})).fit
    assert found[WARMING_ONLY].fit.enthalpy_vap.value == pytest.approx(alone.enthalpy_vap.value, rel=1e-9)


def test_a_branch_with_too_few_points_says_how_many_there_are(recorded):
    found = branch_answers(recorded)
    assert found[COOLING_ONLY].fit is None
    assert found[COOLING_ONLY].refused == "found 1 point in use taken while cooling; a fit needs 3."


def test_a_leak_pulls_the_branches_apart(recorded):
    # The air that is lost lowers every later pressure: points taken later, while cooling, lie below the line.
    def point(number, branch, shift):
        source = recorded.points[number]
        return replace(source, branch=branch, pressure=source.pressure + shift, number=10 + number)

    warming = recorded.points[:3]
    cooling = tuple(point(number, "down", -60.0 * (3 - number)) for number in (2, 1, 0))
    found = branch_answers(replace(recorded, points=(*warming, *cooling)))
    up, down = (found[name].fit.enthalpy_vap.value for name in (WARMING_ONLY, COOLING_ONLY))
    # Less at the cold end, taken last, makes the line steeper.
    assert down > up + 500.0
    assert np.isfinite(down)
