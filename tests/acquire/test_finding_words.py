"""The sentences of findings: every finding has them in every language, with the facts it brings, in people's units."""

from __future__ import annotations

import ast
import json
import pickle
import re
import string
from collections.abc import Iterator
from pathlib import Path

import pytest

import analysis
from acquire.finding_words import (
    LANGUAGES,
    better_first_words,
    error_words,
    finding_words,
    refusal_facts,
    refusal_words,
    told_refusal,
    with_words,
)
from analysis.budget import OUT_OF_REACH
from analysis.findings import Finding
from analysis.fit_input import check_points
from analysis.refusal import FitRefused
from drivers.units import UNITS

LEAK = Finding("leak", "refuse", 3.1, 2.2, "alone", {"time": 9.5 * 3600.0}, -1400.0, 0.01)
OUTLIER = Finding("outlier-point", "doubt", 4.0, 2.9, "below", {"point": "3", "temperature": 303.15, "size": 612.0})


def made_findings() -> Iterator[tuple[str, str, ast.Call]]:
    """Module, code and call of every `Finding(...)` with a literal code in analysis."""
    for path in sorted(Path(analysis.__file__).parent.glob("findings_*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("Finding", "_finding"):
                code = node.args[0]
                if isinstance(code, ast.Constant):
                    yield path.name, str(code.value), node


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


def entries(language: str) -> Iterator[tuple[str, str, str]]:
    for code, variants in LANGUAGES[language].findings.items():
        for variant, words in variants.items():
            for words_of_one in words:
                yield code, variant, words_of_one


def test_every_code_that_analysis_makes_has_words():
    codes = {code for _, code, _ in made_findings()}
    assert len(codes) > 20
    assert codes <= set(LANGUAGES["en"].findings)


def made_refusals() -> Iterator[tuple[str, ast.Call]]:
    """Code and call of every `FitRefused(...)` in analysis."""
    for path in sorted(Path(analysis.__file__).parent.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and getattr(node.func, "id", "") == "FitRefused"
                and isinstance(node.args[0], ast.Constant)
            ):
                yield str(node.args[0].value), node


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_every_refusal_that_analysis_makes_has_words_for_just_the_facts_it_brings(language):
    table, seen = LANGUAGES[language].refusals, set()
    for code, call in made_refusals():
        seen.add(code)
        brought = {keyword.arg for keyword in call.keywords}
        for variant, words in table[code].items():
            assert places("".join(words)) <= brought, f"{code} {variant}: {brought}"
            variants = [a.value for a in call.args[1:2] if isinstance(a, ast.Constant)]
            assert all(v in table[code] for v in variants), f"{code}: {variants}"
    assert len(seen) > 20
    assert seen == set(table)


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_a_refusal_names_units_of_the_table_and_ends_in_a_sentence(language):
    for code, variants in LANGUAGES[language].refusals.items():
        assert set(variants) == set(LANGUAGES["en"].refusals[code])
        for found, expected, way_out in variants.values():
            assert way_out.endswith(".")
            assert found
            assert expected
            assert found[-1] not in ".,"
            for _, name, place, _ in string.Formatter().parse(found + expected + way_out):
                if name is not None and place:
                    assert re.split(r"[.~#]", place.lstrip("+"))[0] in UNITS, f"{code}: {place}"


def test_a_refusal_says_found_expected_and_the_way_out_in_both_languages():
    refused = FitRefused("point-outside", "temperature", point="3 (warm)", value=30.0, low=200.0, high=600.0)
    assert error_words(refused) == (
        "the temperature of point 3 (warm) is 30\u00a0K; expected 200\u00a0K to 600\u00a0K. "
        "Check the unit, or set that point aside."
    )
    assert error_words(refused, "de").startswith("die Temperatur von Punkt 3 (warm) ist 30\u00a0K; erwartet: 200")
    lost = FitRefused("point-outside", "pressure", point="2", value=float("nan"), low=1.0, high=2e6)
    assert error_words(lost).startswith("the pressure of point 2 is not a number; expected 1\u00a0Pa to 2e+06\u00a0Pa.")
    assert "ist keine Zahl" in error_words(lost, "de")
    assert error_words(ValueError("as it is")) == "as it is"


def test_a_refusal_that_was_kept_as_plain_data_is_told_in_any_language():
    refused = FitRefused("point-outside", "temperature", point="3", value=30.0, low=200.0, high=600.0)
    kept = json.loads(json.dumps(refusal_facts(refused)))
    for spoken in LANGUAGES:
        assert told_refusal(kept, spoken) == error_words(refused, spoken)
    assert refusal_facts(ValueError("no facts")) is None
    for nothing in (None, {}, "a sentence", {"code": "unheard of", "facts": {}}):
        assert told_refusal(nothing) == ""


def test_a_refusal_stays_what_it_is_in_another_process():
    with pytest.raises(FitRefused) as refused:
        check_points([])
    again = pickle.loads(pickle.dumps(refused.value))
    assert (again.code, again.variant, again.facts) == ("too-few-points", "some", {"used": 0, "aside": 0, "least": 3})
    assert error_words(again).startswith("0 usable points; expected at least 3.")


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_what_to_measure_better_has_words_for_every_source(language):
    spoken = LANGUAGES[language]
    assert set(spoken.remedies) == set(LANGUAGES["en"].remedies)
    assert not set(spoken.remedies) & set(OUT_OF_REACH)
    for source, how in spoken.remedies.items():
        said = better_first_words({"source": source, "times": 4.0, "gain": 0.253}, language)
        assert said.startswith(f"{spoken.names.get(source, source)}: {how}. ")
        assert "25\u00a0%" in said
    assert "half" in better_first_words({"source": "readings, noise", "times": 2.0, "gain": 0.2})
    assert better_first_words(None).startswith("Nothing at the bench")
    worded = with_words({"method": {"better_first": {"source": "plunger", "times": 4.0, "gain": 0.1}}}, language)
    assert worded["method"]["measure_better_first"].startswith(spoken.names.get("plunger", "plunger"))


def test_analysis_itself_writes_no_unit_for_display():
    """SI only: no degree sign, no kPa, no kJ in any string of a module that makes findings or refuses a fit."""
    folder = Path(analysis.__file__).parent
    refusing = ("fit_input", "map_fit", "planning", "budget", "antoine", "line_fit", "least_squares", "trace_fit")
    for path in (*sorted(folder.glob("findings*.py")), *(folder / f"{name}.py" for name in refusing)):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.JoinedStr):
                said = ast.unparse(node)
                assert not re.search(r"°|kPa|kJ|mL|min\b", said), f"{path.name}: {said}"


@pytest.mark.parametrize("language", [name for name in LANGUAGES if name != "en"])
def test_a_language_has_the_same_entries_and_tells_the_same_facts(language):
    english, other = LANGUAGES["en"].findings, LANGUAGES[language].findings
    assert {c: set(v) for c, v in other.items()} == {c: set(v) for c, v in english.items()}
    different = [
        (code, variant)
        for code, variants in english.items()
        for variant, words in variants.items()
        if places("".join(words)) != places("".join(other[code][variant]))
    ]
    assert different == []


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_every_place_names_a_unit_of_the_table(language):
    for code, variant, text in entries(language):
        for _, name, place, _ in string.Formatter().parse(text):
            if name is not None and place:
                unit = re.split(r"[.~]", place.lstrip("+"))[0]
                assert unit in UNITS, f"{code} {variant}: {place}"


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_texts_are_sentences(language):
    for code, variant, text in entries(language):
        assert text[-1] in ".?", f"{code} {variant}: {text}"
        assert "  " not in text, f"{code} {variant}: {text}"
        assert not re.search(r"\w\{", text), f"{code} {variant}: {text}"


def test_english_has_units_people_read_and_a_real_minus_sign():
    words = finding_words(LEAK.as_dict())
    assert words.text.startswith("The cell loses gas: its over-pressure would fall to a third in 9.5\u00a0h.")
    assert "Tighten the stopper" in words.advice
    text = finding_words(OUTLIER.as_dict()).text
    assert text == "Point 3 at 30.0\u00a0°C lies 0.61\u00a0kPa below the line of the others."
    off = Finding("vapour-not-ideal", "note", None, None, "", {"effect": -512.0, "dz": 0.98765})
    assert "off by \u22120.51\u00a0kJ/mol" in finding_words(off.as_dict()).text


def test_german_has_a_decimal_comma_and_german_names():
    words = finding_words(LEAK.as_dict(), "de")
    assert words.text.startswith("Die Zelle verliert Gas: In 9,5\u00a0h fiele")
    pulled = Finding("input-pulled", "doubt", 4.0, 3.2, "", {"source": "room humidity", "times": 3.14})
    assert "„Luftfeuchte des Raumes“ um das 3,1-Fache" in finding_words(pulled.as_dict(), "de").text


def test_a_language_nobody_wrote_is_english():
    assert finding_words(LEAK.as_dict(), "xx") == finding_words(LEAK.as_dict(), "en")


def test_a_finding_of_an_older_file_keeps_its_own_words():
    old = {"code": "leak", "severity": "doubt", "text": "It leaks.", "advice": "Grease it."}
    assert finding_words(old, "de") == ("It leaks.", "Grease it.")


def test_a_code_nobody_knows_shows_itself():
    assert finding_words({"code": "new-thing", "severity": "note", "facts": {}}).text == "new-thing"


def test_a_fact_without_a_number_is_shown_as_unknown():
    lost = Finding("leak", "doubt", 3.0, 2.0, "alone", {"time": float("nan")})
    assert "in ?." in finding_words(lost.as_dict()).text


@pytest.mark.parametrize(("seconds", "shown"), [(333.0, "0.092"), (3600.0, "1.0"), (36e3, "10"), (720e3, "200")])
def test_significant_digits_follow_the_size(seconds, shown):
    found = Finding("leak", "doubt", 3.0, 2.0, "returned", {"time": seconds})
    assert f"in {shown}\u00a0h." in finding_words(found.as_dict()).text


def test_the_document_gets_the_promised_words_and_stays_plain_json():
    document = {"findings": [LEAK.as_dict(), OUTLIER.as_dict()], "method": {"interval_refused": ["leak"], "name": "x"}}
    worded = with_words(document)
    assert {"code", "severity", "statistic", "threshold", "text", "advice", "effect"} <= set(worded["findings"][0])
    assert worded["method"]["interval_refused"] == worded["findings"][0]["text"]
    assert worded["method"]["name"] == "x"
    again = json.loads(json.dumps(worded, allow_nan=False))
    assert finding_words(again["findings"][1], "de").text.startswith("Punkt 3 bei 30,0")
    assert with_words({"findings": []})["method"]["interval_refused"] is None


def test_the_reason_of_a_refusal_is_the_findings_that_refuse():
    assert refusal_words((LEAK, OUTLIER)) == finding_words(LEAK.as_dict()).text
    assert refusal_words((OUTLIER,)) == refusal_words(()) == ""


def test_names_of_inputs_in_german_are_names_the_fit_uses():
    from acquire.advice_words import REMEDIES_EN as REMEDIES

    unknown = set(LANGUAGES["de"].names) - set(REMEDIES) - {"leak", *OUT_OF_REACH} - set(LANGUAGES["en"].names)
    assert unknown == set()
