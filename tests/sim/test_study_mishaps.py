"""Mishaps of study runs do to the cell what their words say, and nothing to runs that have none."""

from __future__ import annotations

import numpy as np
import pytest

from sim.errors import UnknownNameError
from sim.study import StudyRuns, random_runs
from sim.study_mishaps import MISHAPS

NAMES = ("", *MISHAPS)


def made(names) -> StudyRuns:
    return random_runs(len(names), np.random.default_rng(8), plateaus=3, span=8.0, hold=200, mishaps=names)


@pytest.fixture(scope="module")
def sound() -> StudyRuns:
    return made([""] * len(NAMES))


@pytest.fixture(scope="module")
def spoilt() -> StudyRuns:
    return made(NAMES)


def run(name: str) -> int:
    return NAMES.index(name)


def test_a_run_without_a_mishap_is_what_it_was(sound: StudyRuns, spoilt: StudyRuns) -> None:
    assert np.array_equal(spoilt.gauge[0], sound.gauge[0])
    assert np.array_equal(spoilt.probe[0], sound.probe[0])


@pytest.mark.parametrize("name", ["air_with_charge", "plunger_left_in"])
def test_more_air_presses_more_from_the_charge_on(sound: StudyRuns, spoilt: StudyRuns, name: str) -> None:
    i, charge = run(name), int(sound.charge_at)
    assert np.array_equal(spoilt.gauge[i, : charge - 1], sound.gauge[i, : charge - 1])
    more = spoilt.gauge[i, charge + 150] - sound.gauge[i, charge + 150]
    volume = sound.bench.volume[i] + sound.bench.tube[i]
    # 0.3 to 1 mL of air at room pressure, or the liquid's own 2 to 3 mL, in the gas space
    low, high = (0.3e-6, 1e-6) if name == "air_with_charge" else (2e-6, 3e-6)
    assert low * 0.95 < more / sound.bench.room_pressure[i] * volume < high * 1.1


def test_a_lifted_stopper_lets_the_over_pressure_out_once(sound: StudyRuns, spoilt: StudyRuns) -> None:
    i, at = run("stopper_lifts"), int(sound.pour_at[0]) + 100
    over = sound.gauge[i, at + 3] - sound.bench.room_pressure[i]
    assert spoilt.gauge[i, at + 3] - sound.bench.room_pressure[i] < 0.5 * over
    assert np.array_equal(spoilt.gauge[i, : at - 1], sound.gauge[i, : at - 1])
    assert np.all(spoilt.air_pressure[i, -50:] < 0.97 * sound.air_pressure[i, -50:])


def test_a_leak_loses_air_slowly(sound: StudyRuns, spoilt: StudyRuns) -> None:
    i = run("leak")
    lost = 1 - spoilt.air_pressure[i, -1] / sound.air_pressure[i, -1]
    assert 0 < lost < 0.05
    assert spoilt.bench.leak_rate[i] > 0
    assert np.count_nonzero(spoilt.bench.leak_rate) == 1


def test_a_small_charge_runs_dry_in_the_warm(sound: StudyRuns, spoilt: StudyRuns) -> None:
    i, top = run("small_charge"), int(sound.return_at) - 5
    assert spoilt.gauge[i, top] < sound.gauge[i, top] - 500


def test_a_cell_that_did_not_soak_warms_up_after_it_was_closed(sound: StudyRuns, spoilt: StudyRuns) -> None:
    i = run("cell_not_soaked")
    assert 1.0 < spoilt.probe[i, 20] - sound.probe[i, 20] < 4.5
    assert spoilt.gauge[i, 50] > spoilt.gauge[i, 5] + 200


def test_without_stirring_the_bath_takes_long_to_mix(sound: StudyRuns, spoilt: StudyRuns) -> None:
    i, after = run("stirrer_stops"), int(sound.pour_at[0]) + 60
    end = int(sound.pour_at[1]) - 2
    left, usual = (abs(runs.bath[i, end] - runs.bath[i, after]) for runs in (spoilt, sound))
    assert left > usual + 0.3


def test_a_mishap_that_is_not_known_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownNameError, match=r"no mishap called 'leek'.*Did you mean 'leak'"):
        made(["leek"])
