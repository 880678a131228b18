"""Points from plateaus."""

from __future__ import annotations

import math

import numpy as np
import pytest

from analysis.lag import wander_of_mean
from analysis.plateau import FEWEST, PlateauInputError, good_seconds, mean_of_correlated, plateau_point
from analysis.settling import Block, ChannelState, Judgement, State
from analysis.settling.records import LagCourse


def _judgement(**changes) -> Judgement:
    level = ChannelState(State.LEVEL, 0.0, 1.0, (0.0, 0.0, 0.0))
    values = {
        "time": 60.0,
        "channels": {"temperature": level, "pressure": level},
        "ready": True,
        "window": (0.0, 60.0),
        "gates": (),
        "lag": 0.2,
        "u_lag": 0.02,
        "drift": -0.004,
        "beta": 800.0,
    }
    return Judgement(**{**values, **changes})


def _blocks(n: int = 60, seed: int = 1) -> list[Block]:
    rng = np.random.default_rng(seed)
    return [Block(k, k + 0.5, 300.0 - 0.004 * k + rng.normal(0, 0.01), 1.1e5 + rng.normal(0, 8.0)) for k in range(n)]


@pytest.mark.parametrize("phi", [0.0, 0.6])
def test_uncertainty_of_a_mean_of_correlated_readings_is_its_scatter(phi):
    rng = np.random.default_rng(11)
    means, quoted = [], []
    for _ in range(500):
        x = np.empty(90)
        x[0] = rng.normal()
        for k in range(1, 90):
            x[k] = phi * x[k - 1] + math.sqrt(1 - phi**2) * rng.normal()
        mean, u, n_eff = mean_of_correlated(x)
        means.append(mean)
        quoted.append(u)
        assert n_eff <= 90.0
    # sd of 500 draws is known to 3.2 %; estimated correlation widens the quoted one by some 10 %
    assert np.sqrt(np.mean(np.square(quoted))) == pytest.approx(np.std(means), rel=4 * 0.032 + 0.1)


def test_rounding_does_not_average_out():
    _, u, _ = mean_of_correlated(np.full(1000, 295.25), quantum=0.25)
    assert u > 0.05


def test_no_reading_at_all_is_refused():
    with pytest.raises(PlateauInputError, match="no good reading"):
        mean_of_correlated([math.nan, math.nan])


def test_the_lag_is_taken_off_and_its_uncertainty_is_in_the_result():
    point = plateau_point(_blocks(), _judgement())
    assert point.temperature - point.temperature_corrected == pytest.approx(0.2)
    assert point.u_temperature_corrected >= 0.02
    assert point.u_temperature < 0.005
    assert (point.lag, point.u_lag, point.drift, point.n) == (0.2, 0.02, -0.004, 60)


def test_both_channels_are_averaged_over_the_same_blocks():
    blocks = _blocks()
    # pressure is missing in the first half, where it was warmer: without pairing the two would not belong together
    blocks[:30] = [Block(b.index, b.time, b.temperature, math.nan, 1, 0) for b in blocks[:30]]
    point = plateau_point(blocks, _judgement())
    expected = np.mean([b.temperature for b in blocks[30:]])
    assert point.temperature == pytest.approx(expected, abs=1e-9)
    assert point.time == pytest.approx(45.0)
    assert point.n == 30


def test_a_lone_wild_block_is_left_out():
    blocks = _blocks()
    blocks[20] = Block(20, 20.5, blocks[20].temperature, 1.4e5)
    clean = plateau_point(_blocks(), _judgement())
    point = plateau_point(blocks, _judgement())
    assert point.n == 59
    assert point.pressure == pytest.approx(clean.pressure, abs=1.0)


def test_a_window_can_be_given_afterwards():
    point = plateau_point(_blocks(), _judgement(window=None, ready=False), window=(10.0, 30.0))
    assert point.window == (10.0, 30.0)
    assert point.n == 20


def test_no_window_and_an_empty_window_are_refused_with_the_way_out():
    with pytest.raises(PlateauInputError, match="no plateau was found and no window was given"):
        plateau_point(_blocks(), _judgement(window=None))
    with pytest.raises(
        PlateauInputError, match="holds 2 seconds with both readings; expected 3 or more: choose a longer"
    ):
        plateau_point(_blocks(), _judgement(), window=(0.0, 2.0))


def test_who_asks_whether_a_window_will_do_gets_the_answer_that_taking_it_gives():
    """A restart can leave each channel half a window of spikes, and the two halves need not be the same."""
    level = _blocks(14)
    torn = [
        Block(b.index, b.time, 298.15 + 0.001 * (7 * n % 5) + (5.0 if n % 7 in (0, 2, 4) else 0.0),
              1e5 + (7 * n % 5) + (9e4 if n % 7 in (1, 3, 5) else 0.0))
        for n, b in enumerate(level)
    ]  # fmt: skip
    for blocks in (level, torn, level[:2], []):
        fits = good_seconds(blocks) >= FEWEST
        if fits:
            assert plateau_point(blocks, _judgement(), window=(0.0, 60.0)).n == good_seconds(blocks)
        else:
            with pytest.raises(PlateauInputError):
                plateau_point(blocks, _judgement(), window=(0.0, 60.0))
    assert good_seconds(level) >= 10
    assert good_seconds(torn) == 2


def test_an_early_window_gets_its_own_lag_and_not_that_of_another():
    # a lag that is still falling: 0.5 K over the last 20 s, 0.6 K over the last 40 s
    course = LagCourse(59.5, ((1, 0.45, 0.05), (10, 0.47, 0.05), (20, 0.5, 0.05), (40, 0.6, 0.04)), 0.0, 60.0)
    judgement = _judgement(lag=0.6, u_lag=0.04, course=course, lag_time=50.0)
    point = plateau_point(_blocks(), judgement, window=(40.5, 59.5))
    assert point.lag == pytest.approx(0.5, abs=1e-9)
    assert point.u_temperature_corrected >= point.u_lag == pytest.approx(0.05)


def test_what_was_seen_to_wander_is_in_the_corrected_pair():
    def point(wander: float):
        course = LagCourse(59.5, ((1, 0.2, 0.001), (60, 0.2, 0.001)), wander, 60.0)
        return plateau_point(_blocks(), _judgement(course=course, lag_time=50.0), window=(0.5, 59.5))

    quiet, loud = point(0.0), point(0.05)
    more = loud.u_temperature_corrected**2 - quiet.u_temperature_corrected**2
    assert math.sqrt(more) == pytest.approx(wander_of_mean(0.05, 60.0, 60.0), rel=1e-6)
    assert loud.u_temperature == quiet.u_temperature


def test_coarse_codes_dithered_by_many_readings_a_second_are_no_rounding_error():
    few, many = (
        plateau_point(
            [Block(b.index, b.time, b.temperature, b.pressure, n, n, 0.03, 0.0) for b in _blocks()], _judgement()
        )
        for n in (1, 50)
    )
    assert many.u_temperature < few.u_temperature
