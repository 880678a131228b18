"""Each finding is found when it is there, says how large it is, and stays silent when it is not."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from analysis.enthalpy import fit_enthalpy
from analysis.findings import Finding
from analysis.fit_input import FitPoint, SensorPriors
from analysis.liquids import load_liquid, unknown_liquid
from analysis.trapped_air import faultless
from tests.analysis.made_runs import BASELINE, SENSORS, SETUP, UP, changed, made_points

GOOD = SensorPriors(200.0, 0.002, 10.0, 5.0, 210e3, 0.05, 0.0005)
SIX = (*UP, 297.15)


def findings(points, liquid="ethanol", **kwargs) -> dict[str, Finding]:
    known = load_liquid(liquid) if isinstance(liquid, str) else liquid
    arguments = {"baseline": BASELINE, "setup": SETUP, "sensors": SENSORS, "liquid": known, **kwargs}
    return {f.code: f for f in fit_enthalpy(points, **arguments).findings}


def grave(found: dict[str, Finding]) -> set[str]:
    return {code for code, f in found.items() if f.severity != "note"}


def test_a_run_as_it_should_be_shows_nothing_grave():
    assert grave(findings(made_points())) == set()


def test_an_outlier_is_named_with_its_size_and_effect():
    points = changed(made_points(), 3, label="fourth")
    found = findings(changed(points, 3, pressure=points[3].pressure + 600.0))
    outlier = found["outlier-point"]
    assert outlier.variant == "above"
    assert outlier.facts["point"] == "4 (fourth)"
    assert outlier.facts["temperature"] == pytest.approx(307.15, abs=0.1)
    assert outlier.facts["size"] == pytest.approx(600.0, rel=0.4)
    assert outlier.statistic > outlier.threshold
    assert abs(outlier.effect) > 100.0
    assert "scatter" in found


def test_scatter_is_measured_against_what_was_claimed():
    points = made_points(u=(0.002, 2.0), rng=np.random.default_rng(2))
    rough = [replace(p, pressure=p.pressure + d) for p, d in zip(points, (60, -60, 60, -60, 60), strict=True)]
    scatter = findings(rough)["scatter"]
    assert scatter.statistic > scatter.threshold == pytest.approx(11.83, abs=0.05)  # chi-square table, 3 dof, 0.8 %
    assert scatter.severity == "doubt"


def test_points_of_the_way_back_off_the_line_are_found_where_a_leak_does_not_explain_them():
    points = [replace(p, time=float("nan")) for p in made_points(temperatures=(*UP, 301.15, 297.15))]
    back = [replace(p, branch="down", pressure=p.pressure + 700.0) if k >= 5 else p for k, p in enumerate(points)]
    found = findings(back)["branches-differ"]
    assert found.variant == "above"
    assert found.effect != 0


def test_a_bent_line_is_seen_by_good_sensors():
    points = made_points("acetone", (288.15, 294.15, 300.15, 306.15, 312.15, 318.15), u=(0.002, 2.0))
    tm = 302.8
    bent = [
        replace(p, pressure=p.pressure * (1 - 0.004 * ((p.temperature - tm) / 15) ** 2)) for p in points
    ]  # fmt: skip
    assert {"curvature", "scatter"} & grave(findings(bent, "acetone", sensors=GOOD))


def test_air_left_in_an_evacuated_cell_bends_the_line_and_is_measured():
    liquid = load_liquid("n-heptane")
    points = [
        FitPoint(t, float(liquid.saturation_pressure(t)) + 900.0, 0.005, 5.0) for t in np.linspace(283.15, 323.15, 8)
    ]
    found = findings(points, "n-heptane", air="none", baseline=None, sensors=SensorPriors.none())["residual-air"]
    assert found.effect < -1000.0
    assert found.facts["size"] == pytest.approx(900.0, rel=0.3)


def test_used_up_liquid_refuses_the_interval():
    points = made_points("acetone")
    dry = points[2].pressure * points[4].temperature / points[2].temperature
    found = findings(changed(points, 4, pressure=dry), "acetone")
    assert found["liquid-exhausted"].severity == "refuse"
    facts = found["liquid-exhausted"].facts
    assert facts["grown"] < 0.5 * facts["expected"]


def test_a_pressure_that_falls_while_the_bath_warms_refuses_the_interval():
    points = made_points("acetone")
    found = findings(changed(points, 3, pressure=points[2].pressure - 2e3), "acetone")["gas-let-out"]
    assert found.severity == "refuse"
    assert found.variant == "points"
    assert found.facts["drop"] == pytest.approx(2000.0)


def test_a_gas_without_liquid_is_no_liquid():
    gas = [FitPoint(t, 20e3 * t / 300.0, 0.03, 30.0) for t in UP]
    found = findings(gas, unknown_liquid(), air="none", baseline=None)["enthalpy-implausible"]
    assert found.severity == "refuse"


def test_a_leak_that_a_return_point_shows_is_a_doubt():
    from tests.analysis.test_enthalpy import leaking

    with_return = findings(leaking(1 / 10800))
    assert with_return["leak"].severity == "doubt"
    assert with_return["leak"].variant == "returned"
    assert with_return["leak"].facts["time"] == pytest.approx(10800.0, rel=0.3)
    assert with_return["leak"].effect is not None


def test_another_liquid_than_named_is_seen_after_the_fit():
    found = findings(made_points("methanol"), "ethanol")
    assert "level-off-reference" in found
    assert "enthalpy-off-reference" in found
    assert found["enthalpy-off-reference"].effect == pytest.approx(-4.4e3, abs=0.8e3)


def test_an_input_pulled_far_is_named():
    # Told dry and very sure of it; the room was damp, and the sensors are good enough to notice.
    sure = replace(faultless(SETUP), room_humidity=0.0, u_room_humidity=1e-3)
    warm = (288.15, 296.15, 304.15, 312.15, 320.15)
    points = made_points("ethanol", warm, setup=replace(SETUP, room_humidity=0.6), u=(0.002, 2.0))
    found = findings(points, "ethanol", setup=sure, sensors=GOOD)
    assert {"input-pulled", "scatter"} & grave(found)
    assert "enthalpy-off-reference" in found


def test_notes_say_what_was_not_told():
    found = findings(made_points(), unknown_liquid(), setup=replace(SETUP, room_humidity=None, plunger_drawn_back=None))
    assert {"unknown-liquid", "humidity-not-given", "plunger-not-given"} <= set(found)
    assert all(found[c].severity == "note" for c in ("unknown-liquid", "humidity-not-given", "plunger-not-given"))


def test_a_liquid_of_the_table_without_vapour_data_is_not_called_unknown():
    bare = replace(load_liquid("ethanol"), dz_form=None)
    found = findings(made_points("ethanol"), bare)["unknown-liquid"]
    assert (found.variant, found.facts["liquid"]) == ("no-dz", "ethanol")
    assert findings(made_points("ethanol"), None)["unknown-liquid"].variant == ""


def test_outside_the_range_of_the_vapour_data_the_fit_says_so_and_estimates():
    liquid = load_liquid("n-pentane")
    points = [
        FitPoint(t, 130e3 * np.exp(3200 * (1 / 317.0 - 1 / t)), 0.03, 100.0) for t in (318.0, 322.0, 326.0, 330.0)
    ]
    fit = fit_enthalpy(points, air="none", sensors=SensorPriors.none(), liquid=liquid)
    assert "outside-reference" in {f.code for f in fit.findings}
    assert fit.method["u_dz"] > 0.003


def test_findings_come_gravest_first():
    points = made_points("acetone")
    fit = fit_enthalpy(changed(points, 3, pressure=points[2].pressure - 2e3), baseline=BASELINE, setup=SETUP,
                       sensors=SENSORS, liquid=load_liquid("acetone"))  # fmt: skip
    order = [("refuse", "doubt", "note").index(f.severity) for f in fit.findings]
    assert order == sorted(order)
    assert len({f.code for f in fit.findings}) == len(fit.findings)


def test_healthy_runs_seldom_cry_wolf():
    rng, alarms, runs = np.random.default_rng(31), 0, 100
    count: Counter[str] = Counter()
    for _ in range(runs):
        found = grave(findings(made_points("n-heptane", rng=rng), "n-heptane"))
        count.update(found)
        alarms += bool(found)
    # At most 5 % are promised; 100 draws of 0.05 exceed 0.12 once in a thousand sets.
    assert alarms / runs <= 0.12, count


def test_a_severity_nobody_knows_is_a_mistake():
    with pytest.raises(ValueError, match="expected one of note, doubt, refuse"):
        Finding("x", "panic", None, None)
