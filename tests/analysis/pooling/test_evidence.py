import math

import numpy as np
import pytest

from analysis.enthalpy import fit_enthalpy
from analysis.liquids import load_liquid
from analysis.pooling.evidence import error_parts, result_of
from tests.analysis.pooling.campaigns import bench_run

HEPTANE = load_liquid("n-heptane")


def fitted(return_to=None, seed=1):
    run = bench_run(np.random.default_rng(seed), {}, run="1", bench="b", return_to=return_to)
    fit = fit_enthalpy(
        run.points, baseline=run.baseline, setup=run.setup, sensors=run.sensors, liquid=HEPTANE, air=run.air
    )
    return run, fit


def test_the_squares_of_all_parts_are_those_of_the_budget():
    _, fit = fitted()
    budget = {entry.source: entry.standard_uncertainty for entry in fit.budget}
    labels = {error.key: error.label for error in fit.fit.model.errors}
    for part in error_parts(fit.fit, fit.enthalpy_vap.temperature):
        if budget.get(labels[part.key], 0.0) > 30.0:
            assert abs(part.part) == pytest.approx(budget[labels[part.key]], rel=1e-6)


def test_a_part_has_the_sign_in_which_the_error_acts():
    # a pressure sensor that reads too high makes the vapour's share look smaller at the cool end: refit to see
    run, fit = fitted()
    parts = {part.key: part.part for part in error_parts(fit.fit)}
    model = fit.fit.model
    column = model.errors.index(next(error for error in model.errors if error.key == "offset_t"))
    moved = [
        point.__class__(
            **{**{f: getattr(point, f) for f in point.__slots__}, "pressure": point.pressure + float(shift)}
        )
        for point, shift in zip(run.points, fit.fit.posterior.columns[:, column], strict=True)
    ]
    again = fit_enthalpy(
        moved, baseline=run.baseline, setup=run.setup, sensors=run.sensors, liquid=HEPTANE, air=run.air
    )
    assert again.at_298_15.value - fit.at_298_15.value == pytest.approx(parts["offset_t"], rel=0.1, abs=3.0)


def test_own_and_shared_make_the_whole_uncertainty():
    run, fit = fitted()
    result = result_of(run, fit.fit)
    assert result.value == pytest.approx(fit.at_298_15.value)
    assert result.u == pytest.approx(fit.at_298_15.standard_uncertainty, rel=0.01)
    assert 0 < result.u_own < result.u
    assert ("liquid data", "all, dz") in result.shared
    assert ("pressure sensor", "b, offset") in result.shared
    assert not any(carrier == "room air" for carrier, _ in result.shared)
    assert math.isnan(result.time)
