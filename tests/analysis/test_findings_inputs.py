"""Units, gauge for absolute, swapped channels: seen from one pair of readings in the room, without statistics."""

from __future__ import annotations

import pytest

from analysis.findings_inputs import input_findings, room_pair
from analysis.trapped_air import SealedBaseline

C = 273.15


@pytest.mark.parametrize(("celsius", "kilopascal"), [(5.0, 60.0), (22.0, 101.3), (40.0, 110.0)])
def test_a_room_is_a_room(celsius, kilopascal):
    assert room_pair(celsius + C, kilopascal * 1e3) is None


@pytest.mark.parametrize(
    ("celsius", "kilopascal", "code", "looks"),
    [
        (71.6, 100.0, "temperature-unit", "fahrenheit"),
        (295.0, 100.0, "temperature-unit", "kelvin"),
        (-40.0, 100.0, "temperature-unit", "unknown"),
        (22.0, 0.02, "gauge-pressure", ""),
        (22.0, -0.3, "gauge-pressure", ""),
        (22.0, 760.0, "pressure-unit", "mmHg"),
        (22.0, 29.92, "pressure-unit", "inHg"),
        (22.0, 0.1013, "pressure-unit", "kPa"),  # 101.3 taken for Pa
        (22.0, 300.0, "pressure-implausible", ""),
        (100.0, 22.0, "channels-swapped", ""),
    ],
)
def test_what_does_not_look_like_a_room_is_guessed_at(celsius, kilopascal, code, looks):
    found = room_pair(celsius + C, kilopascal * 1e3)
    assert found.code == code
    assert looks == (found.facts.get("unit") or found.variant)
    assert found.severity == "doubt"


def test_only_a_sealed_baseline_is_looked_at():
    gauge = SealedBaseline(295.0, 50.0)
    assert [f.code for f in input_findings(gauge, "sealed")] == ["gauge-pressure"]
    assert input_findings(gauge, "none") == ()
    assert input_findings(None, "sealed") == ()
