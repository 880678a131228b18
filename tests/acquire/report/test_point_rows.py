"""Points as rows: digits, branches, what was set aside."""

from __future__ import annotations

import math
from dataclasses import replace

from acquire.report.curve import shown_points
from acquire.report.point_rows import baseline_rows, point_rows, taking_rows

NB = "\N{NO-BREAK SPACE}"


def rows_of(run):
    return point_rows(shown_points(run.results[-1], run.points))


def test_each_column_has_the_digits_that_its_uncertainty_leaves(example_run):
    first = rows_of(example_run)[0]
    assert (first.number, first.temperature, first.u_temperature) == ("1", "21.400", "0.022")
    assert (first.pressure, first.u_pressure) == ("105.961", "0.031")
    assert (first.air, first.vapour, first.u_vapour) == ("100.90", "5.06", "0.14")
    assert first.residual == "−18"


def test_the_return_point_is_named(example_run):
    assert [row.remark for row in rows_of(example_run)] == ["", "", "", "", "", "return point"]


def test_a_point_set_aside_keeps_its_reading_and_shows_no_vapour_pressure(example_run, build_run, build_fit):
    points = (*example_run.points[:3], replace(example_run.points[3], used=False, reason="the cell was lifted"),
              *example_run.points[4:])  # fmt: skip
    fit = build_fit(points)
    for name in ("pressure_air", "pressure_vapour", "u_pressure_air", "u_pressure_vapour", "residual"):
        fit["points"][3][name] = None
    row = rows_of(build_run(points=points, results=(fit,)))[3]
    assert not row.used
    assert row.pressure == "114.338"
    assert row.vapour == row.air == row.residual == "—"
    assert row.remark == "set aside: the cell was lifted"


def test_how_a_point_was_taken_is_told_with_window_drift_lag_and_hand(example_run):
    row = taking_rows(example_run.points)[2]
    assert (row.number, row.branch, row.window, row.length) == ("3", "warming", f"16:50{NB}to{NB}17:50", "60")
    assert (row.readings, row.drift, row.taken_by) == ("240", "−0.6", "person")
    assert row.lag.replace(NB, " ") == "−12.0 ± 6.0"


def test_a_point_taken_before_it_was_proposed_says_so_beside_its_reason(example_run):
    aside = replace(example_run.points[1], used=False, reason="the cell was lifted")
    rows = taking_rows([*example_run.points[:1], aside], early={1, 2})
    assert rows[0].remark == "taken before it was proposed"
    assert rows[1].remark == "taken before it was proposed; the cell was lifted"
    assert taking_rows([replace(aside, reason="")])[0].remark == "set aside"


def test_a_lag_that_was_not_known_is_a_dash(example_run):
    point = replace(example_run.points[0], lag=math.nan, u_lag=math.nan)
    assert taking_rows([point])[0].lag == "—"


def test_baselines_stand_with_their_uncertainties(example_run):
    kind, temperature, pressure, window = baseline_rows(example_run.baselines)[1]
    assert kind == "sealed baseline"
    assert temperature.replace(NB, " ") == "(21.400 ± 0.020) °C"
    assert pressure.replace(NB, " ") == "(100.900 ± 0.025) kPa"
    assert window == f"4:20{NB}to{NB}5:40"
