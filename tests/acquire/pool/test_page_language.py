"""The pooled page in German: every text looked up, numbers with a comma, the same numbers as in English."""

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from acquire.pool.columns import in_columns
from acquire.pool.gather import Rooms
from acquire.pool.outcome import pooled
from acquire.pool.page import pool_page, write_pool_page
from acquire.report import language
from acquire.report.errors import ReportError
from acquire.report.language import Language
from acquire.version import VERSION
from analysis.liquids import list_liquids, load_liquid
from tests.acquire.pool.made import summaries
from tests.acquire.report.page_texts import page_texts
from tests.acquire.report.test_language import left_over, marked
from tests.analysis.pooling.campaigns import Fault

#: What no language changes: names of the benches and runs, who tests are named after, what is quoted.
GIVEN = {"n-heptane", "Cochran", "Grubbs", "Mandel", "ISO", "run ", "bench ", "Bench ", "it is broken"}


class Texts(HTMLParser):
    """What the page says, figures and their descriptions too."""

    def __init__(self, page):
        super().__init__()
        self.parts, self.language, self._style = [], "", False
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.language = self.language or found.get("lang", "")
        self.parts += [found[name] for name in ("aria-label", "title") if found.get(name)]
        self._style = tag == "style"

    def handle_endtag(self, tag):
        self._style = False

    def handle_data(self, data):
        if not self._style and data.strip():
            self.parts.append(data)


@pytest.fixture(scope="module")
def runs():
    faults = {1: Fault(leak_rate=1 / 36e3), 3: Fault(barometer=9e3), 5: Fault(liquid="cyclohexane")}
    found = summaries(3, benches=8, runs=9, faults=faults)
    return [*found, found[0].left_out("it is broken")]


@pytest.fixture(scope="module")
def outcome(runs):
    given = {"liquid": load_liquid("n-heptane"), "air": "sealed", "simulated": True, "rooms": Rooms(one_room=True)}
    return pooled(lambda: in_columns(runs), **given)


def test_no_text_of_the_pooled_page_stays_behind(outcome, runs, monkeypatch):
    words = {sentence: marked(sentence) for sentence in page_texts()}
    words |= {liquid.name: marked(liquid.name) for liquid in list_liquids()}
    monkeypatch.setitem(language.LANGUAGES, "de", Language("de", words, ","))
    found = Texts(pool_page(outcome, runs, language="de"))
    assert found.language == "de"
    given = (
        GIVEN
        | {one.name for one in list_liquids()}
        | {one.enthalpy_vap.source for one in list_liquids() if one.enthalpy_vap}
    )
    parts = [part for part in found.parts if part.strip() not in ("u", "z", "h", "k", "s", "E", "L", "R", "n", "r")]
    assert left_over(parts, given) == set()


def numbers(parts):
    return re.findall(r"\d+(?:[.,]\d+)*", re.sub(r"[\u202f\u2011]", "", " ".join(parts)))


def test_german_numbers_are_the_english_ones_with_a_comma(outcome, runs):
    english, german = (numbers(Texts(pool_page(outcome, runs, language=code)).parts) for code in ("en", "de"))
    # versions keep their points
    assert {number for number in german if "." in number} <= set(numbers([VERSION, outcome.reference_source]))
    assert sorted(n.replace(",", ".") for n in german) == sorted(n.replace(",", ".") for n in english)


def test_the_page_says_in_german_what_was_found_and_how(outcome):
    said = " ".join(Texts(pool_page(outcome, language="de")).parts)
    for words in (
        "72 Läufe mit n-Heptan, zusammengefasst",
        "bench 02: ein Leck.",
        "Sie sind im gemeinsamen Wert oben nicht enthalten.",
        "kein Gewicht ist kleiner als null",
        "bleibt ganz in der Unsicherheit des Mittels",
    ):
        assert words in said
    assert re.search(r"95‑%‑Intervall \d\d,\d\d bis \d\d,\d\d kJ/mol", said)


def test_the_page_is_written_in_the_language_asked_for_and_others_are_refused(outcome, tmp_path):
    text = write_pool_page(outcome, tmp_path / "pool.html", language="de").read_text(encoding="utf-8")
    assert '<html lang="de">' in text
    with pytest.raises(ReportError, match="expected en or de"):
        write_pool_page(outcome, tmp_path / "other.html", language="tlh")
    assert not (tmp_path / "other.html").exists()


def test_what_was_left_out_is_quoted_in_its_own_language(outcome):
    assert "<td lang='en'>it is broken</td>" in pool_page(outcome, language="de")
    unknown = replace(outcome, air="from the inputs")
    assert "Luft: from the inputs" in pool_page(unknown, language="de")
