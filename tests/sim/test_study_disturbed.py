"""What spoils traces: it spoils its share, leaves the truth alone, and unsettled courses are unsettled."""

from __future__ import annotations

import numpy as np
import pytest

from sim.errors import UnknownNameError
from sim.study import StudySteps, random_steps
from sim.study_disturbed import UNSETTLED, random_unsettled, with_disturbances


@pytest.fixture(scope="module")
def steps() -> StudySteps:
    return random_steps(200, np.random.default_rng(3), duration=300)


def spoilt(steps: StudySteps, **shares: float) -> StudySteps:
    return with_disturbances(steps, np.random.default_rng(4), **({"lost": 0, "wild": 0, "bumped": 0} | shares))


def touched(before: StudySteps, after: StudySteps) -> np.ndarray:
    same_t = (before.temperature == after.temperature).all(axis=1)
    same_p = (before.pressure == after.pressure).all(axis=1)
    return ~(same_t & same_p)


def test_nothing_is_spoilt_where_nothing_is_asked(steps: StudySteps) -> None:
    assert not touched(steps, spoilt(steps)).any()


@pytest.mark.parametrize("share", ["lost", "wild", "bumped"])
def test_the_stated_share_of_steps_is_spoilt(steps: StudySteps, share: str) -> None:
    # Half of 200: a standard deviation of 7.
    assert touched(steps, spoilt(steps, **{share: 0.5})).sum() == pytest.approx(100, abs=28)


def test_lost_readings_are_lost_in_both_channels_for_at_most_fifteen_seconds(steps: StudySteps) -> None:
    gone = np.isnan(spoilt(steps, lost=1.0).temperature)
    assert np.array_equal(gone, np.isnan(spoilt(steps, lost=1.0).pressure))
    assert set(gone.sum(axis=1)) <= set(range(1, 16))


def test_the_truth_stays_as_it_was(steps: StudySteps) -> None:
    after = spoilt(steps, bumped=1.0, wild=1.0, lost=1.0)
    assert after.probe is steps.probe
    assert after.settled is steps.settled


def test_a_lifted_probe_goes_towards_the_room_and_comes_back(steps: StudySteps) -> None:
    after = spoilt(steps, bumped=1.0)
    change = after.temperature - steps.temperature
    towards = np.sign(steps.bench.room[:, None] - steps.bath)
    assert np.all(change * towards >= -1e-9)
    assert np.max(np.abs(change)) > 2.0
    assert np.percentile(np.abs(change[:, -1]), 90) < 0.05


def test_a_leaking_course_falls_by_its_size_and_the_bath_does_not_explain_it() -> None:
    data = random_unsettled(40, np.random.default_rng(5), kind="leak")
    # The air that leaves takes vapour along, which the liquid replaces: the pressure falls by the air's share.
    first = (data.gauge[:, 40] - data.gauge[:, 100]) / data.slope
    moved = (data.equilibrium_pressure - data.equilibrium_pressure[:, :1])[:, 40]
    assert np.all(first > 0.15)
    assert np.corrcoef(first, data.size)[0, 1] > 0.9
    assert np.all(moved < 0)


def test_a_ramp_moves_the_bath_by_its_size() -> None:
    data = random_unsettled(40, np.random.default_rng(5), kind="ramp")
    drift = data.bath[:, 100] - data.bath[:, 40]
    own = data.bench.loss * 12.0 / (data.bench.bath_mass * 4184.0) * 60.0  # the bath's own loss, at most about so much
    assert np.all(np.abs(drift - data.size) < own + 0.15)


def test_a_cycle_goes_up_and_down_by_its_size() -> None:
    data = random_unsettled(40, np.random.default_rng(5), kind="cycle")
    detrended = data.bath - np.array([np.polyval(np.polyfit(data.time, row, 2), data.time) for row in data.bath])
    swing = 0.5 * (np.percentile(detrended, 99, axis=1) - np.percentile(detrended, 1, axis=1))
    assert swing == pytest.approx(data.size, rel=0.25)


@pytest.mark.parametrize("kind", sorted(UNSETTLED))
def test_every_unsettled_course_is_finite(kind: str) -> None:
    data = random_unsettled(5, np.random.default_rng(1), kind=kind, physics="everything", duration=120)
    assert np.all(np.isfinite(data.temperature))
    assert np.all(np.isfinite(data.pressure))


def test_an_unknown_course_is_refused() -> None:
    with pytest.raises(UnknownNameError, match="found no course without a plateau called 'jump'"):
        random_unsettled(1, np.random.default_rng(1), kind="jump")
