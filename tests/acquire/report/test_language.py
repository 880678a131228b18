"""Pages in another language: nothing stays behind, numbers are written as it writes them, English stays as it was."""

from __future__ import annotations

import html
import re
import string
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from matplotlib.text import Text

from acquire.commands import report as command
from acquire.finding_words import LANGUAGES as SENTENCES
from acquire.plan import RunPlan
from acquire.report import export, language, marker, page, svg, text, worksheet
from acquire.report.compare_page import compare_html
from acquire.report.errors import ReportError
from acquire.report.given_words import cited
from acquire.report.inputs import _GROUPS, input_groups
from acquire.report.language import LANGUAGES, Language, spoken, tr
from acquire.report.page import report_html
from acquire.report.worksheet import worksheet_html
from acquire.review.journal_view import journal_lines
from analysis.liquids import list_liquids
from sim.mishaps import BEGIN
from tests.acquire.report.page_texts import page_texts

OTHERS = [code for code in LANGUAGES if code != "en"]
THIN, NB = text.THIN, text.SPACE


def places(sentence: str) -> list[str]:
    return sorted(name for _, name, _, _ in string.Formatter().parse(sentence) if name is not None)


def marks(sentence: str) -> list[str]:
    """Opening and closing marks of HTML in a sentence."""
    return sorted(re.findall(r"<[^>]+>", sentence))


def test_the_choices_of_the_command_are_the_languages_there_are():
    assert set(command.LANGUAGES) == set(LANGUAGES)


@pytest.mark.parametrize("code", OTHERS)
def test_every_text_of_a_page_is_translated_and_no_translation_is_left_over(code):
    liquids = {liquid.name for liquid in list_liquids()} | {"unknown"}
    assert set(LANGUAGES[code].words) - liquids == set(page_texts()) - liquids


@pytest.mark.parametrize("code", OTHERS)
def test_a_translation_fills_in_the_same_places_and_has_the_same_marks(code):
    words = LANGUAGES[code].words
    assert [t for t, word in words.items() if places(t) != places(word)] == []
    assert [t for t, word in words.items() if t.count("{{") != word.count("{{")] == []
    # The subscript of a symbol is a word of the language; all else in angle brackets is the page's.
    assert [t for t, word in words.items() if marks(t) != marks(word)] == []


@pytest.mark.parametrize("code", OTHERS)
def test_no_translation_has_a_decimal_number_of_the_other_kind(code):
    assert [word for word in LANGUAGES[code].words.values() if re.search(r"\d\.\d", word)] == []


def test_every_mishap_of_the_simulator_has_a_name():
    assert {name.replace("_", " ") for name in BEGIN} <= set(page_texts())


def test_an_unknown_language_is_refused_with_those_there_are():
    with pytest.raises(ReportError, match="language is 'tlh'; expected en or de"), spoken("tlh"):
        pass


def test_the_language_ends_with_the_page_also_when_the_page_fails():
    def broken():
        with spoken("de"):
            raise RuntimeError(tr("yes"))

    with pytest.raises(RuntimeError, match="ja"):
        broken()
    assert tr("yes") == "yes"


# SI brochure, 9th edition, 5.4.4: "numbers may be divided in groups of three"; "when there are only four digits before
# or after the decimal marker, it is customary not to use a space to isolate a single digit".  Its own example in 5.4.4
# (from memory): 43 279.168 29, and 3279.1683.
@pytest.mark.parametrize(
    ("number", "english", "german"),
    [
        ("43279.16829", f"43{THIN}279.168{THIN}29", f"43{THIN}279,168{THIN}29"),
        ("3279.1683", "3279.1683", "3279,1683"),
        ("-0.5", "−0.5", "−0,5"),
        ("12600", f"12{THIN}600", f"12{THIN}600"),
        ("1234567", f"1{THIN}234{THIN}567", f"1{THIN}234{THIN}567"),
        ("1.5e-07", f"1.5{NB}×{NB}10⁻⁷", f"1,5{NB}×{NB}10⁻⁷"),
        ("36.57 ± 0.41", f"36.57{NB}±{NB}0.41", f"36,57{NB}±{NB}0,41"),
    ],
)
def test_digits_are_grouped_and_the_decimal_mark_is_that_of_the_language(number, english, german):
    assert text.typeset(number) == english
    with spoken("de"):
        assert text.typeset(number) == german


