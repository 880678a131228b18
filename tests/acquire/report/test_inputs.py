"""Every number of the plan is on the page, with its unit and its uncertainty."""

from __future__ import annotations

from acquire.plan import RunPlan
from acquire.report.inputs import input_groups

NB = "\N{NO-BREAK SPACE}"


def rows(plan):
    return {row.label: row.value.replace(NB, " ") for group in input_groups(plan) for row in group.rows}


def test_every_key_of_a_plan_has_a_label_of_its_own():
    titles = [group.title for group in input_groups(RunPlan().model_dump(mode="json"))]
    assert "Other inputs (SI)" not in titles


def test_values_stand_with_the_uncertainty_that_was_entered_for_them(example_run):
    said = rows(example_run.plan)
    assert said["Gas space of the empty cell"] == "(140.0 ± 1.0) mL"
    assert said["Relative humidity of the air shut in"] == "(45.0 ± 5.0) %"
    assert said["Share of the gas above the water line"] == "(2.0 ± 1.0) %"


def test_sensor_uncertainties_are_differences_without_the_offset_of_the_scale(example_run):
    said = rows(example_run.plan)
    assert said["Thermometer, offset"] == "0.3 K"
    assert said["Pressure sensor, offset"] == "2 kPa"
    assert said["Tolerance (pressure counted in kelvins)"] == "0.1 K"


def test_targets_are_listed_in_degrees(example_run):
    assert rows(example_run.plan)["Targets"] == "25.5, 29.6, 33.6, 37.2 °C"


def test_a_humidity_that_was_not_measured_is_said_in_words():
    said = rows(RunPlan().model_dump(mode="json"))
    assert said["Relative humidity of the air shut in"] == "not measured: the fit allows for any"


def test_a_key_without_a_label_is_shown_and_not_dropped():
    said = rows({"cell": {"volume": 1e-4, "u_volume": 1e-6, "colour": "green"}})
    assert said["cell.colour"] == "green"


def test_a_plan_without_anything_has_no_groups():
    assert input_groups({}) == ()
