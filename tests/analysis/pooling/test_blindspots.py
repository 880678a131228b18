import numpy as np
import pytest

from analysis.liquids import load_liquid
from analysis.pooling.blindspots import air_share, residuals_about
from analysis.pooling.curve import start_curve
from tests.analysis.pooling.campaigns import Fault, campaign

HEPTANE = load_liquid("n-heptane")


def shares(seed, air, benches=15, u_curve=0.0):
    runs, _ = campaign(
        np.random.default_rng(seed), benches=benches, runs=2, faults={i: Fault(air=air) for i in range(benches)}
    )
    return air_share([residuals_about(run, HEPTANE, start_curve(HEPTANE)) for run in runs], u_curve)


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


def test_a_curve_that_may_be_off_leaves_the_air_as_open_however_many_benches_there_are():
    known, open_ = shares(2, 0.0), shares(2, 0.0, u_curve=0.002)
    # By hand: 0.2 % of the vapour's share, 5 to 10 % of the pressure at 21 to 37 degC, over the air's.
    added = np.sqrt(open_.u_slope**2 - known.u_slope**2)
    assert 0.002 * 0.05 / 0.95 < added < 0.002 * 0.10 / 0.90
    assert open_.slope == known.slope
    half = 0.5 * (open_.interval_95[1] - open_.interval_95[0])
    assert 1.95 * open_.u_slope < half < 2.2 * open_.u_slope, (
        "between the normal quantile and t of 14 degrees of freedom"
    )
    assert open_.p_value > known.p_value
    wide = shares(2, 0.0, u_curve=0.5)  # the scatter of the benches, and with it their number, no longer counts
    assert 0.5 * (wide.interval_95[1] - wide.interval_95[0]) == pytest.approx(1.96 * wide.u_slope, rel=1e-3)


def test_without_any_scatter_only_the_curve_leaves_the_air_open():
    from analysis.pooling.blindspots import AirShareSums, RunResiduals

    sums = AirShareSums()
    for name in "abc":
        sums.add(RunResiduals(name, name, np.array([300.0]), np.array([0.9]), np.array([0.0])))
    found = sums.result(0.009)
    assert found.u_slope == pytest.approx(0.001)
    assert found.interval_95[1] == pytest.approx(0.00196, abs=1e-5)
