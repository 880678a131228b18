"""The worksheet: what a person can compute by hand from the same run, blank and filled in."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from acquire.report.errors import ReportError
from acquire.report.hand_work import hand_work
from acquire.report.worksheet import graph, worksheet_html, write_worksheet

NB = "\N{NO-BREAK SPACE}"


@pytest.fixture(scope="module")
def work(module_run):
    return hand_work(module_run)


@pytest.fixture(scope="module")
def blank(module_run):
    return worksheet_html(module_run)


@pytest.fixture(scope="module")
def filled(module_run):
    return worksheet_html(module_run, filled=True)


def test_every_number_follows_from_the_figures_printed_on_the_sheet(work):
    assert (work.temperature_0, work.pressure_0, work.volume_factor) == (294.55, 100.9, 1.0)
    for point in work.points:
        assert point.air == round(100.9 * point.temperature / 294.55, 2)
        assert point.vapour == round(point.pressure - point.air, 2)
        assert point.inverse == round(1000 / point.temperature, 4)
        assert point.logarithm == round(math.log(point.vapour), 3)


def test_the_line_is_that_of_a_reference_library(work):
    # scipy.stats.linregress: ordinary least squares with the standard error of the slope
    reference = stats.linregress([p.inverse for p in work.points], [p.logarithm for p in work.points])
    assert work.slope == pytest.approx(reference.slope, rel=1e-9)
    assert work.u_slope == pytest.approx(reference.stderr, rel=1e-6)
    assert work.student == pytest.approx(stats.t.ppf(0.975, len(work.points) - 2), rel=1e-9)
    assert work.enthalpy == pytest.approx(-reference.slope * 8.314, rel=1e-9)
    assert work.half_width == pytest.approx(work.student * reference.stderr * 8.314, rel=1e-6)


def test_the_answer_by_hand_is_near_the_slope_that_the_run_was_made_with(work):
    assert work.enthalpy == pytest.approx(36.86, abs=0.2)


def test_a_plunger_that_stayed_in_squeezes_the_air_by_the_volume_of_the_liquid(module_run):
    cell = {**module_run.plan["cell"], "plunger_drawn_back": False}
    squeezed = hand_work(replace(module_run, plan={**module_run.plan, "cell": cell}))
    # (140 + 2) / (140 + 2 - 2.5) mL
    assert squeezed.volume_factor == 1.0179
    assert squeezed.points[0].air == round(100.9 * squeezed.points[0].temperature / 294.55 * 1.0179, 2)


def test_points_set_aside_are_not_on_the_sheet(module_run):
    points = (replace(module_run.points[0], used=False), *module_run.points[1:])
    assert [p.number for p in hand_work(replace(module_run, points=points)).points] == [2, 3, 4, 5, 6]


def test_the_blank_sheet_gives_the_readings_and_none_of_the_answers(blank, work):
    first = work.points[2]
    assert f"{first.temperature:.2f}" in blank
    assert f"{first.pressure:.2f}" in blank
    text = re.sub(r"<svg.*?</svg>", "", blank, flags=re.DOTALL)
    for answer in (f"{first.air:.2f}", f"{first.logarithm:.3f}", f"{work.enthalpy:.2f}", f"{work.half_width:.2f}"):
        assert answer not in text
    assert text.count('class="blank') == 4 * len(work.points) + 6 + 2  # and a name and a date
    assert "What the program gives" not in text


def test_the_filled_sheet_has_every_answer_and_the_programs_own_result(filled, work):
    for point in work.points:
        assert f"{point.air:.2f}" in filled
        assert f"{point.logarithm:.3f}" in filled
    assert f"{work.enthalpy:.2f}" in filled
    assert "What the program gives" in filled
    assert 'class="blank' not in filled


def test_the_graph_is_empty_until_it_is_filled_in_and_has_room_for_every_point(work):
    empty, drawn = graph(work, filled=False).axes[0], graph(work, filled=True).axes[0]
    assert empty.get_lines() == []
    assert len(drawn.get_lines()) == 2
    low, high = empty.get_xlim()
    bottom, top = empty.get_ylim()
    assert all(low < p.inverse < high and bottom < p.logarithm < top for p in work.points)
    assert empty.get_xlim() == drawn.get_xlim()


def test_the_drawn_line_is_the_one_of_the_numbers(work):
    line = graph(work, filled=True).axes[0].get_lines()[0]
    slope = np.diff(line.get_ydata())[0] / np.diff(line.get_xdata())[0]
    assert slope == pytest.approx(work.slope)


def test_a_run_without_a_sealed_baseline_says_why_there_is_no_sheet(module_run):
    with pytest.raises(ReportError) as caught:
        worksheet_html(replace(module_run, baselines=module_run.baselines[:1]))
    assert str(caught.value) == (
        "the run 'n-Heptane, bench 7' cannot be computed by hand: found 6 points in use and no sealed baseline; "
        "expected three points or more, above the pressure of the air, and a sealed baseline. "
        "The report shows what there is."
    )


def test_two_points_are_too_few_for_a_sheet(module_run):
    assert hand_work(replace(module_run, points=module_run.points[:2])) is None


def test_the_sheet_is_written(tmp_path, module_run):
    assert write_worksheet(module_run, tmp_path / "sheet.html").read_text(encoding="utf-8").startswith("<!doctype")
