"""What is drawn: traces, windows, labels, the line, close-ups, intervals."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from acquire.report.drawings import draw_line, draw_plateaus, draw_saturation, draw_traces
from acquire.report.interval_figure import interval_figure
from acquire.report.plateau_figure import parts_of
from acquire.report.result_block import IntervalRow
from acquire.report.saturation_figure import described
from acquire.report.trace_figure import CHARACTER, label_rows
from acquire.review.what_if import answer


def words(figure):
    return [text.get_text() for text in figure.findobj(lambda artist: hasattr(artist, "get_text")) if text.get_text()]


def line_named(figure, gid):
    return next(line for axes in figure.axes for line in axes.get_lines() if line.get_gid() == gid)


def test_traces_are_drawn_in_minutes_kilopascal_and_degrees(example_run):
    figure = draw_traces(example_run)
    pressure, temperature = line_named(figure, "trace-pressure"), line_named(figure, "trace-temperature")
    assert np.nanmax(pressure.get_xdata()) == pytest.approx(32.0, abs=0.02)
    assert np.nanmax(pressure.get_ydata()) == pytest.approx(117.2, abs=0.3)
    assert np.nanmax(temperature.get_ydata()) == pytest.approx(37.2, abs=0.1)


def test_every_act_and_every_point_is_named_on_the_traces(example_run):
    said = words(draw_traces(example_run))
    assert {"valve shut", "charge", "+60 mL", "cold water", "vent", "1", "6"} <= set(said)


def test_the_limit_of_the_bath_is_drawn_where_the_readings_come_near_it(example_run):
    assert "limit" in words(draw_traces(example_run))
    far = {**example_run.plan, "limits": {"temperature": 400.0, "over_pressure": 1e6}}
    assert "limit" not in words(draw_traces(replace(example_run, plan=far)))


def test_a_run_without_readings_says_so_instead_of_drawing_nothing(example_run):
    said = words(draw_traces(replace(example_run, traces={}, points=(), journal=())))
    assert "no pressure readings" in said
    assert "no temperature readings" in said


def test_a_window_set_aside_is_hatched_and_others_are_not(example_run):
    points = (replace(example_run.points[0], used=False), *example_run.points[1:])
    figure = draw_traces(replace(example_run, points=points))
    hatched = [patch for axes in figure.axes for patch in axes.patches if patch.get_hatch()]
    assert len(hatched) == 2  # one window in two panels


marks = st.lists(st.tuples(st.floats(0, 400), st.integers(1, 14)), max_size=14).map(sorted)


@given(marks, st.integers(1, 5))
def test_no_label_meets_another_and_no_line_runs_through_a_label(marks, rows):
    places = [place for place, _ in marks]
    lengths = [length * CHARACTER + 6 for _, length in marks]
    taken = label_rows(places, ["x" * length for _, length in marks], rows)
    for i, row in enumerate(taken):
        if row is None:
            continue
        for j in range(i + 1, len(taken)):
            other = taken[j]
            inside = places[j] < places[i] + lengths[i]
            # A later line that begins under this label runs from its own row down: it must begin below.
            assert not (inside and other is not None and other >= row)


def test_labels_with_room_all_stand_in_the_lowest_row():
    assert label_rows([0.0, 100.0, 200.0], ["one", "two", "three"], 3) == [0, 0, 0]


def test_where_rows_run_out_a_line_stands_without_its_label():
    assert label_rows([0.0, 1.0, 2.0], ["long word"] * 3, 2) == [None, 1, 0]


def test_the_saturation_figure_shows_every_point_in_its_shape(example_run):
    figure = draw_saturation(example_run)
    line = figure.axes[0]
    shapes = [drawn.get_marker() for drawn in line.get_lines() if drawn.get_linestyle() == "None"]
    assert shapes == ["o"] * 5 + ["v"]
    assert {"1", "2", "3", "4", "5", "6"} <= set(words(figure))


def test_the_points_stand_at_their_inverse_temperature_and_the_log_of_their_vapour_pressure(example_run):
    stored = answer(example_run).fit
    run = replace(example_run, results=(stored.as_dict(),))
    line = draw_saturation(run).axes[0]
    drawn = [(d.get_xdata()[0], d.get_ydata()[0]) for d in line.get_lines() if d.get_linestyle() == "None"]
    for (x, y), point, given_ in zip(drawn, stored.points, example_run.points, strict=True):
        assert x == pytest.approx(1000 / given_.temperature)
        expected = stored.predict_pressure(point.temperature).value + point.residual
        assert y == pytest.approx(np.log(expected / 1000))


def test_a_point_without_vapour_is_left_out_of_the_line_but_does_no_harm(example_run):
    fit = dict(example_run.results[0])
    broken = [{**fit["points"][0], "pressure_vapour": -5.0, "number": 1}]
    figure = draw_line(fit, [*broken, *({**p, "number": i} for i, p in enumerate(fit["points"][1:], 2))])
    assert "1" not in words(figure)


def test_the_figure_is_described_in_words_with_range_and_count(example_run):
    said = described(example_run.results[0]["points"])
    assert "6 points in use from 21.4 to 37.2 °C" in said
    assert "largest residual 18 Pa" in said
    assert described([]) == "Saturation line: no point is in use."


@pytest.mark.parametrize("narrow", [False, True])
def test_there_is_one_close_up_for_every_point(example_run, narrow):
    figure = draw_plateaus(example_run, narrow=narrow)
    titles = [axes.get_title(loc="left") for axes in figure.axes if axes.axison]
    assert titles == ["1", "2", "3", "4", "5", "6"]


def test_close_ups_of_many_points_are_several_figures_no_taller_than_a_page(example_run):
    points = tuple(replace(example_run.points[n % 6], number=n + 1) for n in range(30))
    many = replace(example_run, points=points)
    parts = parts_of(points)
    assert [len(part) for part in parts] == [12, 12, 6]
    assert sum(parts, ()) == points
    titles = [axes.get_title(loc="left") for axes in draw_plateaus(many, 2).axes if axes.axison]
    assert titles == ["25", "26", "27", "28", "29", "30"]
    # 180 mm wide on A4: as tall as its own shape makes it, and a page has 260 mm
    width, height = draw_plateaus(many, 0).get_size_inches()
    assert height / width * 180 < 220


def test_close_ups_show_temperature_about_the_point_in_kelvins(example_run):
    axes = draw_plateaus(example_run).axes[0]
    temperature = axes.get_lines()[-1]
    inside = (temperature.get_xdata() > 0) & (temperature.get_xdata() < 60)
    # The point was taken 12 mK above what the probe read: see the lag of the example.
    assert np.nanmean(temperature.get_ydata()[inside]) == pytest.approx(0.012, abs=0.01)


def test_each_interval_is_a_bar_from_end_to_end_and_the_reference_runs_through_all():
    rows = (
        IntervalRow("this run", 36.5, 35.5, 37.5, "run"),
        IntervalRow("reference", 36.57, 36.28, 36.86, "reference"),
    )
    axes = interval_figure(rows).axes[0]
    bars = [line for line in axes.get_lines() if len(set(line.get_ydata())) == 1 and len(line.get_xdata()) == 2]
    assert [tuple(bar.get_xdata()) for bar in bars] == [(35.5, 37.5), (36.28, 36.86)]
    assert [label.get_text() for label in axes.get_yticklabels()] == ["this run", "reference"]
