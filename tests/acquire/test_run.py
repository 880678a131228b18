"""The run as a state machine: one whole run written out by hand, and every refusal."""

from __future__ import annotations

import pytest

from acquire import acts, stages
from acquire.acts import Act
from acquire.plan import stored_plan
from acquire.run import ActRefused, Run
from analysis.evaporation_heat import cooling_by_vapour
from analysis.liquids import load_liquid
from drivers.readings import DeviceNotice
from tests.acquire.formula_bench import ROOM_PRESSURE, START, FormulaBench, feed, feed_until, vapour_pressure

TARGETS = (298.15, 302.15)


def make_run(*, automatic: bool = True, return_to: float | None = 296.15) -> Run:
    plan = stored_plan(
        {
            "bath": {"targets": TARGETS, "return_to": return_to},
            "room": {"humidity": 0.4},
            "settle": {"automatic": automatic, "soak": 10.0, "leak_hold": 60.0, "mode": "raw"},
        }
    )
    return Run(plan, load_liquid("n-heptane"))


def through_the_charge(run: Run, bench: FormulaBench) -> None:
    """Begin, both baselines, charge."""
    run.act(Act(acts.BEGIN))
    feed_until(run, bench, lambda: run.stage == stages.SOAK)
    feed_until(run, bench, lambda: run.time - run.stage_since >= 10.0)
    bench.shut = True
    run.act(Act(acts.VALVE_CLOSED))
    feed_until(run, bench, lambda: run.stage == stages.CHARGE)
    bench.charged = True
    run.act(Act(acts.CHARGED))


@pytest.mark.slow
def test_a_whole_run_written_out_by_hand() -> None:
    run, bench = make_run(), FormulaBench()
    assert run.stage == stages.SET_UP
    through_the_charge(run, bench)
    room, sealed = run.baseline("room"), run.baseline("sealed")
    assert room is not None
    assert room.pressure == pytest.approx(ROOM_PRESSURE, abs=5.0)
    assert sealed is not None
    assert sealed.temperature == pytest.approx(START, abs=0.02)
    feed_until(run, bench, lambda: len(run.points) == 1)
    for number, target in enumerate(TARGETS, 2):
        bench.warm_to(target)
        run.act(Act(acts.WARMED))
        feed_until(run, bench, lambda n=number: len(run.points) == n)
    assert run.stage == stages.RETURN
    bench.warm_to(296.15)
    run.act(Act(acts.COOLED))
    feed_until(run, bench, lambda: run.stage == stages.VENT)
    run.act(Act(acts.VENTED))
    assert run.closed
    assert [p.branch for p in run.points] == ["up", "up", "up", "return"]
    for point in run.points:
        expected = ROOM_PRESSURE * point.temperature / START + vapour_pressure(point.temperature)
        # The cell follows at once here: any lag that was corrected is an error, within the uncertainty stated.
        assert point.pressure == pytest.approx(expected, abs=3 * 900.0 * point.u_temperature + 3 * point.u_pressure)
    assert run.result is not None
    low, high = run.result["enthalpy_vap"]["interval_95"]
    # Slope of the bench's own formula, ln(12326.4/4722.2) R/(1/293.15 - 1/313.15) = 36.61 kJ/mol, times dZ = 0.99.
    assert low < 36.61e3 * 0.99 < high
    kinds = [entry.data["to"] for entry in run.journal.of_kind("stage")]
    assert kinds == list(stages.ORDER[1:])


def test_asked_mode_waits_for_an_answer_and_setting_aside_keeps_the_run_going() -> None:
    run, bench = make_run(automatic=False), FormulaBench()
    run.act(Act(acts.BEGIN))
    feed_until(run, bench, lambda: run.proposal is not None)
    assert run.baselines == ()
    run.act(Act(acts.SET_ASIDE, data={"reason": "draught"}))
    assert run.proposal is None
    assert run.stage == stages.ROOM_BASELINE
    feed_until(run, bench, lambda: run.proposal is not None)
    run.act(Act(acts.TAKE))
    assert run.stage == stages.SOAK


def test_an_illegal_act_says_what_is_possible_and_changes_nothing() -> None:
    run = make_run()
    before = len(run.journal)
    with pytest.raises(ActRefused) as refused:
        run.act(Act(acts.CHARGED))
    assert str(refused.value) == (
        "cannot 'charged' in the stage 'set-up' (not at this stage); possible: begin, note, finish"
    )
    assert len(run.journal) == before
    assert run.stage == stages.SET_UP


def test_take_is_refused_before_there_are_readings() -> None:
    run = make_run()
    run.act(Act(acts.BEGIN))
    with pytest.raises(ActRefused, match="there are no readings yet"):
        run.act(Act(acts.TAKE))


def test_take_is_refused_after_half_a_minute_without_readings(charged_run) -> None:
    run, bench = charged_run
    feed_until(run, bench, lambda: len(run.points) == 1)
    length, seen = len(run.journal), run.time
    with pytest.raises(ActRefused, match="only 0 seconds in it have both readings"):
        run.act(Act(acts.TAKE), time=seen + 30.0)
    assert len(run.journal) == length
    assert run.time == seen
    run.act(Act(acts.TAKE), time=seen + 5.0)
    assert len(run.points) == 2


def test_a_note_needs_text() -> None:
    run = make_run()
    with pytest.raises(ActRefused, match="a note needs text"):
        run.act(Act(acts.NOTE))
    run.act(Act(acts.NOTE, data={"text": "stirrer on"}))
    assert run.journal[-1].data["text"] == "stirrer on"


