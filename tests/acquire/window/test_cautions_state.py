"""Words of the cautions, without Qt."""

from __future__ import annotations

import dataclasses

import pytest

from acquire.cautions import TEXTS
from acquire.snapshot import CautionView
from acquire.window.cautions_state import caution_cards

DATA = {
    "temperature": 311.65, "limit": 311.15, "margin": 1.4, "over_pressure": 16_200.0, "drop": 4200.0,
    "boiling_point": 371.6, "target": 310.15,
}  # fmt: skip


def cards(snap, code, severity="caution", **data):
    return caution_cards(snap(cautions=(CautionView(code, severity, 10.0, DATA | data),)))


@pytest.mark.parametrize(
    ("code", "data", "heading"),
    [
        ("near temperature limit", {}, "1.4 °C to the limit"),
        ("over temperature", {}, "0.5 °C above the limit"),
        ("near pressure limit", {"limit": 20_000.0}, "Cell 16 kPa above the room"),
        ("over pressure", {"limit": 9500.0}, "Cell 16 kPa above the room"),
        ("target over pressure", {"limit": 9500.0}, "Next step: 16 kPa above the room"),
        ("small charge", {"charge": 0.3e-6, "evaporates": 0.21e-6}, "Charge of 0.3 mL is small"),
        ("sudden drop", {}, "Pressure fell by 4.2 kPa"),
        ("boiling near", {}, "Boiling point is near"),
        ("under pressure", {"over_pressure": -6000.0}, "Cell 6.0 kPa below the room"),
    ],
)
def test_a_caution_says_first_what_was_measured(snap, code, data, heading):
    (card,) = cards(snap, code, **data)
    assert card.heading == heading


def test_every_caution_of_a_run_has_words(snap):
    for code in TEXTS:
        (card,) = cards(snap, code)
        assert card.heading != code
        assert len(card.text) > 30


def test_no_caution_ever_says_that_something_is_free_of_danger(snap):
    told = " ".join(card.heading + card.text for code in TEXTS for card in cards(snap, code)).lower()
    assert "safe " not in told.replace("safety", "")
    assert "ok" not in told.split()


def test_an_unknown_caution_is_shown_and_points_to_the_local_rules(snap):
    (card,) = cards(snap, "something new")
    assert (card.heading, card.text) == ("something new", "Local rules and the safety data sheet decide.")


def test_warnings_come_first_and_differ_by_their_sign(snap):
    shown = caution_cards(
        snap(
            cautions=(
                CautionView("near temperature limit", "caution", 1.0, DATA),
                CautionView("over pressure", "warning", 2.0, DATA),
            )
        )
    )
    assert [(card.code, card.sign) for card in shown] == [("over pressure", "!!"), ("near temperature limit", "!")]


def test_a_lost_device_says_that_one_is_blind(snap):
    (card,) = caution_cards(snap(devices=(("probe", "lost", "The cable was pulled."),)))
    assert (card.code, card.heading) == ("device lost", "probe is lost")
    assert card.text == "The cable was pulled. You are blind: stop heating. Check cable and power."


def test_a_silent_channel_is_told_once_the_number_is_old(snap):
    channels = dict(snap().channels)
    channels["pressure"] = dataclasses.replace(channels["pressure"], silent=12.4)
    (card,) = caution_cards(snap(channels=channels))
    assert (card.code, card.heading) == ("stale pressure", "No pressure for 12\u00a0s")
    assert caution_cards(snap(channels=channels, stage="closed")) == ()


def test_trouble_with_the_file_is_a_warning(snap):
    file = dataclasses.replace(snap().file, trouble="The disk is full.")
    (card,) = caution_cards(snap(file=file))
    assert (card.heading, card.text, card.severity) == ("Run file in trouble", "The disk is full.", "warning")


def test_a_quiet_run_has_no_cautions(snap):
    assert caution_cards(snap()) == ()


def test_a_target_that_goes_too_far_says_where_the_limit_is_reached(snap):
    (card,) = cards(snap, "target over pressure", limit=9500.0)
    assert "reached" not in card.text
    (card,) = cards(snap, "target over pressure", limit=9500.0, reached=308.35)
    assert card.text.startswith("The limit is reached near 35\N{NO-BREAK SPACE}°C. At the target of 37 °C")


def test_a_small_charge_names_what_will_be_vapour(snap):
    (card,) = cards(snap, "small charge", charge=0.3e-6, evaporates=0.21e-6)
    assert "0.21 mL of it will be vapour" in card.text
