"""Which cautions hold: a table, and once a minute in the journal."""

from __future__ import annotations

import math

import pytest

from acquire.cautions import REPEAT_AFTER, TEXTS, Caution, CautionLog, cautions_now
from acquire.plan import stored_plan

PLAN = stored_plan({"limits": {"temperature": 313.15, "over_pressure": 20e3}, "bath": {"targets": [300.0, 305.0]}})
ROOM = 100e3


@pytest.mark.parametrize(
    ("stage", "temperature", "pressure", "more", "codes"),
    [
        ("plateaus", 300.0, 105e3, {}, []),
        ("plateaus", 311.2, 105e3, {}, ["near temperature limit"]),
        ("plateaus", 313.2, 105e3, {}, ["over temperature"]),
        ("soak", 313.2, 100e3, {}, ["over temperature"]),
        ("plateaus", 300.0, 116.5e3, {}, ["near pressure limit"]),
        ("plateaus", 300.0, 120.1e3, {}, ["over pressure"]),
        ("soak", 300.0, 120.1e3, {}, []),  # the valve is open: nothing is shut in
        ("return", 290.0, 94e3, {}, ["under pressure"]),
        ("plateaus", 300.0, 105e3, {"pressure_before": 109e3}, ["sudden drop"]),
        ("vent", 300.0, 105e3, {"pressure_before": 109e3}, []),
        ("plateaus", 306.0, 105e3, {"boiling_point": 309.0}, ["boiling near"]),
        ("plateaus", 300.0, 105e3, {"target": 305.0, "target_pressure": 121e3}, ["target over pressure"]),
        ("plateaus", 300.0, 105e3, {"target": 305.0, "target_pressure": math.nan}, []),
        ("charge", 296.0, 100e3, {"evaporates": 0.9e-6}, ["small charge"]),
        ("charge", 296.0, 100e3, {"evaporates": 0.5e-6}, []),
        ("charge", 296.0, 100e3, {"evaporates": math.nan}, []),
        ("plateaus", 300.0, 105e3, {"evaporates": 0.9e-6}, []),  # it is in: nothing can be done about it
        ("plateaus", math.nan, math.nan, {}, []),
    ],
)
def test_what_is_measured_against_the_limits(stage, temperature, pressure, more, codes) -> None:
    found = cautions_now(PLAN, stage, temperature, pressure, room_pressure=ROOM, **more)
    assert [caution.code for caution in found] == codes
    assert all(caution.code in TEXTS for caution in found)


def test_where_the_limit_is_reached_is_asked_only_when_a_target_goes_too_far() -> None:
    asked = []

    def reached() -> float:
        asked.append(1)
        return 304.0

    def found(target_pressure: float) -> list[Caution]:
        return cautions_now(
            PLAN, "plateaus", 300.0, 105e3, room_pressure=ROOM, target=305.0, target_pressure=target_pressure,
            limit_reached=reached,
        )  # fmt: skip

    assert found(119e3) == []
    assert not asked
    assert found(121e3)[0].data == {"target": 305.0, "over_pressure": 21e3, "limit": 20e3, "reached": 304.0}
    assert asked


def test_without_a_room_baseline_only_the_temperature_is_judged() -> None:
    assert [c.code for c in cautions_now(PLAN, "plateaus", 314.0, 150e3)] == ["over temperature"]


def test_no_caution_says_that_something_is_safe() -> None:
    assert not [text for text in TEXTS.values() if "safe" in text.lower()]


def test_a_caution_is_journalled_once_a_minute_and_known_since_it_began() -> None:
    log, hot = CautionLog(), Caution("over temperature", "warning")
    due = [bool(log.update(float(t), [hot])) for t in range(int(2 * REPEAT_AFTER))]
    assert [t for t, now in enumerate(due) if now] == [0, int(REPEAT_AFTER)]
    assert log.since("over temperature") == 0.0
    log.update(200.0, [])
    assert log.active == ()
    log.update(201.0, [hot])
    assert log.since("over temperature") == 201.0