def test_set_aside_undo_and_redo_only_append(charged_run) -> None:
    run, bench = charged_run
    feed_until(run, bench, lambda: len(run.points) == 1)
    run.act(Act(acts.SET_ASIDE, data={"point": 1, "reason": "cell was lifted"}))
    assert not run.points[0].used
    length = len(run.journal)
    run.act(Act(acts.UNDO))
    assert run.points[0].used
    run.act(Act(acts.REDO))
    assert not run.points[0].used
    assert run.points[0].reason == "cell was lifted"
    run.act(Act(acts.RESTORE, data={"point": 1}))
    assert run.points[0].used
    assert len(run.journal) > length


def test_a_window_can_be_changed_and_a_wrong_one_is_refused(charged_run) -> None:
    run, bench = charged_run
    feed_until(run, bench, lambda: len(run.points) == 1)
    point = run.points[0]
    shifted = {"point": 1, "start": point.start + 2.0, "end": point.end - 2.0, "reason": "a bump"}
    run.act(Act(acts.WINDOW, data=shifted))
    assert (run.points[0].start, run.points[0].end) == (point.start + 2.0, point.end - 2.0)
    for wrong, why in (
        ({"point": 9, "start": 0.0, "end": 60.0}, "there is no point 9"),
        ({"point": 1, "start": 60.0, "end": 50.0}, "three or more apart"),
        ({"point": 1, "start": 1e6, "end": 1e6 + 60.0}, "only 0 seconds"),
    ):
        with pytest.raises(ActRefused, match=why):
            run.act(Act(acts.WINDOW, data=wrong))
    run.act(Act(acts.UNDO))
    assert run.points[0] == point


def test_opening_the_valve_before_the_charge_goes_back_to_the_soak() -> None:
    run, bench = make_run(), FormulaBench()
    run.act(Act(acts.BEGIN))
    feed_until(run, bench, lambda: run.stage == stages.SOAK)
    run.act(Act(acts.VALVE_CLOSED))
    run.act(Act(acts.VALVE_OPENED))
    assert run.stage == stages.SOAK


def test_next_leaves_the_plateaus_for_the_return_or_the_vent(charged_run) -> None:
    run, _ = charged_run
    run.act(Act(acts.NEXT))
    assert run.stage == stages.RETURN
    run.act(Act(acts.NEXT))
    assert run.stage == stages.VENT


def test_a_closed_run_takes_no_more_readings() -> None:
    run, bench = make_run(), FormulaBench()
    run.act(Act(acts.FINISH))
    feed(run, bench, 10.0)
    assert run.blocks == []
    with pytest.raises(ActRefused, match="the run is closed"):
        run.act(Act(acts.BEGIN))


def test_a_bath_change_that_nobody_marked_is_seen(charged_run) -> None:
    run, bench = charged_run
    feed_until(run, bench, lambda: len(run.points) == 1)
    bench.warm_to(TARGETS[0])
    feed_until(run, bench, lambda: len(run.points) == 2)
    assert [entry.kind for entry in run.journal if entry.kind == "bath"] == ["bath"]


def test_one_plateau_gives_one_point(charged_run) -> None:
    run, bench = charged_run
    feed_until(run, bench, lambda: len(run.points) == 1)
    for _ in range(300):
        feed(run, bench)
    assert len(run.points) == 1


def test_device_notices_are_journalled_as_given() -> None:
    run = make_run()
    run.notice(DeviceNotice(3.0, "lost", "box", "lost the box"))
    assert run.journal[-1].given
    assert run.journal[-1].data["event"] == "lost"


@pytest.fixture
def charged_run() -> tuple[Run, FormulaBench]:
    run, bench = make_run(), FormulaBench()
    through_the_charge(run, bench)
    return run, bench


def test_the_judge_knows_what_evaporation_costs_in_the_cell_of_the_plan(charged_run) -> None:
    run, _ = charged_run
    plan, told = run.plan.cell, run.judge._cell.cell.cooling
    assert told(300.0) == cooling_by_vapour(run.liquid, plan.volume, plan.charge, 300.0)
    assert 1e-5 < told(300.0) < 1e-2


def test_a_target_over_the_limit_is_told_with_the_bath_temperature_of_the_limit(charged_run) -> None:
    run, bench = charged_run
    feed_until(run, bench, lambda: len(run.points) == 1)
    assert not run.cautions.active
    run.plan = run.plan.model_copy(update={"limits": run.plan.limits.model_copy(update={"over_pressure": 7e3})})
    feed(run, bench)
    (caution,) = [c for c in run.cautions.active if c.code == "target over pressure"]
    limit = run.baseline("room").pressure + 7e3
    assert run.forecast_pressure(caution.data["reached"]) == pytest.approx(limit, abs=5.0)
    assert START < caution.data["reached"] < caution.data["target"]


def test_a_small_charge_is_told_before_it_goes_in() -> None:
    run, bench = make_run(), FormulaBench()
    run.plan = run.plan.model_copy(update={"cell": run.plan.cell.model_copy(update={"charge": 0.1e-6})})
    run.act(Act(acts.BEGIN))
    feed_until(run, bench, lambda: run.stage == stages.SOAK)
    feed_until(run, bench, lambda: run.time - run.stage_since >= 10.0)
    bench.shut = True
    run.act(Act(acts.VALVE_CLOSED))
    assert not run.cautions.active
    feed_until(run, bench, lambda: run.stage == stages.CHARGE)
    feed(run, bench)
    assert [c.code for c in run.cautions.active] == ["small charge"]
