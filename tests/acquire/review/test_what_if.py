"""Asking again: the same question gives the stored answer, another one moves it the way physics says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from acquire.plan import RunPlan
from acquire.review.what_if import Answer, WhatIf, answer, changed_plan, fit_input, recomputed


def value(found: Answer) -> float:
    assert found.fit is not None
    return found.fit.enthalpy_vap.value


def test_the_same_question_gives_the_stored_answer_to_the_last_digit(recorded):
    stored = recorded.results[-1]
    assert value(answer(recorded)) == pytest.approx(stored["enthalpy_vap"]["value"], rel=1e-12)
    assert recomputed(recorded, stored) is not None


def test_a_result_that_the_record_does_not_give_is_not_taken_for_its_own(recorded):
    stored = recorded.results[-1]
    other = {**stored, "enthalpy_vap": {**stored["enthalpy_vap"], "value": stored["enthalpy_vap"]["value"] * 1.001}}
    assert recomputed(recorded, other) is None


def test_a_record_without_a_plan_of_ours_is_not_recomputed(recorded):
    assert recomputed(replace(recorded, plan={"cell": {"volume": -1}}), recorded.results[-1]) is None


def test_moister_air_in_the_inputs_lowers_the_enthalpy(recorded):
    # physics: moisture shut in and not entered makes the enthalpy too large, so entering it brings it down
    dry, moist = (value(answer(recorded, WhatIf(plan={"room.humidity": share}))) for share in (0.0, 0.8))
    assert moist < dry


def test_a_larger_sensor_uncertainty_widens_the_interval_and_hardly_moves_the_value(recorded):
    usual = answer(recorded)
    wide = answer(recorded, WhatIf(plan={"sensors.pressure.u_offset": 8e3}))
    assert wide.fit.enthalpy_vap.standard_uncertainty > usual.fit.enthalpy_vap.standard_uncertainty
    low, high = usual.fit.enthalpy_vap.interval_95
    assert low < value(wide) < high


def test_a_point_left_out_is_not_used_and_the_record_keeps_it(recorded):
    found = answer(recorded, WhatIf(use={2: False}))
    assert found.fit.as_dict()["method"]["points_used"] == len(recorded.points) - 1
    assert recorded.points[1].used


def test_a_point_set_aside_can_be_used_again_for_one_look(recorded):
    aside = replace(recorded, points=(replace(recorded.points[0], used=False), *recorded.points[1:]))
    assert answer(aside, WhatIf(use={1: True})).fit.as_dict()["method"]["points_used"] == len(recorded.points)


def test_without_the_correction_the_probes_own_temperatures_go_in(recorded):
    points = (replace(recorded.points[0], lag=-0.2, u_lag=0.05, temperature=294.9), *recorded.points[1:])
    raw = fit_input(points, WhatIf(lag_corrected=False))
    assert raw[0].temperature == points[0].temperature_probe
    assert (raw[0].lag, raw[0].u_lag) == (0.0, 0.0)
    assert fit_input(points, WhatIf())[0].temperature == 294.9


def test_another_liquid_changes_what_is_known_of_the_vapour(recorded):
    unknown = answer(recorded, WhatIf(liquid="unknown"))
    assert unknown.fit.as_dict()["method"]["liquid"] is None
    assert unknown.fit.enthalpy_vap.standard_uncertainty > 0


def test_a_refusal_is_an_answer_with_its_sentence(recorded):
    found = answer(recorded, WhatIf(use={1: False, 2: False, 3: False}))
    assert found.fit is None
    assert "expected" in found.refused
    assert found.why_not("en") == found.refused
    assert "brauchbarer Punkt" in found.why_not("de")


def test_a_liquid_that_is_not_known_is_refused_with_the_way_out(recorded):
    found = answer(recorded, WhatIf(liquid="n-hepten"))
    assert found.fit is None
    assert "n-heptane" in found.refused


def test_changes_of_a_plan_are_checked_and_leave_the_plan_alone():
    plan = RunPlan()
    changed = changed_plan(plan, {"cell.volume": 150e-6, "air.mode": "none"})
    assert (changed.cell.volume, changed.air.mode) == (150e-6, "none")
    assert plan.cell.volume == 140e-6


def test_a_path_that_no_plan_has_is_named():
    with pytest.raises(KeyError, match=r"a plan has no 'cell\.colour'"):
        changed_plan(RunPlan(), {"cell.colour": 1.0})


@pytest.mark.parametrize(("path", "bad"), [("room.humidity", 1.4), ("air.mode", "guessed")])
def test_a_value_that_a_plan_does_not_allow_is_refused(path, bad):
    with pytest.raises(ValueError, match=path.split(".")[0]):
        changed_plan(RunPlan(), {path: bad})
