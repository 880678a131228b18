"""The result in words: digits, verdicts, refusals."""

from __future__ import annotations

import copy

import pytest

from acquire.report.result_block import BUDGET_LINES, liquid_of, result_block
from analysis.liquids import load_liquid
from analysis.rounding import value_and_uncertainty_text

NB = "\N{NO-BREAK SPACE}"
HEPTANE = load_liquid("n-heptane")


@pytest.fixture
def fit(example_run):
    return copy.deepcopy(example_run.results[0])


def block(fit, **kwargs):
    return result_block(fit, HEPTANE, **kwargs)


def test_the_big_number_is_the_value_at_25_degrees_with_half_of_its_interval(fit):
    fit["enthalpy_vap"]["at_298_15"] = {
        "value": 36_570.0, "standard_uncertainty": 410.0, "interval_95": [35_750.0, 37_390.0],
    }  # fmt: skip
    said = block(fit)
    assert said.number == f"36.57{NB}±{NB}0.82"
    assert said.interval == f"35.75 to 37.39{NB}kJ/mol"
    assert said.stated_at == f"25{NB}°C"
    assert said.standard_uncertainty == f"0.41{NB}kJ/mol"


def test_an_uneven_interval_is_shortened_by_its_longer_half(fit):
    fit["enthalpy_vap"]["at_298_15"] = {
        "value": 36_000.0, "standard_uncertainty": 500.0, "interval_95": [35_500.0, 38_000.0],
    }  # fmt: skip
    assert block(fit).number == f"36.0{NB}±{NB}2.0"


def test_report_and_command_line_round_by_the_same_function(fit):
    value = fit["enthalpy_vap"]
    expected = value_and_uncertainty_text(value["value"] / 1000, value["standard_uncertainty"] / 1000)
    assert expected in block(fit).mean_temperature.replace(NB, " ")


def test_the_reason_names_the_two_largest_sources(fit):
    assert block(fit).reason.replace(NB, " ") == (
        "Largest parts of the uncertainty: trapped air (58 %); scatter of readings (17 %)."
    )


def test_one_overwhelming_source_is_named_alone(fit):
    fit["budget"] = [
        {"source": "trapped air", "standard_uncertainty": 1000.0, "share": 0.93},
        {"source": "thermometer", "standard_uncertainty": 200.0, "share": 0.07},
    ]
    assert block(fit).reason.replace(NB, " ") == (
        "Nearly all of the uncertainty comes from one source: trapped air (93 %)."
    )


def test_many_small_sources_are_summed_into_one_line_and_the_shares_still_add_up(fit):
    fit["budget"] = [
        {"source": f"source {index}", "standard_uncertainty": 100.0, "share": 1 / 20} for index in range(20)
    ]
    rows = block(fit).budget
    assert len(rows) == BUDGET_LINES + 1
    assert rows[-1].source == "12 smaller ones together"
    assert rows[-1].uncertainty == f"0.35{NB}kJ/mol"  # square root of 12 times 0.1 kJ/mol
    assert sum(row.percent for row in rows) == pytest.approx(100.0)


def test_the_reference_is_judged_by_the_interval_and_its_distance_told(fit):
    at = fit["enthalpy_vap"]["at_298_15"]
    at |= {"value": 37_570.0, "standard_uncertainty": 400.0, "interval_95": [36_770.0, 38_370.0]}
    said = block(fit).reference
    assert said is not None
    assert not said.inside
    # 1.00 kJ/mol over the root of 0.40^2 + 0.15^2
    assert said.verdict.replace(NB, " ") == (
        "The reference lies outside the 95 % interval. The result is 1.00 kJ/mol above it: 2.3 standard uncertainties."
    )


def test_a_liquid_that_nothing_is_known_of_has_no_reference(fit):
    assert liquid_of({"liquid": "something brown"}) is None
    assert result_block(fit, None).reference is None
    assert [row.kind for row in result_block(fit, None).rows] == ["run", "line"]


def test_the_textbook_line_says_how_much_too_narrow_it_is(fit):
    fit["enthalpy_vap"]["at_298_15"]["interval_95"] = [35_000.0, 38_000.0]
    fit["textbook_line"]["interval_95"] = [36_500.0, 37_500.0]
    said = block(fit).textbook
    assert said is not None
    assert said.comparison == "The full interval is 3.0 times as wide."
    fit["textbook_line"]["interval_95"] = [39_500.0, 40_500.0]
    assert block(fit).textbook.comparison.endswith("The reference lies outside the textbook interval.")
    assert said.heading == "The textbook line, and why its interval is too narrow"
    assert "trapped air" in said.reasons[0]
    assert "75 times in 100 for alkanes" in said.reasons[0]


def test_a_textbook_interval_that_is_wider_is_not_called_too_narrow(fit):
    fit["enthalpy_vap"]["at_298_15"]["interval_95"] = [36_000.0, 37_000.0]
    fit["textbook_line"]["interval_95"] = [30_000.0, 44_000.0]
    said = block(fit).textbook
    assert said is not None
    assert "no wider" in said.comparison
    assert "too narrow" not in said.heading


def test_a_fit_without_a_textbook_line_says_nothing_about_one(fit):
    fit["textbook_line"] = None
    assert block(fit).textbook is None


def test_a_refused_interval_is_no_result_and_gives_the_reason_and_the_advice(fit):
    for part in (fit["enthalpy_vap"], fit["enthalpy_vap"]["at_298_15"], fit["normal_boiling_point"]):
        part["standard_uncertainty"] = part["interval_95"] = None
    fit["budget"] = []
    fit["method"]["interval_refused"] = "The liquid is used up."
    fit["findings"] = [
        {"code": "dry", "severity": "refuse", "statistic": None, "threshold": None,
         "text": "The liquid is used up.", "advice": "Charge more liquid."}
    ]  # fmt: skip
    said = block(fit)
    assert not said.stands
    assert said.reason == "The liquid is used up. Charge more liquid."
    assert said.number == ""
    assert said.rows == ()


def test_a_run_without_a_fit_says_why():
    assert block(None, why_none="The run has 2 points in use; three or more are needed.").reason.startswith("The run")
    assert block(None, why_none="the liquid is used up").reason == "The liquid is used up"
    assert block(None).reason == "No result was computed in this run."


def test_without_a_value_at_25_degrees_that_of_the_points_is_stated(fit):
    fit["enthalpy_vap"]["at_298_15"] = None
    assert block(fit).stated_at == f"{fit['enthalpy_vap']['temperature'] - 273.15:.6g}{NB}°C"
