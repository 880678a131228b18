"""The page of many runs says what the pooled report says, number by number."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from html import unescape

import pytest

from acquire.finding_words_en import FINDINGS_EN
from acquire.pool.campaign import Progress
from acquire.pool.columns import in_columns
from acquire.pool.outcome import PoolOutcome, pooled
from acquire.pool.page import pool_page
from acquire.pool.words import ADVICE, FINDINGS
from acquire.window.language import load_language, use_language
from acquire.window.pool_state import day, pool_state, progress_words, run_cells
from acquire.window.pool_words import why_words
from acquire.window.quantities import MINUS
from analysis.liquids import load_liquid
from analysis.pooling.benches import ADVICE as REPORTED_ADVICE
from analysis.pooling.benches import _text
from tests.acquire.pool.made import summaries
from tests.analysis.pooling.campaigns import Fault


@pytest.fixture(scope="module")
def campaign():
    return summaries(4, benches=8, runs=3, faults={2: Fault(leak_rate=1 / 2e4)})


@pytest.fixture(scope="module")
def outcome(campaign) -> PoolOutcome:
    return pooled(lambda: in_columns(campaign), liquid=load_liquid("n-heptane"), air="sealed", simulated=False)


@pytest.fixture(scope="module")
def page(outcome) -> str:
    return unescape(re.sub(r"<[^>]*>", "", pool_page(outcome)))


def test_every_number_of_the_page_stands_in_the_report(outcome, page):
    state = pool_state(outcome)
    words = [state.consensus, state.interval, state.prediction, state.blind, *(value for _, value in state.compared)]
    words += [value for _, value in state.precision] + [cell for row in state.benches for cell in row[2:10]]
    numbers = [number for text in words for number in re.findall("[\u2212+]?\\d+\\.\\d+", text)]
    assert len(numbers) > 60
    assert [number for number in numbers if number not in page] == []
    for ends, text in (
        (outcome.consensus.interval_95, state.interval),
        (outcome.consensus.prediction_95, state.prediction),
    ):
        assert all(f"{end / 1e3:.2f}" in text for end in ends)


def test_the_leaking_bench_is_named_marked_and_explained(outcome):
    state = pool_state(outcome)
    ((heading, text),) = state.standing_out
    assert heading == "bench 03: a leak"
    assert "loses air" in text
    assert "campaign without any fault" in text
    assert [mark.bench for mark in state.marks if mark.outlying] == ["bench 03"]
    (remarks,) = [row[-1] for row in state.benches if row[0] == "bench 03"]
    assert "a leak" in remarks
    assert state.none_stands_out == ""


def test_benches_rise_in_table_and_picture_alike(outcome):
    state = pool_state(outcome)
    assert [row[0] for row in state.benches] == [mark.bench for mark in state.marks]
    assert [mark.mean for mark in state.marks] == sorted(mark.mean for mark in state.marks)


def test_a_campaign_without_a_fault_says_that_nobody_stands_out():
    runs = summaries(6, benches=5, runs=2)
    state = pool_state(pooled(lambda: in_columns(runs), liquid=load_liquid("n-heptane"), air="sealed", simulated=True))
    assert state.standing_out == ()
    assert state.none_stands_out == "No bench stands out from the others."
    assert "all simulated" in state.facts


@pytest.mark.parametrize(
    ("progress", "words"),
    [
        (None, "Looking through the folder…"),
        (Progress(3, 0, 0, 40, "x"), "3 of 40 files"),
        (Progress(12_000, 9, 2, 40_000, "x"), "12\u202f000 of 40\u202f000 files, 9 known from before, 2 left out"),
    ],
)
def test_progress_in_words(progress, words):
    assert progress_words(progress) == words


def test_a_run_in_the_list_of_its_bench(campaign):
    cells = run_cells(campaign[0])
    assert cells[0] == campaign[0].run
    assert cells[1] == "2023-11-14"  # 1.7e9 s after 1970
    assert cells[2] == f"{campaign[0].value / 1e3:.2f}"


def test_why_a_bench_stands_out_is_told_from_its_scores_as_the_report_tells_it(outcome):
    (found,) = outcome.outlying
    for reason, advice in REPORTED_ADVICE.items():
        other = "n-octane" if reason == "liquid" else ""
        scores = replace(found.scores, room_difference=-512.0, air_error=-0.0123, shift=(0.25, -812.0))
        moved = math.log(1.25)
        one = replace(found, reason=reason, liquid=other, scores=scores)
        assert why_words(one).replace(MINUS, "-") == _text(scores, reason, moved, other)
        assert ADVICE[reason] == advice
        use_language(load_language("de"))
        try:
            assert not set(why_words(one).split()) & {"the", "its", "air", "points", "would"}
        finally:
            use_language(load_language("en"))


def test_findings_have_names_and_no_codes(campaign):
    assert set(FINDINGS) == set(FINDINGS_EN)
    cells = run_cells(replace(campaign[0], findings=("leak", "vapour-not-ideal", "of-tomorrow")))
    assert cells[-1] == "leak, vapour not ideal, of tomorrow"


def test_a_day_that_is_not_known_is_a_dash():
    assert day(math.nan) == "—"


def test_german_has_its_comma(outcome):
    use_language(load_language("de"))
    state = pool_state(outcome)
    assert re.match(r"\(\d+,\d+\s±\s0,\d+\)", state.consensus)
    assert not re.search(r"\d\.\d", state.interval + state.blind + "".join(value for _, value in state.compared))
