"""The report of a table of points: the same result, without what only a run knows."""

from __future__ import annotations

import pytest

from acquire.report.page import points_report_html, write_points_report
from acquire.report.points_page import points_content, with_branches
from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import FitPoint
from analysis.liquids import load_liquid
from drivers.units import to_si

#: n-heptane, CoolProp 8.0.0 reference equation: temperature in K, pressure in Pa.
TABLE = [(293.15, 4722.2), (298.15, 6090.8), (303.15, 7777.0), (308.15, 9835.3), (313.15, 12326.4)]


@pytest.fixture(scope="module")
def points():
    cooling = [FitPoint(300.15, 6709.0, 0.03, 10.0, branch="return", label="last of all")]
    return [FitPoint(t, p, 0.03, 10.0) for t, p in TABLE] + cooling


@pytest.fixture(scope="module")
def fit(points):
    return fit_enthalpy(points, liquid=load_liquid("n-heptane"), air="none").as_dict()


def test_the_result_of_a_table_is_that_of_the_fit_and_the_reference_lies_inside(fit, points):
    said = points_content(fit, points, title="Points", source="points.csv")
    assert said.result.stands
    assert said.result.reference.inside
    low, high = said.result.ends
    # CRC Handbook tables: 36.57 kJ/mol at 298.15 K
    assert low < to_si(36.57, "kJ/mol") < high
    assert said.subtitle == "n-heptane · points.csv · 6 points in use"


def test_branches_and_labels_come_from_the_table(fit, points):
    rows = points_content(fit, points, title="", source="").points
    assert rows[-1].remark == "return point, last of all"
    assert with_branches(fit, points)[0]["branch"] == "up"


def test_an_evacuated_cell_has_no_blind_spot_about_air(fit, points):
    headings = [heading for heading, _ in points_content(fit, points, title="", source="").blind]
    assert "A constant error of the trapped air" not in headings
    assert "A slow leak" not in headings  # there is a return point


def test_the_page_says_that_nobody_saw_how_the_points_were_measured(fit, points):
    html = points_report_html(fit, points, title="<b>A table</b>", source="points.csv")
    assert "satline did not see how they were measured" in html
    assert "&lt;b&gt;A table&lt;/b&gt;" in html
    assert "The run</h2>" not in html
    assert html.count("<svg") == 3


@pytest.mark.slow
def test_the_page_of_a_table_is_written(tmp_path, fit, points):
    path = write_points_report(fit, points, str(tmp_path / "points.html"))
    assert path.read_text(encoding="utf-8").startswith("<!doctype html>")
