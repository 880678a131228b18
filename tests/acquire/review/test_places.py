"""Every kind of finding has a place in the traces, or is known to have none."""

from __future__ import annotations

import dataclasses

import pytest

from acquire import acts
from acquire.finding_words_en import FINDINGS_EN
from acquire.review.journal_view import act_name
from acquire.review.places import _PLACES, NOWHERE, Place, place_of


def time_of(record, act: str) -> float:
    return next(entry.time for entry in record.journal if act_name(entry) == act)


def test_every_finding_there_is_has_a_place_or_none_on_purpose() -> None:
    placed = {code for code, _ in _PLACES}
    assert placed | NOWHERE == set(FINDINGS_EN)
    assert not placed & NOWHERE


def test_a_leak_is_seen_from_the_charge_until_the_cell_is_opened(recorded) -> None:
    place = place_of({"code": "leak", "variant": "alone", "facts": {"time": 4000.0}}, recorded)
    assert place == Place(time_of(recorded, acts.CHARGED), time_of(recorded, acts.VENTED), (1, 2, 3, 4))


def test_what_the_plunger_did_is_seen_around_the_charge(recorded) -> None:
    charged = time_of(recorded, acts.CHARGED)
    place = place_of({"code": "plunger-not-given", "facts": {}}, recorded)
    assert place == Place(charged - 20.0, charged + 20.0, (), charged)


def test_a_stopper_that_lifts_is_seen_where_the_pressure_fell(recorded) -> None:
    place = place_of({"code": "gas-let-out", "variant": "trace", "facts": {"time": 300.0, "drop": 2000.0}}, recorded)
    assert place == Place(280.0, 320.0, (), 300.0)


def test_pressures_that_fall_while_warming_are_seen_at_their_two_points(recorded) -> None:
    first, second = recorded.points[1:3]
    facts = {"drop": 900.0, "low": first.temperature, "high": second.temperature}
    place = place_of({"code": "gas-let-out", "variant": "points", "facts": facts}, recorded)
    assert place == Place(first.start, second.end, (2, 3))


def test_an_outlier_is_its_own_point_whatever_number_the_fit_gave_it(recorded) -> None:
    third = recorded.points[2]
    record = dataclasses.replace(
        recorded, points=tuple(dataclasses.replace(p, used=p.number != 1) for p in recorded.points)
    )
    facts = {"point": "2 (plateau)", "temperature": third.temperature, "size": 300.0}
    assert place_of({"code": "outlier-point", "facts": facts}, record) == Place(third.start, third.end, (3,))


def test_scatter_leads_to_the_point_that_lies_furthest_off(recorded) -> None:
    fit = dict(recorded.results[-1])
    fit["points"] = [dict(line, residual=900.0 if n == 1 else 1.0) for n, line in enumerate(fit["points"])]
    place = place_of({"code": "scatter", "facts": {}}, recorded, fit)
    assert place is not None
    assert place.points == (2,)


def test_what_the_way_back_shows_is_seen_there(recorded) -> None:
    back = [point for point in recorded.points if point.branch in ("down", "return")]
    place = place_of({"code": "branches-differ", "variant": "above", "facts": {"size": 100.0}}, recorded)
    assert place is not None
    assert place.points == tuple(point.number for point in back)


def test_an_unconditioned_cell_is_seen_in_the_sealed_baseline(recorded) -> None:
    sealed = next(baseline for baseline in recorded.baselines if baseline.kind == "sealed")
    assert place_of({"code": "cell-not-conditioned", "variant": "warming"}, recorded) == Place(sealed.start, sealed.end)


@pytest.mark.parametrize("code", [*sorted(NOWHERE), "from-a-later-version"])
def test_inputs_and_unknown_findings_have_no_place(code: str, recorded) -> None:
    assert place_of({"code": code, "facts": {}}, recorded) is None


def test_a_finding_of_an_older_file_without_facts_does_no_harm(recorded) -> None:
    for code, variant in _PLACES:
        place = place_of({"code": code, "variant": variant}, recorded)
        assert place is None or 0 <= place.start <= place.end
