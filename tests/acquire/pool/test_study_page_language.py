"""The page of a method study in German: every text looked up, and the numbers of the English page with a comma."""

from __future__ import annotations

import json
import math

import pytest

from acquire.commands.main import main
from acquire.pool.study import Gain, MishapResult, SettingResult, StudyOutcome
from acquire.pool.study_page import MISHAPS, PHYSICS, study_page
from acquire.pool.study_plan import EXAMPLE, load_study
from acquire.report import language
from acquire.report.errors import ReportError
from acquire.report.language import Language
from acquire.version import VERSION
from analysis.liquids import list_liquids
from sim.study_draws import KINDS
from tests.acquire.pool.test_page_language import Texts, numbers
from tests.acquire.report.page_texts import page_texts
from tests.acquire.report.test_language import left_over, marked


@pytest.fixture(scope="module")
def outcome(tmp_path_factory) -> StudyOutcome:
    """An invented outcome of the example plan with every choice, each number another one."""
    path = tmp_path_factory.mktemp("study") / "study.toml"
    text = EXAMPLE.replace("[4, 6]", "[4]").replace("[true]", "[true, false]").replace("[0.0, 1.0]", "[0.0, 0.5, 1.0]")
    text = text.replace('["plain"]', '["plain", "cold neck"]').replace('["waited"]', '["waited", "settled"]')
    path.write_text(text)
    plan = load_study(path)
    results = tuple(
        SettingResult(setting, plan.runs, 0.0125 * (k % 3), 12.5 + k, 812.5 + 3 * k, 700.5 + k, 0.9375 + k / 1e4,
                      2012.5 + k, math.nan if k % 2 else 0.375, 1800.0 + 60 * k, 640.5 + k)
        for k, setting in enumerate(plan.settings())
    )  # fmt: skip
    gains = tuple(
        Gain(
            factor, choice, 1.0 - 0.125 * k, math.nan if factor == "mishaps" else 1.0 + 0.25 * k, 712.5, 0.9475, 1830.0
        )
        for factor in ("plateaus", "span", "wait", "take", "return_point", "sensors", "physics", "mishaps")
        for k, choice in enumerate(getattr(plan.vary, factor))
    )
    mishaps = tuple(
        MishapResult(name, 12_000 + k, -112.5 - k, 912.5 + k, 0.875, 0.125) for k, name in enumerate(MISHAPS)
    )
    return StudyOutcome(plan, results, gains, mishaps)


def test_no_text_of_the_page_stays_behind(outcome, monkeypatch):
    words = {sentence: marked(sentence) for sentence in page_texts()}
    words |= {liquid.name: marked(liquid.name) for liquid in list_liquids()}
    monkeypatch.setitem(language.LANGUAGES, "de", Language("de", words, ","))
    found = Texts(study_page(outcome, "de"))
    assert found.language == "de"
    assert left_over(found.parts, {outcome.plan.title, "usual", "good"}) == set()


def test_german_numbers_are_the_english_ones_with_a_comma(outcome):
    english, german = (numbers(Texts(study_page(outcome, code)).parts) for code in ("en", "de"))
    assert {number for number in german if "." in number} <= {VERSION}
    assert [n.replace(",", ".") for n in german] == [n.replace(",", ".") for n in english]


def test_the_page_says_in_german_what_was_compared(outcome):
    said = " ".join(Texts(study_page(outcome, "de")).parts)
    assert f"simulierte Läufe mit n-Heptan, 400 für jede von {len(outcome.results)} Kombinationen" in said
    assert "Physik: kalter Hals" in said
    assert "Pannen: 0,5-mal so oft" in said
    assert "\N{MINUS SIGN}12\N{NO-BREAK SPACE}%" in said, "one eighth less"
    assert "der Kolben wird nicht zurückgezogen (5\N{NO-BREAK SPACE}%)" in said
    assert "ist auf ±1,1 % bekannt" in said


def test_every_physics_of_the_simulator_has_a_name():
    assert set(PHYSICS) == set(KINDS)


def test_another_language_is_refused(outcome):
    with pytest.raises(ReportError, match="expected en or de"):
        study_page(outcome, "tlh")


def test_the_command_writes_the_page_in_the_language_asked_for(tmp_path, capsys):
    plan = tmp_path / "study.toml"
    plan.write_text('title = "Wie lange"\nruns = 20\n[vary]\nplateaus = [3]\nwait = ["2 min", "5 min"]\n')
    command = ["study", str(plan), "--out", str(tmp_path / "out"), "--workers", "0"]
    assert main([*command, "--language", "de", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Wie lange"
    page = (tmp_path / "out" / "study.html").read_text(encoding="utf-8")
    assert '<html lang="de">' in page
    assert "Wartezeit: 5\N{NO-BREAK SPACE}min" in page
    assert main(command) == 0
    assert "wait 5\N{NO-BREAK SPACE}min: error" in capsys.readouterr().out, "what the command prints stays English"
