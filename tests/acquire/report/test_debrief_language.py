"""The debrief in another language: each sentence, head and cell is looked up, numbers are written as it writes them."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from acquire.debrief_mark import mark_of
from acquire.plan import Mark
from acquire.report.debrief_content import debrief_content
from acquire.report.debrief_lessons import LESSONS
from acquire.report.debrief_page import debrief_html
from acquire.report.debrief_words import AIMS, MISHAPS, TITLES
from acquire.report.language import spoken
from sim.mishap_records import mishap_classes
from sim.scenario import list_scenarios

POINT = {"time": 400.0, "bath": 298.15, "pair_error": -0.053, "lag_error": -0.04, "left_of_step": 0.012, "waited": 31.0}
RESULT = {"value": 36_500.0, "standard_uncertainty": 200.0, "interval_95": [36_100.0, 36_900.0]}
NONE = {"value": 36_500.0, "standard_uncertainty": None, "interval_95": None}


def mishap(words: str, began: float | None, visible: float | None, person: float | None) -> dict:
    told = None if person is None else {"time": person, "text": "Zelle tropft"}
    return {"words": words, "began": began, "visible_from": visible, "person": told, "program": None}


def debriefed(**changes) -> dict:
    data = {
        "truth": {"scenario": "a", "seed": 3, "enthalpy_vap": 36_585.0},
        "points": [POINT | {"early": True}, POINT | {"early": False, "time": 800.0, "bath": 302.2}],
        "numbers": [1, 2],
        "taken_by": ["person", "program"],
        "result": RESULT,
        "program": {"result": NONE, "truth": [POINT | {"early": False, "time": 500.0}]},
        "aims": list(AIMS),
        "early": 1,
        "waiting": 62.0,
        "costs": {"lag": 0.012, "haste": -0.034},
        "mishaps": [
            mishap(MISHAPS[0], 10.0, 20.0, None),
            mishap(MISHAPS[1], 10.0, 20.0, 44.0),
            mishap(MISHAPS[2], 10.0, None, None),
            mishap(MISHAPS[3], None, None, None),
        ],
    } | changes  # fmt: skip
    return data | {"mark": mark_of(data, Mark(names=("gut", "noch nicht"), least=(0.6,)))}


STORED = {
    "name": "lauf.h5", "result": None, "true_value": None, "scale": True,
    "points": {
        whose: [{"temperature": 298.15, "pressure": 105_123.0, "start": 1.0, "end": 60.0, "taken_by": "person"}] * n
        for n, whose in enumerate(("you", "stored run", "program"))
    },
}  # fmt: skip
KINDS = {
    "rehearsed": debriefed(),
    "nothing taken": debriefed(points=[], numbers=[], taken_by=[], early=0, costs=None, mishaps=[], result=None),
    "in time": debriefed(early=0, result=RESULT | {"interval_95": [37_000.0, 37_500.0]}),
    "a simulated run again": debriefed(recorded=STORED | {"true_value": 36_585.0}),
    "a real run again": {"result": RESULT, "program": {"result": None}, "recorded": STORED, "mark": None},
}  # fmt: skip


def said(content) -> list[str]:
    cells = [cell for table in content.tables for row in (table.headers, *table.rows) for cell in row]
    heads = [text for table in content.tables for text in (table.heading, table.empty, table.note)]
    results = [part for row in content.results for part in row]
    return [content.title, content.subtitle, content.banner, *content.aims, *content.lines, *results, *heads, *cells]


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_nothing_of_a_debrief_stays_english(example_run, kind):
    # Findings of the invented run have words only, no facts: they would stay as they are.
    record = replace(example_run, title=TITLES[0], results=(), truth={"debrief": KINDS[kind]})
    english = said(debrief_content(record))
    with spoken("de"):
        german = said(debrief_content(record))
        page = debrief_html(record)
    assert len(german) == len(english)
    same = {a for a, b in zip(english, german, strict=True) if a == b and re.search(r"[^\W\d_]{3,}", a)}
    assert same <= {"Zelle tropft", "gut"} | {text for text in english if "Zelle tropft" in text}
    assert not [text for text in german if re.search(r"\d\.\d", text)]
    assert 'lang="de"' in page


def test_what_went_wrong_comes_first_and_each_mishap_that_happened_teaches(example_run):
    content = debrief_content(replace(example_run, truth={"debrief": debriefed()}))
    assert content.lines[0] == (
        "What went wrong: the cell leaks (to be seen from 0:20); the stopper lifts (to be seen from 0:20); "
        "air went in with the liquid (never to be seen in these readings)."
    )
    heads = [table.heading for table in content.tables]
    assert heads.index("Mishaps") < heads.index("What to learn from it") < heads.index("Your points against the truth")
    (lessons,) = [table.rows for table in content.tables if table.heading == "What to learn from it"]
    assert [row[0] for row in lessons] == list(MISHAPS[:3]), "the fourth did not happen"
    assert all(len(set(row)) == 3 for row in lessons)
    (found,) = [table.rows for table in content.tables if table.heading == "What the fit says of your points"]
    assert [row[0] for row in found] == ["▲ The bath fell by 0.6 K per hour during the hottest plateau."]


def test_a_scenario_without_mishaps_has_nothing_to_learn_from(example_run):
    quiet = replace(example_run, results=(), truth={"debrief": debriefed(mishaps=[])})
    content = debrief_content(quiet)
    assert "Nothing went wrong in this scenario." in content.lines
    assert not {"What to learn from it", "What the fit says of your points"} & {t.heading for t in content.tables}


def test_a_sign_of_the_device_is_told_without_its_bytes(example_run):
    heard = {"time": 61.0, "text": "1 unreadable frame from device, last b'$SA'; check cable", "event": "rejected"}
    noisy = mishap(MISHAPS[17], 60.0, 60.0, None) | {"program": heard}
    content = debrief_content(replace(example_run, truth={"debrief": debriefed(mishaps=[noisy])}))
    assert content.mishaps[0].program == "1:01: unreadable lines from the device"


def test_nothing_is_said_to_be_minus_zero(example_run):
    data = debriefed(
        costs={"lag": -0.0004, "haste": 0.0004}, points=[POINT | {"early": False, "pair_error": -0.001}] * 2
    )
    content = debrief_content(replace(example_run, truth={"debrief": data}))
    assert "by +0.0\u00a0%, haste by +0.0\u00a0%" in " ".join(content.lines)
    assert content.points[0].off == "+0.00\u00a0K"


def test_there_is_a_lesson_for_every_mishap():
    assert set(LESSONS) == set(MISHAPS)


def test_every_mishap_title_and_aim_that_is_shipped_can_be_translated():
    assert {one.words for one in mishap_classes()} == set(MISHAPS)
    scenarios = list_scenarios()
    assert {scenario.title for scenario in scenarios} == set(TITLES)
    assert {aim for scenario in scenarios for aim in scenario.aims} == set(AIMS)
