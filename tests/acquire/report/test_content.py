"""What a report says as a whole: banners, findings, truth, blind spots."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import pytest

from acquire.plan import RunPlan
from acquire.report.blind_spots import blind_spots
from acquire.report.content import DISCLAIMER, WHO_DECIDES, finding_rows, run_content
from acquire.report.method_rows import method_rows

NB = "\N{NO-BREAK SPACE}"


def test_the_line_under_the_title_tells_liquid_bench_time_and_length(example_run):
    assert run_content(example_run).subtitle == f"n-heptane · bench 7 · 2031-03-14 10:02 (+01:00) · 32{NB}min"


@pytest.mark.parametrize(
    ("changes", "banner"),
    [
        ({}, ""),
        ({"truth": {}}, "This run was made on a simulated bench. No real liquid was measured."),
        (
            {"integrity": "open", "end_time": None},
            "This run was not closed when this page was made: it is still being recorded, or it was cut off. "
            "satline verify tells which; what stands here may change.",
        ),
        (
            {"integrity": "unsealed", "end_time": None},
            "This run was not closed: it ended before it was finished. Everything recorded until then is here.",
        ),
    ],
)
def test_what_a_reader_must_know_first_stands_first(example_run, changes, banner):
    assert run_content(replace(example_run, **changes)).banner == banner


def test_findings_come_worst_first_with_a_sign_beside_the_word():
    def finding(code, severity):
        return {"code": code, "severity": severity, "text": code, "advice": "", "statistic": 2.9, "threshold": 2.0}

    rows = finding_rows({"findings": [finding("a", "note"), finding("b", "refuse"), finding("c", "doubt")]})
    assert [(row.code, row.word, row.sign) for row in rows] == [
        ("b", "No interval", "■"), ("c", "Doubt", "▲"), ("a", "Note", "●"),
    ]  # fmt: skip
    assert rows[0].numbers == "2.9 against a limit of 2"


def test_a_finding_that_is_no_test_shows_no_numbers():
    plain = {"code": "a", "severity": "note", "text": "", "advice": "", "statistic": None, "threshold": None}
    assert finding_rows({"findings": [plain]})[0].numbers == ""


def test_the_truth_of_a_simulated_run_is_compared_with_the_interval(example_run):
    truth = {"enthalpy_vap": 36_585.27, "scenario": "calm", "source": "an equation of state", "mishaps": []}
    rows = dict(run_content(replace(example_run, truth=truth)).truth)
    assert rows[f"Enthalpy of vaporisation at 25.0{NB}°C"] == f"36.59{NB}kJ/mol, inside the interval"
    assert rows["Mishaps"] == "none"
    far = dict(run_content(replace(example_run, truth=truth | {"enthalpy_vap": 50_000.0})).truth)
    assert far[f"Enthalpy of vaporisation at 25.0{NB}°C"].endswith("outside the interval")


def test_mishaps_of_a_simulated_run_are_named(example_run):
    truth = {"mishaps": [{"name": "leak", "start": 3.0}, "humid room"]}
    assert dict(run_content(replace(example_run, truth=truth)).truth)["Mishaps"] == "leak, humid room"


def test_a_run_without_points_or_readings_still_makes_a_report(example_run):
    bare = replace(example_run, traces={}, journal=(), baselines=(), points=(), results=(), plan={}, devices={})
    said = run_content(bare)
    assert not said.result.stands
    assert said.points == said.taking == said.baselines == ()
    assert not said.tested


def test_results_before_the_newest_are_kept_in_sight(example_run):
    first = example_run.results[0]
    refused = {**first, "enthalpy_vap": {"value": 36e3, "interval_95": None, "at_298_15": None},
               "method": {"interval_refused": "The liquid is used up."}, "findings": []}  # fmt: skip
    rows = run_content(replace(example_run, results=(refused, first, first))).earlier
    assert [label for label, _ in rows] == ["Result 1", "Result 2"]
    assert rows[0][1] == "The liquid is used up."
    assert rows[1][1].endswith("kJ/mol from 6 points")
    assert run_content(example_run).earlier == ()


def test_points_of_a_run_without_a_fit_are_listed_as_they_were_read(example_run):
    said = run_content(replace(example_run, results=()))
    assert [row.pressure for row in said.points][:2] == ["105.961", "108.567"]
    assert {row.vapour for row in said.points} == {"—"}


def test_constant_air_errors_and_a_cold_neck_are_always_called_blind_spots():
    headings = [heading for heading, _ in blind_spots(RunPlan().model_dump(mode="json"), has_return=True)]
    assert "A constant error of the trapped air" in headings
    assert "A cold neck" in headings
    assert "The humidity of the room" in headings
    assert "A slow leak" not in headings


def test_without_a_return_point_a_slow_leak_is_a_blind_spot_too():
    headings = [heading for heading, _ in blind_spots({}, has_return=False)]
    assert "A slow leak" in headings


def test_an_evacuated_cell_has_no_air_to_be_wrong_about():
    headings = [heading for heading, _ in blind_spots({"air": {"mode": "none"}}, has_return=True)]
    assert "A constant error of the trapped air" not in headings


def test_the_footer_says_what_the_program_is_not_and_who_decides_and_calls_nothing_safe():
    assert "is not a safety device" in DISCLAIMER
    assert "the person in charge" in WHO_DECIDES
    assert "safety data sheet" in WHO_DECIDES
    words = f"{DISCLAIMER} {WHO_DECIDES}".lower().replace("safety", "")
    assert "safe" not in words


def test_how_the_value_was_made_is_told_from_what_the_fit_says():
    rows = dict(
        method_rows(
            {
                "method": {
                    "name": "direct fit", "air": "sealed", "mean_temperature": 302.0, "dz": 0.9914, "u_dz": 0.003,
                    "dz_source": "an equation of state", "heat_capacity_difference": -62.1,
                    "u_heat_capacity_difference": 15.0, "chi2": 0.24, "degrees_of_freedom": 4,
                    "leak": {"rate": -3.4e-6, "u_rate": 1.2e-6, "corrected": True, "reason": "a return point shows it"},
                    "pulls": {"pressure, offset": -1.62, "tubing gas": 0.1},
                }
            }
        )
    )  # fmt: skip
    rows = {label: value.replace(NB, " ") for label, value in rows.items()}
    assert rows["Trapped air"] == "subtracted, from the sealed baseline"
    assert rows["Middle of the points"] == "28.9 °C"
    assert rows["Vapour non-ideality dZ"] == "0.9914 ± 0.0030 (an equation of state)"
    assert rows["Heat-capacity difference"] == "(−62 ± 15) J/(mol K)"
    assert rows["Scatter against what was stated"] == "chi-squared 0.24 for 4 degrees of freedom"
    assert rows["Leak"] == "(−1.22 ± 0.43) % of the over-pressure an hour, corrected for: a return point shows it"
    assert rows["Common errors pulled furthest"] == "pressure, offset by −1.6 standard uncertainties"


def test_a_fit_that_says_nothing_of_its_method_gives_no_rows():
    assert method_rows(None) == method_rows({}) == ()


@pytest.mark.slow
def test_the_words_of_a_report_do_not_load_the_drawing_library():
    code = (
        "import sys; import acquire.report.content, acquire.review.compare, acquire.review.cursor;"
        "sys.exit('matplotlib' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
