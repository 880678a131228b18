import numpy as np
import pytest

from analysis.liquids import load_liquid
from analysis.pooling.blindspots import air_share, residuals_about
from analysis.pooling.curve import start_curve
from tests.analysis.pooling.campaigns import Fault, campaign

HEPTANE = load_liquid("n-heptane")


def shares(seed, air, benches=15):
    runs, _ = campaign(
        np.random.default_rng(seed), benches=benches, runs=2, faults={i: Fault(air=air) for i in range(benches)}
    )
    return air_share([residuals_about(run, HEPTANE, start_curve(HEPTANE)) for run in runs])


def test_air_that_all_benches_have_too_much_of_shows_beside_a_reference_curve():
    found = shares(1, 0.01)
    assert found.significant
    assert found.interval_95[0] < 0.01 < found.interval_95[1]
    assert found.slope == pytest.approx(0.01, abs=4 * found.u_slope)


def test_the_right_amount_of_air_shows_nothing():
    found = shares(2, 0.0)
    assert not found.significant
    assert found.benches == 15


def test_residuals_that_follow_the_air_are_correlated_with_its_share():
    assert abs(shares(3, 0.05).correlation) > abs(shares(3, 0.0).correlation)


def test_two_benches_are_too_few():
    with pytest.raises(ValueError, match="at least three benches"):
        shares(4, 0.0, benches=2)


def test_steps_of_the_share_hold_every_point_and_lie_on_the_line_of_the_error():
    found = shares(1, 0.05)
    assert sum(step.points for step in found.steps) >= 15 * 2 * 6 - 4 * 25  # steps with a few points are left out
    assert [step.share for step in found.steps] == sorted(step.share for step in found.steps)
    total = sum(step.points for step in found.steps)
    mean = sum(step.residual * step.points for step in found.steps) / total
    share = sum(step.share * step.points for step in found.steps) / total
    assert mean == pytest.approx(0.05 * share, abs=4 * found.u_slope)