def test_values_intervals_and_shares_have_the_comma():
    with spoken("de"):
        assert text.quantity(36571.0, 410.0, "kJ/mol") == f"(36,57{NB}±{NB}0,41){NB}kJ/mol"
        assert text.interval(35290.0, 37140.0, "kJ/mol") == f"35,29 bis 37,14{NB}kJ/mol"
        assert text.uncertainty_only(0.031, "K") == "0,031"
        assert text.stretch(187.0, 2520.0) == f"3:07{NB}bis{NB}42:00"


class _Said(HTMLParser):
    """What a page says: its text outside figures and style, and the names of its parts."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self._closed = 0
        self.language = ""

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.language = found.get("lang", self.language) if tag == "html" else self.language
        self.parts += [value for name, value in attrs if name in ("aria-label", "alt", "title") and value]
        self._closed += tag in ("style", "svg")

    def handle_endtag(self, tag):
        self._closed -= tag in ("style", "svg")

    def handle_data(self, data):
        if not self._closed:
            self.parts.append(data)


def said_by(text_of_page: str) -> _Said:
    reader = _Said()
    reader.feed(text_of_page)
    return reader


MARK = "\u0332"  # a line under the letter before it


def marked(sentence: str) -> str:
    """Every letter of a text with a mark after it; places, marks of HTML and entities stay."""
    kept = re.compile(r"(<[^>]*>|&\w+;|\{\{\d\}\}|\{\d\})")
    return "".join(p if kept.fullmatch(p) else re.sub(r"([^\W\d_])", rf"\1{MARK}", p) for p in kept.split(sentence))


#: Same in every language: symbols, units, and what a person or a device gave.
SAME = {
    "satline", "kPa", "Pa", "mK", "kJ", "mol", "mL", "min", "ln", "vap", "verify", "chemicals", "CoolProp", "Heptane",
    "bench", "HDF5",
}  # fmt: skip


@pytest.fixture
def _undrawn(monkeypatch):
    """Figures with their description and without their lines, which take most of the time."""

    def bare(figure, *, name, label):
        return f'<svg role="img" aria-label="{html.escape(label, quote=True)}"></svg>'

    monkeypatch.setattr(page, "inline_svg", bare)
    monkeypatch.setattr(worksheet, "inline_svg", bare)


@pytest.fixture
def _marked(monkeypatch, _undrawn):
    """A language made for this test: every text out of a table carries marks, so what has none was never looked up."""
    words = {sentence: marked(sentence) for sentence in page_texts()}
    words |= {liquid.name: marked(liquid.name) for liquid in list_liquids()}
    words |= {name: marked(name) for name in set(SENTENCES["de"].names.values()) | set(SENTENCES["de"].names)}
    monkeypatch.setitem(language.LANGUAGES, "de", Language("de", words, ","))
    names = {name: marked(name) for name in SENTENCES["de"].names}
    monkeypatch.setitem(SENTENCES, "de", replace(SENTENCES["de"], names=names))


def left_over(parts, given) -> set[str]:
    found = set()
    for part in parts:
        bare = re.sub(r"\b[0-9a-f]{64}\b", " ", html.unescape(part))  # hashes
        for data in sorted(given, key=len, reverse=True):
            bare = bare.replace(data, " ")
        plain = re.sub(rf"[^\W\d_]{MARK}", "", bare)
        if [word for word in re.findall(r"[^\W\d_]{2,}", plain) if word not in SAME]:
            found.add(part)
    return found


def given_by(record) -> set[str]:
    """What people and devices gave, which every language shows as it is."""
    given = {record.title, record.program, record.path, *record.versions, *record.versions.values()}
    given |= {*record.devices, *record.devices.values()}
    given |= {str(v) for e in record.journal for v in e.data.values() if isinstance(v, str)}
    given |= {e.text[:1].upper() + e.text[1:] for e in record.journal if e.kind == "device"}
    given |= {p.reason for p in record.points}
    for fit in record.results:
        method = fit.get("method") or {}
        given |= {str(method.get(name) or "") for name in ("dz_source", "measure_better_first")}
        given |= {found[part] for found in fit["findings"] for part in ("text", "advice")}
        # The invented run has inputs of its own; the names of the real ones stand with the sentences of findings.
        given |= {row["source"] for row in fit["budget"]} | set(method.get("pulls") or {})
    given |= {str(value) for value in (record.truth or {}).values() if isinstance(value, str)}
    given |= {liquid.enthalpy_vap.source for liquid in list_liquids() if liquid.enthalpy_vap is not None}
    given |= {record.plan.get(name) or "" for name in ("title", "operator", "bench", "notes")}
    return {data for data in given if len(data) > 1}


@pytest.mark.usefixtures("_marked")
def test_no_text_of_the_report_stays_behind(example_run):
    said = said_by(report_html(example_run, "de"))
    assert said.language == "de"
    assert left_over(said.parts, given_by(example_run)) == set()


@pytest.mark.usefixtures("_marked")
@pytest.mark.parametrize("filled", [False, True])
def test_no_text_of_the_worksheet_stays_behind(example_run, filled):
    said = said_by(worksheet_html(example_run, filled=filled, language="de"))
    assert said.language == "de"
    assert left_over(said.parts, given_by(example_run)) == set()


@pytest.mark.usefixtures("_marked")
def test_no_text_of_the_comparison_stays_behind(example_run):
    second = replace(example_run, title="Run two")
    said = said_by(compare_html([example_run, second], "de"))
    assert left_over(said.parts, given_by(example_run) | {"Run two"}) == set()


@pytest.mark.usefixtures("_marked")
def test_no_text_of_the_markers_page_stays_behind(example_run):
    with spoken("de"):
        row = marker.marker_row(example_run, file="one.h5", href="one.html", integrity="intact")
        said = said_by(marker.marker_html([row], "folder"))
    assert left_over(said.parts, given_by(example_run) | {"one.h5", "folder"}) == set()


@pytest.mark.usefixtures("_marked")
def test_no_word_of_a_figure_stays_behind_and_its_numbers_have_the_comma(example_run):
    with spoken("de"):
        for draw in export.figures_of(example_run).values():
            figure = draw()
            svg.figure_bytes(figure, "svg")
            seen = [item.get_text() for item in figure.findobj(Text) if item.get_text()]
            assert left_over(seen, given_by(example_run)) == set()
            assert [words for words in seen if re.search(r"\d\.\d", words)] == []


@pytest.mark.usefixtures("_undrawn")
def test_a_page_in_german_has_no_number_with_a_point(example_run):
    with spoken("de"):  # versions of programs keep their points
        given = {cited(data) for data in given_by(example_run)}
    for one in (report_html(example_run, "de"), worksheet_html(example_run, filled=True, language="de")):
        for part in said_by(one).parts:
            for data in sorted(given, key=len, reverse=True):
                part = part.replace(data, " ")
            assert not re.search(r"\d\.\d", part), part


@pytest.mark.usefixtures("_undrawn")
def test_numbers_are_the_same_in_every_language_but_for_the_mark(example_run):
    """Only how a number is written changes, never a digit."""

    def numbers(code):
        parts = " ".join(said_by(report_html(example_run, code)).parts)
        return sorted(re.findall(r"\d+(?:[.,]\d+)?", parts.replace(THIN, "")))

    english, german = numbers("en"), [number.replace(",", ".") for number in numbers("de")]
    assert sorted(english) == sorted(german)


def test_the_journal_of_a_run_is_told_in_german_and_a_persons_words_stay(example_run):
    with spoken("de"):
        lines = {line.what for line in journal_lines(example_run.journal)}
    assert {"Lauf begonnen", "Ventil geschlossen", "Punkt 1 genommen"} <= lines


def test_pressures_of_the_plan_are_shown_as_pressures():
    """The unit that a row is shown in is of the kind that the plan holds, told by what a plan accepts for it."""
    plan = RunPlan(title="t", liquid="n-heptane").model_dump(mode="json")
    rows = {row.label: row.value for group in input_groups(plan) for row in group.rows}
    assert rows["Pressure sensor, bend over its range"] == f"0.1{NB}kPa"
    shares = {f.path for _, fields in _GROUPS for f in fields if f.unit == "%"}
    assert all(0.0 <= (value_at(plan, path) or 0.0) <= 1.0 for path in shares)


def value_at(plan, path):
    for name in path.split("."):
        plan = plan[name]
    return plan
