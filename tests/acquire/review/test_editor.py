"""Reviewing a run: edits append, are saved with a reason, and the first result stays."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from acquire import acts
from acquire.commands.simulate import simulate
from acquire.replay import Replay, differences
from acquire.report.language import spoken
from acquire.review.editor import EditRefusedError, Review
from acquire.run import ActRefused
from acquire.runfile.editing import append_to_closed
from acquire.runfile.integrity import verify
from acquire.runfile.reader import read_run
from analysis.liquids import load_liquid
from sim.scenario import load_scenario

LIQUID = load_liquid("n-heptane")


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("review") / "run.h5"
    simulate(load_scenario("calm"), 5, path)
    return path


@pytest.fixture
def review(stored: Path) -> Review:
    review = Review(read_run(stored), LIQUID, reviewer="marker")
    while not review.advance(600.0):
        pass
    return review


@pytest.mark.slow
def test_nothing_can_be_edited_before_every_second_was_decided_again(stored: Path) -> None:
    review = Review(read_run(stored), LIQUID)
    review.advance(100.0)
    assert 0.0 < review.progress < 0.2
    with pytest.raises(EditRefusedError, match="still being decided again"):
        review.edit(acts.SET_ASIDE, point=1, reason="too early")


@pytest.mark.slow
def test_why_points_cannot_be_edited_is_told_in_the_language_it_is_asked_in(stored: Path) -> None:
    record = read_run(stored)
    review = Review(replace(record, journal=record.journal[:-1]), LIQUID)
    while not review.advance(600.0):
        pass
    last = len(record.journal) - 1
    assert f"another journal from entry {last} on" in review.why_not_edit
    with spoken("de"):
        assert review.why_not_edit.startswith(f"neues Entscheiden ergibt ab Eintrag {last} ein anderes Journal")
    with pytest.raises(EditRefusedError):
        review.edit(acts.SET_ASIDE, point=1, reason="too early")
    assert not review.changed


@pytest.mark.slow
def test_edits_are_saved_with_reason_and_the_first_result_stays(stored: Path, review: Review, tmp_path: Path) -> None:
    copy = tmp_path / "copy.h5"
    copy.write_bytes(stored.read_bytes())
    before = read_run(copy)
    review.edit(acts.SET_ASIDE, point=2, reason="cell was lifted")
    review.edit(acts.WINDOW, point=3, start=review.points[2].start + 2, end=review.points[2].end, reason="a bump")
    assert review.changed
    written = review.save(
        lambda entries, results: append_to_closed(copy, entries, results, sealed_at="2026-01-02T03:04:05.000+00:00")
    )
    assert written == 6  # act, change, result; twice
    assert not review.changed
    after = read_run(copy)
    assert len(after.results) == len(before.results) + 1
    assert after.results[: len(before.results)] == before.results
    assert after.journal[: len(before.journal)] == before.journal
    assert [p.reason for p in after.points][1:3] == ["cell was lifted", "a bump"]
    assert not after.points[1].used
    assert verify(copy).intact
    assert differences(after, Replay(after, LIQUID).to()) == []


@pytest.mark.slow
def test_a_point_can_be_taken_where_nobody_did_and_one_can_be_split(review: Review) -> None:
    point = review.points[3]
    review.split(point.number, 0.5 * (point.start + point.end), "two levels")
    assert len(review.points) == 8
    assert review.points[3].end == review.points[7].start
    assert review.points[7].branch == "up"
    last = review.points[6]
    review.edit(acts.TAKE, start=last.start - 20.0, end=last.start - 10.0, reason="earlier")
    assert review.points[8].branch == "return"
    review.edit(acts.UNDO)
    assert len(review.points) == 8


@pytest.mark.slow
def test_impossible_edits_are_refused_with_what_is_possible(review: Review) -> None:
    with pytest.raises(ActRefused, match="there is no point 99"):
        review.edit(acts.SET_ASIDE, point=99)
    with pytest.raises(ActRefused, match="the run is closed"):
        review.edit(acts.CHARGED)
    with pytest.raises(EditRefusedError, match="3 s or more on both sides"):
        review.split(1, review.points[0].start + 1.0, "")
    assert not review.changed
