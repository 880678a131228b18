"""Water for the next step: the energy balance, the full bath, and what cannot be done."""

from __future__ import annotations

import math

import pytest

from acquire.journal import Entry
from acquire.plan import Bath, RunPlan
from acquire.water import bath_content, water_for

BATH = RunPlan().bath  # 480 mL, 250 mL of room, water of 70 °C and 15 °C


def poured(volume: float | None) -> Entry:
    return Entry(0, 0.0, 0, "act", "person", True, "warmed", {"act": "warmed", "volume": volume})


def test_the_bath_grows_by_what_was_told_and_never_beyond_its_rim() -> None:
    assert bath_content(BATH, []) == BATH.volume
    assert bath_content(BATH, [poured(60e-6), poured(None)]) == pytest.approx(540e-6)
    assert bath_content(BATH, [poured(60e-6)] * 9) == pytest.approx(730e-6)


def test_hot_water_by_the_energy_balance() -> None:
    found = water_for(BATH, 480e-6, 298.15, 302.15, drift=math.nan, room=298.15)
    assert found is not None
    # (m c + C)(4 K) = V rho c (70 - 29) K with C = 115 J/K of vessel, and little loss: by hand, 49.5 mL.
    assert found.volume == pytest.approx(49.5e-6, rel=0.03)
    assert found.temperature == BATH.hot_water
    assert found.draw_off == 0.0


def test_a_full_bath_is_drawn_off_first_and_ends_at_its_rim() -> None:
    found = water_for(BATH, 730e-6, 306.15, 310.15, drift=math.nan, room=294.15)
    assert found is not None
    assert found.draw_off > 0
    assert 730e-6 - found.draw_off + found.volume == pytest.approx(730e-6, abs=3e-6)


def test_cold_water_for_the_return_point() -> None:
    found = water_for(BATH, 480e-6, 310.15, 302.15, drift=math.nan, room=294.15)
    assert found is not None
    assert found.temperature == BATH.cold_water


def test_what_no_water_can_do_is_nothing() -> None:
    lukewarm = Bath.model_construct(**(BATH.model_dump() | {"hot_water": 300.0}))
    assert water_for(lukewarm, 480e-6, 298.15, 305.15, drift=math.nan, room=294.15) is None
