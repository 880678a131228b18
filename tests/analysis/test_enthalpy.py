"""The one entrance to the fit: it gives back what was put in, in every mode, and its 95 % is counted."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.enthalpy import fit_enthalpy
from analysis.findings import Finding
from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import GAS_CONSTANT, load_liquid, unknown_liquid
from analysis.refusal import FitRefused
from analysis.trapped_air import CellSetup, air_pressure, faultless
from tests.analysis.made_runs import BASELINE, SENSORS, SETUP, UP, changed, made_points

LIQUIDS = ("ethanol", "n-heptane", "acetone", "water")


def fitted(points, liquid="ethanol", **kwargs):
    known = load_liquid(liquid) if isinstance(liquid, str) else liquid
    arguments = {"baseline": BASELINE, "setup": SETUP, "sensors": SENSORS, "liquid": known, **kwargs}
    return fit_enthalpy(points, **arguments)


@pytest.mark.parametrize("name", LIQUIDS)
def test_a_run_without_noise_gives_the_reference_back(name):
    fit = fitted(made_points(name), name)
    truth = float(load_liquid(name).enthalpy_vap_reference(298.15))
    assert fit.at_298_15.value == pytest.approx(truth, rel=1e-3)
    assert fit.enthalpy_vap.temperature == pytest.approx(1 / np.mean(1 / np.array(UP)))
    assert fit.refusals == ()


def test_the_order_of_the_points_does_not_matter():
    points = made_points(rng=np.random.default_rng(3))
    there, back = fitted(points), fitted(points[::-1])
    assert back.enthalpy_vap.value == pytest.approx(there.enthalpy_vap.value, rel=1e-7)
    assert back.enthalpy_vap.standard_uncertainty == pytest.approx(there.enthalpy_vap.standard_uncertainty, rel=1e-6)


def test_air_subtracted_by_hand_and_an_evacuated_cell_give_the_same_line():
    closed = replace(BASELINE, time=-36e3)  # by now the liquid has taken up what air it can
    sealed = made_points(baseline=closed)
    air = air_pressure(np.array(UP), closed, SETUP, load_liquid("ethanol")).value
    vapour = [replace(p, pressure=p.pressure - float(a)) for p, a in zip(sealed, air, strict=True)]
    tight = SensorPriors.none()
    with_air = fitted(sealed, sensors=tight, baseline=closed)
    for mode in ("corrected", "none"):
        without = fitted(vapour, air=mode, sensors=tight, baseline=None)
        assert without.method["apparent_enthalpy"] == pytest.approx(with_air.method["apparent_enthalpy"], rel=5e-4)


def test_the_value_moves_with_its_temperature_by_the_heat_capacities():
    fit = fitted(made_points())
    away = 298.15 - fit.enthalpy_vap.temperature
    half_way = fit.method["heat_capacity_difference"] + 0.5 * fit.fit.vapour.heat_capacity_slope * away
    moved = fit.enthalpy_vap.value + half_way * away
    assert fit.at_298_15.value == pytest.approx(moved, abs=1.0)
    assert fit.at_298_15.standard_uncertainty > fit.enthalpy_vap.standard_uncertainty


def test_the_value_is_the_slope_times_dz():
    fit = fitted(made_points())
    assert fit.enthalpy_vap.value == pytest.approx(fit.method["apparent_enthalpy"] * fit.method["dz"], rel=1e-4)


def test_points_set_aside_are_shown_and_not_fitted():
    points = made_points()
    wild = changed(points, 2, pressure=points[2].pressure + 3000.0, used=False)
    fit = fitted(wild)
    assert fit.enthalpy_vap.value == pytest.approx(fitted([p for p in wild if p.used]).enthalpy_vap.value, rel=1e-9)
    aside = fit.points[2]
    assert not aside.used
    assert math.isnan(aside.residual)
    assert aside.as_dict()["residual"] is None


def test_an_unknown_liquid_works_with_a_wider_interval():
    points = made_points()
    known, unknown = fitted(points), fitted(points, unknown_liquid())
    assert unknown.at_298_15.standard_uncertainty > known.at_298_15.standard_uncertainty
    low, high = unknown.at_298_15.interval_95
    assert low < known.at_298_15.value < high


def test_worse_sensors_widen_the_interval_and_leave_the_value():
    points = made_points()
    good = fitted(points, sensors=SensorPriors(200.0, 0.002, 20.0, 5.0, 210e3, 0.05, 0.0005))
    poor = fitted(points, sensors=SensorPriors(4000.0, 0.02, 400.0, 50.0, 210e3, 0.5, 0.007))
    assert poor.enthalpy_vap.value == pytest.approx(good.enthalpy_vap.value, rel=2e-4)
    assert poor.enthalpy_vap.standard_uncertainty > 1.2 * good.enthalpy_vap.standard_uncertainty


def test_a_pressure_below_the_air_is_refused_by_name():
    points = changed(made_points(), 1, pressure=95e3)
    with pytest.raises(FitRefused, match=r"pressure-below-air \(point 2, pressure 95000\.0, air 100\d\d\d\."):
        fitted(points)


def test_falling_pressures_are_no_saturation_line():
    falling = [FitPoint(300.0 + 4 * k, 30e3 - 4e3 * k) for k in range(5)]
    with pytest.raises(FitRefused, match="no-line"):
        fit_enthalpy(falling, air="none", sensors=SensorPriors.none())


def test_where_no_line_is_found_after_the_stopper_lifted_that_is_the_reason_told():
    falling = [FitPoint(300.0 + 4 * k, 30e3 - 4e3 * k) for k in range(5)]
    why = Finding("gas-let-out", "refuse", 5.0, 4.0, "trace", {"time": 700.0, "drop": 4000.0})
    with pytest.raises(FitRefused, match=r"gas-let-out \(time 700\.0, drop 4000\.0\)"):
        fit_enthalpy(falling, air="none", sensors=SensorPriors.none(), run_findings=[why])


def test_a_refusing_finding_withholds_every_interval_and_says_why():
    why = Finding("gas-let-out", "refuse", 5.0, 4.0, "trace", {"time": 700.0, "drop": 4000.0})
    fit = fitted(made_points(), run_findings=[why])
    assert fit.refusals == (why,)
    for estimate in (fit.enthalpy_vap, fit.at_298_15, fit.normal_boiling_point):
        assert estimate.interval_95 is None
        assert estimate.standard_uncertainty is None
        assert estimate.value is not None
    assert fit.budget == ()
    assert fit.predict_pressure(300.0).interval_95 is None
    assert fit.textbook_line is not None
    assert fit.as_dict()["method"]["interval_refused"] == ["gas-let-out"]


def test_the_document_has_exactly_the_promised_entries_and_is_plain_json():
    document = fitted(made_points(rng=np.random.default_rng(1))).as_dict()
    assert list(document) == [
        "enthalpy_vap", "textbook_line", "normal_boiling_point", "budget", "findings", "points", "method",
    ]  # fmt: skip
    assert set(document["enthalpy_vap"]) == {"value", "standard_uncertainty", "interval_95", "temperature", "at_298_15"}
    assert set(document["enthalpy_vap"]["at_298_15"]) == {"value", "standard_uncertainty", "interval_95"}
    assert set(document["textbook_line"]) == {
        "enthalpy_vap", "standard_uncertainty", "interval_95", "slope", "intercept",
    }  # fmt: skip
    assert set(document["normal_boiling_point"]) == {"value", "standard_uncertainty", "interval_95"}
    assert set(document["budget"][0]) == {"source", "standard_uncertainty", "share"}
    assert set(document["findings"][0]) == {
        "code", "severity", "statistic", "threshold", "variant", "facts", "effect", "false_alarm",
    }  # fmt: skip
    assert {"temperature", "pressure_total", "pressure_air", "pressure_vapour", "residual", "used"} <= set(
        document["points"][0]
    )
    again = json.loads(json.dumps(document, allow_nan=False))
    assert again == document


def test_the_textbook_line_is_the_ordinary_line_through_simply_corrected_pressures():
    points = made_points(rng=np.random.default_rng(4))
    line = fitted(points).textbook_line
    t = np.array([p.temperature for p in points])
    simple = np.array([p.pressure for p in points]) - BASELINE.pressure * t / BASELINE.temperature
    slope, intercept = np.polyfit(1 / t, np.log(simple), 1)
    assert line.slope == pytest.approx(slope, rel=1e-8)
    assert line.intercept == pytest.approx(intercept, rel=1e-8)
    assert line.enthalpy_vap == pytest.approx(-slope * GAS_CONSTANT, rel=1e-8)
    # Student's t for three degrees of freedom: 3.182446 in any table.
    half = 0.5 * (line.interval_95[1] - line.interval_95[0])
    assert half / line.standard_uncertainty == pytest.approx(3.182446, rel=1e-6)


def test_a_lag_that_is_uncertain_counts_once_for_all_points():
    points = made_points()
    lagging = [replace(p, lag=0.02 * k, u_lag=0.02 * k) for k, p in enumerate(points)]
    plain, lagged = fitted(points), fitted(lagging)
    assert lagged.enthalpy_vap.standard_uncertainty > 1.02 * plain.enthalpy_vap.standard_uncertainty
    assert "lag of liquid and probe" in {e.source for e in lagged.budget}
    assert "lag of liquid and probe" not in {e.source for e in plain.budget}


def leaking(rate: float, returned: bool = True):
    """Points of a cell that loses air at this rate of its over-pressure [1/s]."""
    temperatures = (*UP, 297.15) if returned else UP
    points = made_points(temperatures=temperatures, returned=returned)
    air = air_pressure(np.array(temperatures), BASELINE, SETUP, load_liquid("ethanol")).value
    left, out = 1.0, []
    for p, a in zip(points, air, strict=True):
        left *= 1 - rate * 360.0 * (p.pressure - BASELINE.pressure) / p.pressure
        out.append(replace(p, pressure=p.pressure - float(a) * (1 - left)))
    return out


def test_a_return_point_corrects_a_leak():
    truth = float(load_liquid("ethanol").enthalpy_vap_reference(298.15))
    fit = fitted(leaking(1 / 36000))
    assert fit.leak.corrected
    assert fit.leak.rate == pytest.approx(1 / 36000, rel=0.1)
    assert fit.at_298_15.value == pytest.approx(truth, rel=3e-3)
    assert "leak" in {f.code for f in fit.findings}
    # the whole trace sees a leak better than its points: where it shows none, they accuse nobody
    assert "leak" not in {f.code for f in fitted(leaking(1 / 36000), trace_leak=2.0).findings}
    assert "leak" in {f.code for f in fitted(leaking(1 / 36000), trace_leak=3.0).findings}
    alone = fitted(leaking(1 / 36000, returned=False))
    assert abs(alone.at_298_15.value - truth) > 3 * abs(fit.at_298_15.value - truth)


def test_without_times_nothing_is_said_of_leaks():
    assert fitted([replace(p, time=math.nan) for p in made_points()]).leak is None


def test_the_interval_covers_the_truth_when_noise_is_drawn_as_told():
    rng, inside, runs = np.random.default_rng(77), 0, 80
    truth = float(load_liquid("n-heptane").enthalpy_vap_reference(298.15))
    for _ in range(runs):
        low, high = fitted(made_points("n-heptane", rng=rng), "n-heptane").at_298_15.interval_95
        inside += low < truth < high
    # Common errors are not drawn here, only noise: at least 95 % must be covered, three deviations less.
    assert inside / runs >= 0.95 - 3 * 0.024


def test_noise_is_answered_by_the_uncertainty_stated_for_it():
    rng = np.random.default_rng(8)
    tight = SensorPriors.none()
    setup = faultless(SETUP)
    values, stated = [], []
    for _ in range(120):
        fit = fitted(made_points(rng=rng), sensors=tight, setup=setup)
        values.append(fit.enthalpy_vap.value)
        stated.append(sum(e.standard_uncertainty**2 for e in fit.budget if e.source.startswith("readings")))
    # A standard deviation from 120 draws is known to 6.5 %; the stated one follows each run's own scatter a little.
    assert np.std(values) == pytest.approx(math.sqrt(np.mean(stated)), rel=0.25)


def test_default_bench_and_sensors_are_those_of_a_usual_teaching_bench():
    fit = fit_enthalpy(made_points(), baseline=BASELINE, liquid=load_liquid("ethanol"))
    assert fit.method["setup"]["cell_volume"] == CellSetup().cell_volume
    assert "humidity-not-given" in {f.code for f in fit.findings}
