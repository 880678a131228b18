import math
import pickle

import numpy as np
import pytest

from analysis.liquids import load_liquid
from analysis.pooling.curve import Curve, CurveSums, PooledRun, curve_of_sums, fit_pooled_curve, linearise, start_curve
from sim.liquids import load_liquid as reference_liquid
from tests.analysis.pooling.campaigns import campaign

HEPTANE = load_liquid("n-heptane")
WIDE = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0)


@pytest.fixture(scope="module")
def wide():
    runs, _ = campaign(np.random.default_rng(11), benches=25, runs=2, temperatures=WIDE, return_to=None)
    return runs, *fit_pooled_curve(runs, HEPTANE)


def test_the_curve_is_that_of_the_reference_equation_within_its_uncertainty(wide):
    _, pooled, _ = wide
    reference = reference_liquid("n-heptane")
    for celsius in (15.0, 25.0, 40.0, 55.0):
        ln_p, u = pooled.band(np.array(celsius + 273.15))
        assert ln_p == pytest.approx(math.log(reference.saturation_pressure(celsius + 273.15)), abs=4 * u)


def test_many_runs_over_fifty_kelvin_measure_the_heat_capacity_difference(wide):
    _, pooled, _ = wide
    # the single fit takes it from a table with u = 15 J/mol/K
    assert pooled.u("heat_capacity") < 12.0
    assert pooled.curve.heat_capacity == pytest.approx(HEPTANE.heat_capacity_difference.value, abs=4 * 12.0)


def test_points_and_priors_explain_each_other(wide):
    _, pooled, _ = wide
    # chi-square of `dof` has a deviation of sqrt(2 dof)
    assert pooled.chi2 == pytest.approx(pooled.dof, abs=4 * math.sqrt(2 * pooled.dof))
    assert pooled.runs == 50
    assert pooled.benches == 25


def test_a_start_far_off_leads_to_the_same_curve(wide):
    runs, pooled, _ = wide
    start = start_curve(HEPTANE)
    again, _ = fit_pooled_curve(runs, HEPTANE, start.moved(np.array([0.1, 2000.0, -20.0])), steps=6)
    assert again.curve.values() == pytest.approx(pooled.curve.values(), rel=2e-4)


def test_sums_made_in_pieces_and_sent_between_processes_are_the_same(wide):
    runs, _, whole = wide
    first, second = CurveSums(HEPTANE, whole.curve), CurveSums(HEPTANE, whole.curve)
    for i, run in enumerate(runs):
        (first if i % 3 else second).add(run)
    first.merge(pickle.loads(pickle.dumps(second)))
    assert curve_of_sums(first).curve.values() == pytest.approx(curve_of_sums(whole).curve.values(), rel=1e-9)


def test_memory_does_not_grow_with_the_number_of_runs(wide):
    runs, _, whole = wide
    more = CurveSums(HEPTANE, whole.curve)
    for run in runs * 3:
        more.add(run)
    assert len(more.blocks) == len(whole.blocks) == 25


def test_a_shared_barometer_keeps_its_error_in_the_curve():
    rng = np.random.default_rng(12)
    apart, _ = campaign(rng, benches=12, runs=1)
    shared = [
        PooledRun(r.run, r.bench, r.points, r.baseline, r.setup, r.sensors, labels={"pressure sensor": "one"})
        for r in apart
    ]
    own, one = fit_pooled_curve(apart, HEPTANE)[0], fit_pooled_curve(shared, HEPTANE)[0]
    assert math.sqrt(one.covariance[1, 1]) > 1.15 * math.sqrt(own.covariance[1, 1])


def test_the_curve_and_the_enthalpy_obey_clapeyron():
    curve = start_curve(HEPTANE)
    t, step = 310.0, 0.01
    slope = float(curve.ln_pressure_at(t + step) - curve.ln_pressure_at(t - step)) / (2 * step)
    dz = curve.dz + curve.dz_slope * (t - curve.temperature)
    # the curve takes the quotient of two linear functions as linear: good to 1e-4 over twelve kelvin
    assert slope * 8.314462618 * t**2 * dz == pytest.approx(float(curve.enthalpy_at(t)), rel=2e-4)


def test_too_few_points_are_refused():
    runs, _ = campaign(np.random.default_rng(1), benches=1, runs=1, temperatures=(22.0, 30.0, 38.0), return_to=None)
    with pytest.raises(ValueError, match="at least four points; got 3"):
        fit_pooled_curve(runs, HEPTANE)


def test_an_unknown_liquid_needs_a_start():
    with pytest.raises(ValueError, match="needs a start curve"):
        fit_pooled_curve([], None)


def test_sums_about_another_curve_are_not_mixed():
    one, other = Curve(9.0, 36e3, -60.0), Curve(9.1, 36e3, -60.0)
    with pytest.raises(ValueError, match="another curve"):
        CurveSums(None, one).merge(CurveSums(None, other))


def test_what_is_not_known_of_the_vapour_acts_on_the_enthalpy_and_all_runs_share_it():
    runs, _ = campaign(np.random.default_rng(13), benches=2, runs=1)
    start = start_curve(HEPTANE)
    for run in runs:
        linear = linearise(run, HEPTANE, start)
        at = linear.shares.index(("liquid data", "all", "dz"))
        by_enthalpy, by_dz = linear.matrix[2, 2], linear.matrix[2, 4 + at]
        # u(dZ) = 0.003 acts like an enthalpy that is wrong by 0.003/dZ of itself, dZ at the points (0.2 % lower)
        assert by_dz == pytest.approx(-by_enthalpy * start.enthalpy_vap * 0.003 / start.dz, rel=4e-3)
