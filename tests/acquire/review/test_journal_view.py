"""The journal in words: every kind of entry says what happened, when, and by whom."""

from __future__ import annotations

import pytest

from acquire import acts
from acquire.finding_words import told_refusal
from acquire.journal import OPERATOR, Entry
from acquire.report.language import spoken
from acquire.review.journal_view import ACT_WORDS, GROUPS, group_of, journal_line, journal_lines

NB = "\N{NO-BREAK SPACE}"


def entry(kind, text="", /, *, actor="program", time=125.0, **data):
    return Entry(7, time, 125, kind, actor, kind == "act", text, data)


def said(*args, **kwargs):
    line = journal_line(entry(*args, **kwargs))
    return line.what, line.detail.replace(NB, " ")


def test_every_act_has_words_of_its_own():
    assert set(ACT_WORDS) == set(acts.ACTS)


def test_a_line_has_its_time_who_and_group():
    line = journal_line(entry("act", actor="person", act="begin"))
    assert (line.number, line.time, line.clock, line.who, line.group) == (7, 125.0, "2:05", "person", "people")


@pytest.mark.parametrize(
    ("data", "what", "detail"),
    [
        ({"act": "warmed", "volume": 62e-6, "temperature": 343.15}, "Hot water poured in", "62 mL at 70.0 °C"),
        ({"act": "warmed", "volume": 62e-6, "target": 298.15}, "Hot water poured in", "62 mL for 25.0 °C"),
        ({"act": "charged", "note": "liquid in"}, "Liquid put in", "liquid in"),
        ({"act": "valve_closed", "note": "valve closed"}, "Valve closed", ""),
        ({"act": "note", "text": "it dripped"}, "Note", "it dripped"),
        ({"act": "set_aside", "point": 3, "reason": "lifted"}, "Set aside: point 3", "lifted"),
    ],
)
def test_acts_tell_their_amounts_and_reasons(data, what, detail):
    assert said("act", "", **data) == (what, detail)


def test_a_point_tells_temperature_pressure_and_window():
    data = {
        "number": 2, "temperature": 298.65, "u_temperature": 0.022, "pressure": 108_567.0, "u_pressure": 31.0,
        "start": 770.0, "end": 830.0,
    }  # fmt: skip
    what, detail = said("point", "point 2 taken", **data)
    assert what == "Point 2 taken"
    assert detail == "(25.500 ± 0.022) °C, (108.567 ± 0.031) kPa, from 12:50 to 13:50"
    assert journal_line(entry("point", "", **data)).point == 2


def test_a_changed_window_tells_the_reason_too():
    data = {"number": 2, "temperature": 298.65, "pressure": 1e5, "start": 770.0, "end": 830.0, "reason": "a bump"}
    assert said("point window", "window of point 2 changed", **data)[1].endswith("from 12:50 to 13:50; a bump")


def test_a_result_tells_the_value_at_25_degrees_and_how_many_points_it_is_from():
    data = {"at_298_15": {"value": 36_423.0, "standard_uncertainty": 453.0}, "points": 7}
    assert said("result", "enthalpy of vaporisation", **data) == (
        "Enthalpy of vaporisation", "(36.42 ± 0.45) kJ/mol (k = 1) at 25.0 °C, 7 points",
    )  # fmt: skip


def test_a_refusal_tells_why():
    assert said("result", "no result: x", refused="the liquid is used up") == ("No result", "the liquid is used up")


def test_a_result_without_a_value_says_no_number():
    assert said("result", "enthalpy of vaporisation", at_298_15={"value": None}) == ("Enthalpy of vaporisation", "")


@pytest.mark.parametrize(
    ("rate", "u", "detail"),
    [(0.02, 0.05, "changed by (1.2 ± 3.0) Pa/min"), (None, None, "rate not known")],
)
def test_a_leak_check_tells_its_rate(rate, u, detail):
    assert said("leak check", "pressure held by the dry cell", rate=rate, u_rate=u)[1] == detail


def test_devices_and_cautions_are_told_in_their_own_words():
    assert said("device", "lost 'bench'", event="lost", count=0) == ("Lost 'bench'", "")
    assert said("device", "lines not understood", count=3) == ("Lines not understood", "3 lines")
    assert said("caution", "The bath is warm.", severity="warning") == ("Warning: The bath is warm.", "")


def test_a_kind_nobody_knows_is_shown_as_it_is_and_belongs_to_the_program():
    assert said("something new", "it happened") == ("It happened", "")
    assert group_of("something new") == "program"


def test_lines_can_be_picked_by_group_and_no_kind_is_in_two(recorded):
    kinds = [kind for group in GROUPS.values() for kind in group]
    assert len(kinds) == len(set(kinds))
    points = journal_lines(recorded.journal, ["points"])
    assert {line.group for line in points} == {"points"}
    assert len(journal_lines(recorded.journal)) == len(recorded.journal)


def test_every_kind_of_entry_that_a_run_writes_is_in_a_group(recorded):
    known = {kind for group in GROUPS.values() for kind in group}
    assert {entry.kind for entry in recorded.journal} <= known


DRAWN = {"act": "cooled", "volume": 297e-6, "temperature": 288.15, "note": "297 mL of water, 256 mL taken out before"}


def test_the_simulated_person_is_told_by_amounts_and_its_few_set_words_are_translated():
    operator = {"actor": OPERATOR}
    assert said("act", **operator, **DRAWN, drawn=256e-6)[1] == "297 mL at 15.0 °C (256 mL taken out before)"
    with spoken("de"):
        assert said("act", **operator, **DRAWN, drawn=256e-6)[1] == "297 mL bei 15,0 °C (vorher 256 mL entnommen)"
        charged = said("act", **operator, act="charged", note="liquid in, plunger drawn back")
        assert charged == ("Flüssigkeit eingefüllt", "Flüssigkeit eingefüllt, Kolben zurückgezogen")
        assert said("act", **operator, act="valve_closed", note="valve closed") == ("Ventil geschlossen", "")
        assert said("act", actor="person", act="charged", note="liquid in")[1] == "liquid in"


def test_why_there_is_no_result_is_told_from_its_facts_and_an_older_entry_keeps_its_sentence():
    facts = {"code": "too-few-points", "variant": "some", "facts": {"used": 2, "aside": 0, "least": 3}}
    with spoken("de"):
        assert said("result", refused="2 usable points", refusal=facts) == (
            "Kein Ergebnis", told_refusal(facts, "de").replace(NB, " "),
        )  # fmt: skip
        assert said("result", refused="2 usable points")[1] == "2 usable points"
