"""What the review window says, without Qt."""

from __future__ import annotations

import math

import pytest

from acquire.journal import Entry
from acquire.plan import RunPlan
from acquire.record import Baseline, PointRecord
from acquire.review.cursor import ChannelThen, Known
from acquire.window.compare_state import COLUMNS, pen_style
from acquire.window.review_state import (
    FIELDS,
    changed_fields,
    field_value,
    moment_rows,
    point_rows,
    residuals,
    result_words,
    review_strips,
)
from acquire.window.themes import THEMES

PLAN = RunPlan().model_dump(mode="json")
POINT = PointRecord(
    1, "Point 1", "up", 100.0, 160.0, 303.0, 303.1, 109_000.0, 0.03, 5.0, 0.0, -0.1, 0.02, -1e-3, 900, "program"
)  # fmt: skip
FIT = {
    "points": [{"pressure_vapour": 7800.0, "u_pressure_vapour": 40.0, "residual": -12.0}],
    "enthalpy_vap": {"at_298_15": {"value": 36_500.0, "interval_95": [35_800.0, 37_300.0]}},
}


def known(**changes) -> Known:
    channel = ChannelThen(303.0, 10, "easing", -0.12, 0.03, (20.0, 40.0, 80.0))
    pressure = ChannelThen(109_000.0, 10, "moving", math.nan, math.nan, None)
    fields = {
        "time": 125.0, "stage": "plateaus", "channels": {"temperature": channel, "pressure": pressure},
        "ready": False, "window": None, "gates": (("heating", "bath still being heated"),), "proposal": None,
        "lag": -0.1, "u_lag": 0.02, "drift": -1e-3, "tolerance": 0.1, "tolerance_reason": "", "points": (),
        "result": None, "entries": 3,
    }  # fmt: skip
    return Known(**(fields | changes))


def test_the_moment_tells_readings_forecast_lag_and_what_stands_against_a_plateau() -> None:
    rows = {row.name: row.value for row in moment_rows(known())}
    assert rows["time"] == "2:05 · plateaus"
    assert "◢ easing" in rows["bath temperature"]
    assert "still to come" in rows["bath temperature"]
    assert "still to come" not in rows["cell pressure"]
    assert rows["temperature level in"].startswith("40")
    assert rows["against a plateau"] == "bath still being heated"
    assert rows["drift of the bath"].startswith("−0.060")


def test_before_the_first_second_there_is_nothing_to_tell() -> None:
    assert [row.value for row in moment_rows(None)] == ["—"]


def test_the_table_of_points_has_vapour_and_residual_from_the_fit() -> None:
    (row,) = point_rows((POINT,), FIT)
    assert row.cells == ("1", "warming", "29.95(3)", "109.000(5)", "7.80(4)", "−0.10", "−12")
    (without,) = point_rows((POINT,), None)
    assert without.cells[4] == without.cells[6] == "—"


def test_residuals_are_those_of_fitted_points_only() -> None:
    assert residuals((POINT,), FIT) == ((pytest.approx(29.95), -12.0, 5.0),)
    assert residuals((POINT, POINT), FIT) == ()


def test_strips_show_baselines_points_marks_and_the_limit() -> None:
    baseline = Baseline("sealed", 294.0, 1e5, 0.01, 1.0, 10.0, 60.0)
    entry = Entry(0, 70.0, 70, "act", "person", True, "charged", {"act": "charged"})
    state = review_strips(200.0, (baseline,), (POINT,), (entry,), PLAN)
    assert [(span.kind, span.label) for span in state.spans] == [("baseline", "sealed baseline"), ("point", "1")]
    assert [mark.text for mark in state.marks] == ["charge"]
    assert [limit.value for limit in state.limits] == [pytest.approx(40.0)]


def test_unchanged_inputs_ask_nothing_and_changed_ones_become_si() -> None:
    shown = {field.path: field_value(PLAN, field) or 0.0 for field in FIELDS if field_value(PLAN, field) is not None}
    assert changed_fields(PLAN, shown) == {}
    assert changed_fields(PLAN, shown | {"cell.volume": 141.0}) == {"cell.volume": pytest.approx(141e-6)}
    # Humidity was not measured: any value shown for it is a change.
    assert changed_fields(PLAN, shown | {"room.humidity": 60.0}) == {"room.humidity": pytest.approx(0.6)}


def test_the_result_in_words() -> None:
    assert result_words(FIT) == "36.50 kJ/mol, 95 % interval 35.80 to 37.30"
    assert result_words(None) == "no result"


@pytest.mark.parametrize("theme", sorted(THEMES))
def test_the_first_four_runs_differ_in_colour_and_in_dashes(theme: str) -> None:
    pens = [pen_style(run, THEMES[theme]) for run in range(4)]
    assert len({colour for colour, _ in pens}) == len({dashes for _, dashes in pens}) == 4
    assert len(COLUMNS) == 8
