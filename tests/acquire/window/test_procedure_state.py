"""Words of the procedure, without Qt."""

from __future__ import annotations

import dataclasses

import pytest

from acquire.acts import ACTS
from acquire.long_wait import LONG_WAIT
from acquire.snapshot import CautionView, Instruction, ProposalView, StepView
from acquire.window.next_act import ANSWER, next_act
from acquire.window.procedure_state import (
    MAX_ROWS,
    cautions_for,
    procedure_state,
    rows_for,
    step_text,
)


@pytest.mark.parametrize(
    ("step", "text"),
    [
        (
            StepView("room baseline", "room baseline", "done", None, {"temperature": 294.55, "pressure": 100_940.0}),
            "Room baseline  21.40\u00a0°C, 100.9\u00a0kPa",
        ),
        (StepView("soak", "soak", "current", None, {"seconds_left": 31.2}), "Soak in the bath  32\u00a0s"),
        (StepView("soak", "soak", "current", None, {"seconds_left": 0.0}), "Soak in the bath"),
        (StepView("plateau-5", "plateaus", "current", 310.15), "Plateau 5: to 37.0\u00a0°C"),
        (StepView("plateau-1", "plateaus", "current", None), "Plateau 1"),
        (
            StepView("plateau-2", "plateaus", "done", 298.15, {"temperature": 298.32, "pressure": 108_330.0}),
            "Plateau 2  25.17\u00a0°C, 108.33\u00a0kPa",
        ),
        (StepView("return", "return", "to do", 299.15), "Return point: cool to 26.0\u00a0°C"),
        (StepView("vent", "vent", "to do"), "Vent, then lift out the cell"),
        (StepView("new", "a stage of later", "to do"), "a stage of later"),
    ],
)
def test_a_step_says_what_it_is_and_what_came_of_it(step, text):
    assert step_text(step) == text


@pytest.mark.parametrize(
    ("instruction", "text"),
    [
        (Instruction("begin"), "Valve open, cell in the bath"),
        (Instruction("wait", seconds_left=24.0), "Keep still, 24\u00a0s"),
        (Instruction("wait"), "Keep still"),
        (Instruction("close_valve"), "Shut the valve"),
        (Instruction("charge"), "Inject the liquid"),
        (Instruction("warm", 310.15, 62e-6, 343.15), "Add 62\u00a0mL at 70\u00a0°C"),
        (Instruction("warm", 310.15), "Warm the bath to 37.0\u00a0°C"),
        (Instruction("cool", 299.15), "Cool the bath to 26.0\u00a0°C"),
        (Instruction("vent"), "Open the valve slowly"),
        (Instruction("finish"), "Close the run"),
        (Instruction("none"), "Nothing to do"),
    ],
)
def test_the_next_act_is_practical(snap, instruction, text):
    assert next_act(snap(instruction=instruction)).text == text


def test_warm_water_says_from_where_to_where_and_what_the_pressure_will_be(snap):
    act = next_act(snap(instruction=Instruction("warm", 310.15, 62e-6, 343.15, 40e-6, None, 117_000.0)))
    assert act.detail == (
        "First take 40\u00a0mL out of the bath. Brings the bath from 36.6 to 37.0\u00a0°C; stir slowly. "
        "The cell will then be near 117\u00a0kPa, 16 kPa above the room."
    )
    assert act.amount == (62.0, 70.0)


def test_who_has_charged_is_told_to_swirl_and_why(snap):
    told = next_act(snap(instruction=Instruction("charge", saturates_in=1083.0))).detail
    assert told.endswith("then swirl. Left still, the vapour would need about 18\u00a0min to fill the cell.")
    assert next_act(snap(instruction=Instruction("charge"))).detail.endswith("Press Enter, then swirl.")


