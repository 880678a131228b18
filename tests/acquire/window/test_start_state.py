"""What the start page asks for and says, without Qt."""

from __future__ import annotations

import pytest

from acquire.window.start_state import Check, StartChoice, speed_text, start_state

GOOD = (Check("Device", "good", "is there"), Check("Disk", "mind", "0.1 GB free", "Make room first."))
BAD = (Check("Folder", "bad", "x cannot be written", "Name another."),)


@pytest.mark.parametrize(
    ("devices", "checks", "understood", "why_not"),
    [
        (("sim:calm",), GOOD, True, ""),
        (("probe@/dev/ttyACM0",), GOOD, True, ""),
        (("probe@socket://bench:5000",), (), True, ""),
        ((), (), True, "Choose a device, or the simulated bench."),
        (("/dev/ttyACM0",), GOOD, True, "Say how this device speaks: choose its profile."),
        (("sim:calm",), GOOD, False, "Confirm the cautions first; once is enough."),
        (("sim:calm",), (*GOOD, *BAD), True, "Folder: x cannot be written"),
    ],
)
def test_a_run_starts_when_nothing_is_missing(devices, checks, understood, why_not):
    state = start_state(StartChoice(devices, "n-heptane"), checks, understood=understood, fixed_liquid="")
    assert (state.can_start, state.why_not) == (not why_not, why_not)


def test_checks_are_told_apart_by_their_sign():
    rows = start_state(StartChoice(("sim:calm",), ""), (*GOOD, *BAD), understood=True, fixed_liquid="").checks
    assert [(row.sign, row.text, row.way_out) for row in rows] == [
        ("✓", "Device: is there", ""),
        ("!", "Disk: 0.1 GB free", "Make room first."),
        ("✕", "Folder: x cannot be written", "Name another."),
    ]


def test_the_clock_of_a_simulated_bench_is_told_in_words():
    assert [speed_text(speed) for speed in (1.0, 60.0)] == ["real time", "60 times real time"]
