"""Steps, lifted probes, knocks and wild readings are told apart."""

from __future__ import annotations

import math

import pytest

from analysis.settling.watch import MASK_LONGEST, REARM, STEP_AFTER, Bath, PressureWatch, TemperatureWatch, is_wild


def _answers(departures: list[float], limit: float = 0.2) -> list[Bath]:
    watch = TemperatureWatch()
    return [watch.look(float(k), d, limit) for k, d in enumerate(departures)]


def test_a_bath_that_moves_and_stays_is_a_step():
    answers = _answers([0.0] * 5 + [min(0.4 * k, 4.0) for k in range(1, 30)])
    assert answers[5] is Bath.BEGIN
    assert answers.count(Bath.STEP) == 1
    assert answers.index(Bath.STEP) <= 5 + STEP_AFTER
    assert Bath.LIFTED not in answers


def test_a_probe_that_comes_back_was_lifted():
    lifted = [-0.5 * k for k in range(1, 6)] + [-2.5 * math.exp(-k / 5.0) for k in range(30)]
    answers = _answers([0.0] * 5 + lifted)
    assert Bath.LIFTED in answers
    assert Bath.BACK in answers
    assert Bath.STEP not in answers


def test_a_missing_temperature_decides_nothing():
    watch = TemperatureWatch()
    assert watch.look(0.0, math.nan, 0.2) is Bath.QUIET


def test_after_a_known_change_nothing_is_looked_for():
    watch = TemperatureWatch()
    watch.rest(10.0)
    assert watch.look(9.0, 3.0, 0.2) is Bath.QUIET
    assert watch.look(10.0, 3.0, 0.2) is Bath.BEGIN


def test_a_knock_masks_the_pressure_until_it_is_back():
    watch = PressureWatch()
    bump = [math.exp(-k / 10.0) for k in range(60)]
    masked = [watch.look(float(k), d, 0.15) for k, d in enumerate([0.0] * 5 + bump)]
    assert not any(masked[:5])
    assert masked[5]
    assert not masked[5 + 45]
    assert not watch.gave_up


def test_a_lasting_departure_is_masked_once_and_not_again_at_once():
    watch = PressureWatch()
    masked = [watch.look(float(k), 1.0, 0.15) for k in range(100)]
    ends = masked.index(False, 1)
    assert ends == pytest.approx(MASK_LONGEST, abs=1)
    assert not any(masked[ends : ends + int(REARM) - 1])
    assert any(masked[ends + int(REARM) :])


@pytest.mark.parametrize(
    ("before", "value", "after", "wild"),
    [
        (300.0, 302.0, 300.01, True),
        (300.0, 298.0, 300.01, True),
        (300.0, 302.0, 304.0, False),  # a ramp
        (300.0, 302.0, 302.0, False),  # a step
        (300.0, 300.05, 300.0, False),  # noise
        (math.nan, 302.0, 300.0, False),
    ],
)
def test_only_a_lone_departure_is_wild(before, value, after, wild):
    assert is_wild(before, value, after, 0.01) is wild