@pytest.mark.parametrize(
    ("passed", "changes", "text"),
    [
        (5.0, {}, "Swirl the cell"),
        (25.0, {}, "Keep still, 40\u00a0s"),
        (5.0, {"stage": "return"}, "Keep still, 40\u00a0s"),
        (5.0, {"replayed": True}, "Keep still, 40\u00a0s"),
    ],
)
def test_the_cell_is_swirled_before_it_is_kept_still(snap, passed, changes, text):
    forming = ProposalView(False, 100.0, 100.0, 294.6, 100.4e3, 1)
    told = {"stage": "plateaus", "points": (), "proposal": forming, "time": 100.0 + passed, **changes}
    act = next_act(snap(instruction=Instruction("wait", seconds_left=40.0), **told))
    assert (act.heading, act.text) == ("Now" if text == "Swirl the cell" else "Wait", text)


def test_a_cooled_cell_is_said_to_be_below_the_room(snap):
    act = next_act(snap(instruction=Instruction("cool", 280.15, expected_pressure=98_900.0)))
    assert act.detail.endswith("2 kPa below the room.")


def test_waiting_says_what_is_waited_for(snap):
    assert next_act(snap()).detail == "pressure still has +0.21 kPa to come (± 0.04 kPa)"


def test_waiting_for_long_says_where_to_look_and_how_to_go_on(snap):
    """A plateau that never comes, as with a valve that stands open, must not leave a person waiting for ever."""
    leak = (("leak", "the pressure changes and the temperature does not explain it"),)

    def told(since, *, offered=False):
        forming = ProposalView(offered, since, since + 10.0, 309.73, 116_520.0, 3)
        return next_act(snap(time=2000.0, gates=leak, proposal=forming)).detail

    assert told(2000.0 - LONG_WAIT) == leak[0][1]
    assert told(2000.0 - LONG_WAIT - 30.0).startswith(
        f"{leak[0][1]}. Not level for 16\u00a0min: look at valve, stopper"
    )
    assert told(10.0, offered=True) == leak[0][1]


@pytest.mark.parametrize(("stage", "text"), [("plateaus", "Take point 3"), ("room baseline", "Take the baseline")])
def test_an_offer_says_what_is_offered(snap, stage, text):
    offered = ProposalView(True, 900.0, 960.0, 309.73, 116_520.0, 3)
    act = next_act(snap(stage=stage, instruction=Instruction("take"), proposal=offered))
    assert (act.text, act.detail) == (text, "36.58\u00a0°C, 116.52\u00a0kPa, steady for 1\u00a0min")


def test_before_the_run_the_sensors_are_held_against_the_room(snap):
    shown = next_act(snap(stage="set-up", instruction=Instruction("begin"))).detail
    assert shown.startswith("Reads 36.6\u00a0°C and 116.5\u00a0kPa: is that this room?")
    assert next_act(snap(instruction=Instruction("begin"), channels={})).detail.startswith("Waiting for the first")


def test_a_closed_run_says_where_everything_is(snap):
    act = next_act(snap(stage="closed", instruction=Instruction("none")))
    assert (act.text, act.detail) == ("The run is closed", "Everything is in bench7-run04.h5.")


def test_the_plan_is_told_as_far_as_it_is_known(snap):
    assert procedure_state(snap()).facts == "limit 38\u00a0°C"
    known = snap(facts={"cell_volume": 140e-6, "charge_volume": 2.5e-6}, title="Bench 7")
    assert procedure_state(known).facts == ("n-heptane · 140\u00a0mL cell · 2.5\u00a0mL charge · limit 38\u00a0°C")


def test_many_plateaus_are_folded_and_the_current_one_stays(snap):
    plateaus = [
        StepView(f"plateau-{n}", "plateaus", "done" if n < 5 else "current" if n == 5 else "to do", 300.0 + n)
        for n in range(1, 10)
    ]
    steps = (StepView("soak", "soak", "done"), *plateaus, StepView("return", "return", "to do", 299.15))
    rows = procedure_state(snap(steps=steps)).rows
    assert [row.text for row in rows] == [
        "Soak in the bath",
        "4 plateaus",
        "Plateau 5: to 31.9\u00a0°C",
        "4 more plateaus",
        "Return point: cool to 26.0\u00a0°C",
    ]
    assert len(rows) <= MAX_ROWS


