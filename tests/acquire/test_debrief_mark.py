"""School mark of a rehearsal: none without a scale, by weights and shares with one, and why."""

from __future__ import annotations

import pytest

from acquire.debrief_mark import mark_of
from acquire.plan import Mark, RunPlan
from acquire.report.debrief_content import mark_table
from drivers.tomlfile import TomlError, load_model

SCALE = """
[mark]
names = ["1", "2", "3", "4"]
least = ["90 %", 0.75, "50 %"]
patience = "2 min"
"""


@pytest.fixture
def scale() -> Mark:
    mark = load_model(SCALE, RunPlan, name="run plan").mark
    assert mark is not None
    return mark


def debriefed(*, early=0, points=4, reactions=(True,), interval=(36_000.0, 37_000.0), waiting=0.0):
    return {
        "points": [{}] * points,
        "early": early,
        "mishaps": [
            {"began": 10.0, "visible_from": 20.0, "person": {"time": 30.0, "text": "x"} if seen else None}
            for seen in reactions
        ],
        "result": {"interval_95": interval} if interval else None,
        "truth": {"enthalpy_vap": 36_600.0},
        "waiting": waiting,
    }


def test_without_a_scale_there_is_no_mark():
    assert RunPlan().mark is None
    assert mark_of(debriefed(), None) is None
    assert mark_table({"mark": None}) == ()


def test_everything_right_is_the_best_mark(scale):
    mark = mark_of(debriefed(), scale)
    assert (mark["mark"], mark["share"]) == ("1", 1.0)


@pytest.mark.parametrize(
    ("changes", "got"),
    [
        ({"early": 1}, 4 * 0.75 + 3 + 2 + 1),
        ({"reactions": (True, False, False)}, 4 + 1 + 2 + 1),
        ({"interval": (35_000.0, 36_000.0)}, 4 + 3 + 0 + 1),
        ({"interval": None}, 4 + 3 + 0 + 1),
        ({"waiting": 4 * 120.0}, 10),  # the patience costs nothing
        ({"waiting": 4 * 240.0}, 9.5),
        ({"waiting": 4 * 900.0}, 9),
    ],
)
def test_each_part_counts_by_its_weight(scale, changes, got):
    assert mark_of(debriefed(**changes), scale)["share"] == pytest.approx(got / 10)


def test_a_mishap_that_nobody_could_see_does_not_count(scale):
    data = debriefed(reactions=(False,))
    data["mishaps"][0]["visible_from"] = None
    mark = mark_of(data, scale)
    assert [reason["what"] for reason in mark["reasons"]] == ["points in time", "result", "no time lost"]
    assert mark["share"] == 1.0


@pytest.mark.parametrize(("early", "name"), [(0, "1"), (1, "1"), (2, "2"), (4, "3")])
def test_the_mark_is_the_best_whose_share_is_reached(scale, early, name):
    assert mark_of(debriefed(early=early), scale)["mark"] == name


def test_nothing_done_is_the_last_mark(scale):
    assert mark_of(debriefed(points=0, reactions=(False,), interval=None), scale)["mark"] == "4"


def test_the_reasons_are_told(scale):
    (table,) = mark_table({"mark": mark_of(debriefed(early=1, reactions=(True, False)), scale)})
    assert table.heading == "Mark: 2"
    assert table.rows[0] == ("points in time", "3.0 of 4", "3 of 4 were not taken too early")
    assert table.rows[1] == ("mishaps", "1.5 of 3", "a reaction followed 1 of 2 that could be seen")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ('least = ["90 %", 0.75, "50 %"]', "least to hold 3 falling shares, one for each name but the last; found 2"),
        ('patience = "2 min"', "patience above 0 s"),
    ],
)
def test_a_scale_that_is_none_is_refused(wrong, said):
    other = {"least": 'least = ["90 %", 0.75]', "patience": 'patience = "0 s"'}[wrong.partition(" ")[0]]
    with pytest.raises(TomlError, match=said):
        load_model(SCALE.replace(wrong, other), RunPlan, name="run plan")


def test_the_reasons_of_a_mark_can_be_said_in_another_language(scale):
    for reason in mark_of(debriefed(early=1, waiting=900.0), scale)["reasons"]:
        assert reason["sentence"].format(*reason["facts"]) == reason["why"]
