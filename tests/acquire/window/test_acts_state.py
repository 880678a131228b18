"""Which acts are offered when, without Qt."""

from __future__ import annotations

import pytest

from acquire import acts
from acquire.snapshot import Instruction, ProposalView
from acquire.window.acts_state import LABELS, act_for, acts_state, window_act

OFFERED = ProposalView(True, 900.0, 960.0, 309.73, 116_520.0, 3)


def row(state):
    return [(button.act, button.enabled, button.due) for button in state.row]


def test_while_a_plateau_forms_it_can_be_taken_but_is_not_due(snap):
    state = acts_state(snap())
    assert row(state)[0] == (acts.TAKE, True, False)
    assert state.row[0].label == "Take it now"
    assert not state.row[1].enabled  # nothing to set aside yet


def test_an_offered_plateau_makes_taking_due(snap):
    state = acts_state(snap(proposal=OFFERED, instruction=Instruction("take")))
    assert row(state)[:2] == [(acts.TAKE, True, True), (acts.SET_ASIDE, True, False)]
    assert (state.row[0].label, state.row[0].key) == ("Take plateau", "␣")


@pytest.mark.parametrize(
    ("kind", "act", "label"),
    [
        ("begin", acts.BEGIN, "Begin"),
        ("close_valve", acts.VALVE_CLOSED, "Valve is shut"),
        ("charge", acts.CHARGED, "Liquid is in"),
        ("warm", acts.WARMED, "Warm water is in"),
        ("cool", acts.COOLED, "Cold water is in"),
        ("vent", acts.VENTED, "Cell is vented"),
    ],
)
def test_what_is_asked_for_comes_first_and_is_due_with_enter(snap, kind, act, label):
    state = acts_state(snap(instruction=Instruction(kind), possible_acts=(act, acts.NOTE)))
    first = state.row[0]
    assert (first.act, first.label, first.key, first.due) == (act, label, "⏎", True)
    assert state.answer == act


def test_what_the_run_does_not_allow_is_no_answer(snap):
    state = acts_state(snap(instruction=Instruction("warm"), possible_acts=(acts.NOTE,)))
    assert state.answer is None


def test_a_chosen_point_can_be_set_aside_and_an_unused_one_used_again(snap, point):
    chosen = acts_state(snap(), selected=2)
    assert ("Set point 2 aside", True) in [(button.label, button.enabled) for button in chosen.row]
    assert acts.RESTORE not in chosen.enabled
    aside = acts_state(snap(points=(point(1), point(2, used=False))), selected=2)
    assert ("Use point 2 again", True) in [(button.label, button.enabled) for button in aside.row]
    assert acts.SET_ASIDE not in aside.enabled


@pytest.mark.parametrize(("undo", "redo"), [(True, False), (False, True), (False, False)])
def test_undo_and_redo_follow_the_snapshot(snap, undo, redo):
    enabled = acts_state(snap(can_undo=undo, can_redo=redo)).enabled
    assert (acts.UNDO in enabled, acts.REDO in enabled) == (undo, redo)


def test_every_act_but_a_window_has_a_key_of_its_own():
    assert set(LABELS) == set(acts.ACTS) - {acts.WINDOW}
    keys = [key for _, key in LABELS.values()]
    assert len(set(keys)) == len(keys)


def test_no_plain_key_ends_a_run():
    assert all(LABELS[act][1].startswith("Ctrl+") for act in (acts.VENTED, acts.FINISH))


def test_poured_water_goes_along_in_si(snap):
    act = act_for(acts.WARMED, snap(), amount=(62.0, 70.0))
    assert act.data == pytest.approx({"volume": 62e-6, "temperature": 343.15})
    assert act_for(acts.WARMED, snap()).data == {}


def test_setting_aside_names_the_point_and_a_reason(snap):
    assert act_for(acts.SET_ASIDE, snap(), selected=2).data == {"point": 2, "reason": "set aside by hand"}
    assert act_for(acts.SET_ASIDE, snap()).data == {}
    assert act_for(acts.NOTE, snap(), text="bubbles").data == {"text": "bubbles"}


def test_a_moved_window_says_so():
    assert window_act(2, 10.0, 70.0).data == {
        "point": 2, "start": 10.0, "end": 70.0, "reason": "window moved by hand",
    }  # fmt: skip


def test_where_a_stored_run_plays_again_no_work_at_the_bench_is_offered(snap):
    state = acts_state(snap(replayed=True, possible_acts=("take", "note", "finish"), instruction=Instruction("vent")))
    assert [button.act for button in state.row] == [acts.TAKE, acts.SET_ASIDE, acts.NOTE, acts.FINISH]
    assert state.answer is None
    assert {acts.NEXT, acts.VENTED, acts.CHARGED, acts.WARMED} <= state.absent
    assert not acts_state(snap()).absent