def test_beside_two_cautions_only_the_steps_around_the_current_one_are_told(snap):
    shown = snap(cautions=tuple(CautionView(code, "warning", 1.0, {}) for code in ("over pressure", "boiling near")))
    assert [(row.sign, row.text) for row in procedure_state(shown).rows] == [
        ("✓", "4 steps done"),
        ("▶", "Plateau 2: to 29.0\u00a0°C"),
        ("", "Return point: cool to 26.0\u00a0°C"),
        ("", "Vent, then lift out the cell"),
    ]


def test_signs_tell_the_states_apart_without_colour(snap):
    signs = {row.state: row.sign for row in procedure_state(snap()).rows}
    assert signs == {"done": "✓", "current": "▶", "to do": ""}


def test_every_answer_is_an_act():
    assert set(ANSWER.values()) <= set(ACTS)


@pytest.mark.parametrize(
    ("height", "scale", "rows"), [(740, 1.0, MAX_ROWS), (1020, 1.2, MAX_ROWS + 3), (740, 2.0, 1), (640, 1.0, 6)]
)
def test_as_many_steps_are_shown_as_there_is_room_for(height, scale, rows):
    assert rows_for(height, scale) == rows


def test_beside_one_caution_the_latest_steps_stay_and_the_earliest_are_counted(snap):
    keys = ("room baseline", "soak", "leak check", "sealed baseline", "charge")
    steps = (
        *(StepView(key, key, "done") for key in keys),
        *(StepView(f"plateau-{n}", "plateaus", "done") for n in range(1, 4)),
        StepView("plateau-4", "plateaus", "current", 304.15),
        StepView("plateau-5", "plateaus", "to do", 307.15),
        StepView("vent", "vent", "to do"),
    )
    caution = CautionView("near temperature limit", "caution", 1.0, {"margin": 1.4, "limit": 311.15})
    rows = procedure_state(snap(steps=steps, cautions=(caution,))).rows
    assert [row.text for row in rows] == [
        "3 steps done",
        "Sealed baseline",
        "Charge",
        "3 plateaus",
        "Plateau 4: to 31.0\u00a0°C",
        "Plateau 5: to 34.0\u00a0°C",
        "Vent, then lift out the cell",
    ]


@pytest.mark.parametrize(
    ("most", "texts"),
    [
        (1, ["Plateau 2: to 29.0\u00a0°C"]),
        (2, ["Plateau 2: to 29.0\u00a0°C", "Return point: cool to 26.0\u00a0°C"]),
        (3, ["4 steps done", "Plateau 2: to 29.0\u00a0°C", "Return point: cool to 26.0\u00a0°C"]),
    ],
)
def test_in_the_smallest_room_the_current_step_stays(snap, most, texts):
    assert [row.text for row in procedure_state(snap(), most).rows] == texts


def test_cautions_are_counted_sooner_where_there_is_little_room():
    assert [cautions_for(rows) for rows in (13, 10, 7, 6, 1)] == [2, 2, 2, 1, 1]


@pytest.mark.parametrize("kind", ["begin", "close_valve", "charge", "warm", "cool", "vent"])
def test_where_a_stored_run_plays_again_nobody_is_asked_to_work_at_the_bench(snap, kind):
    asked = next_act(snap(instruction=Instruction(kind, target=309.15, water_volume=60e-6, water_temperature=343.15)))
    told = next_act(
        snap(replayed=True, instruction=Instruction(kind, target=309.15, water_volume=60e-6, water_temperature=343.15))
    )
    assert told.text == "Watch and decide"
    assert asked.text in told.detail
    assert told.amount is None


@pytest.mark.parametrize("kind", ["take", "wait", "finish"])
def test_what_is_to_be_decided_is_asked_on_a_stored_run_too(snap, kind):
    told = snap(instruction=Instruction(kind))
    assert next_act(dataclasses.replace(told, replayed=True)) == next_act(told)
