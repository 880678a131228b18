"""The window's end of a run: what it shows while nobody answers, and how it finds the recorder again."""

from __future__ import annotations

import numpy as np
import pytest

from acquire.acts import NOTE, TAKE, Act
from acquire.journal import Entry
from acquire.recorder_messages import RecorderError
from acquire.run import ActRefused
from acquire.window.cautions_state import caution_cards
from acquire.window.readouts_state import readout_states
from acquire.window.run_link import REJOIN_EVERY, RunLink, aged
from acquire.window.start_state import Finished

JOURNAL = tuple(Entry(n, float(n), n, "act", "person", True, f"note {n}") for n in range(200))


class Recorder:
    """Answers until it is broken."""

    def __init__(self, snapshot):
        self.shown, self.broken, self.asked, self.entries_asked = snapshot, "", 0, 0

    def snapshot(self):
        self.asked += 1
        self._break()
        return self.shown

    def act(self, act):
        self._break()
        if act.name == TAKE:
            raise ActRefused("take", "vent", ("vented",))

    def trace(self, channel, since=0):
        self._break()
        time = np.arange(5.0)[since : since + 2]
        return time, 300.0 + time

    def entries(self, since=0):
        self._break()
        self.entries_asked += 1
        return JOURNAL[since:]

    def _break(self):
        if self.broken:
            raise RecorderError(self.broken)


@pytest.fixture
def clock():
    return [0.0]


@pytest.fixture
def recorder(snap):
    return Recorder(snap())


@pytest.fixture
def link(recorder, clock):
    return RunLink(recorder, Finished, lambda: recorder, lambda: clock[0])


def test_readings_come_once_and_in_pieces(link):
    pieces = [link.readings("temperature") for _ in range(4)]
    assert [list(piece[0]) for piece in pieces if piece is not None] == [[0.0, 1.0], [2.0, 3.0], [4.0]]
    assert pieces[3] is None
    assert list(link.readings("pressure")[0]) == [0.0, 1.0]


def test_a_window_that_comes_late_gets_the_journal_from_its_beginning(link, recorder):
    assert [entry.number for entry in link.entries(JOURNAL[100:150])] == list(range(200))
    assert link.entries(JOURNAL[150:200]) == ()
    assert recorder.entries_asked == 1


def test_while_the_tail_holds_all_that_is_new_nobody_is_asked(link, recorder):
    found = [*link.entries(JOURNAL[:3]), *link.entries(JOURNAL[:40]), *link.entries(JOURNAL[20:70])]
    assert [entry.number for entry in found] == list(range(70))
    assert recorder.entries_asked == 0


def test_entries_that_could_not_be_asked_for_come_once_the_recorder_is_back(link, recorder, clock):
    recorder.broken = "gone"
    assert link.entries(JOURNAL[150:200]) == ()
    assert link.trouble == "gone"
    recorder.broken = ""
    assert len(link.entries(JOURNAL[150:200])) == 200


def test_while_nobody_answers_the_numbers_grow_old(link, recorder, clock):
    assert link.snapshot() is recorder.shown
    recorder.broken = "the recorder does not answer"
    clock[0] = 1.0
    assert readout_states(link.snapshot())[0].value == "36.58"
    clock[0] = 12.0
    shown = link.snapshot()
    assert readout_states(shown)[0].value == "—"
    headings = [card.heading for card in caution_cards(shown)]
    assert "Run file in trouble" in headings
    assert "No temperature for 12\u00a0s" in headings


def test_it_is_looked_for_now_and_then_and_not_at_every_frame(link, recorder, clock):
    link.snapshot()
    recorder.broken = "gone"
    for frame in range(30):
        clock[0] = frame / 30.0
        link.snapshot()
    assert recorder.asked == 2


def test_a_recorder_that_comes_back_is_shown_at_once(link, recorder, clock):
    link.snapshot()
    recorder.broken = "gone"
    link.snapshot()
    recorder.broken = ""
    clock[0] = REJOIN_EVERY + 0.1
    assert link.snapshot() is recorder.shown
    assert link.trouble == ""


def test_without_another_process_nobody_is_looked_for(recorder, clock):
    link = RunLink(recorder, Finished, None, lambda: clock[0])
    recorder.broken = "gone"
    assert link.snapshot() is None
    recorder.broken = ""
    clock[0] = 100.0
    assert link.snapshot() is None


def test_after_the_run_nobody_is_asked_any_more(link, recorder, snap):
    recorder.shown = snap(stage="closed")
    link.snapshot()
    recorder.broken = "the recorder has ended"
    assert link.snapshot().stage == "closed"
    assert link.trouble == ""


def test_a_refusal_and_a_broken_line_are_sentences(link, recorder):
    assert link.act(Act(NOTE, data={"text": "x"})) == ""
    assert link.act(Act(TAKE)) == "cannot 'take' in the stage 'vent'; possible: vented"
    recorder.broken = "gone"
    assert link.act(Act(NOTE, data={"text": "x"})) == "gone"


def test_an_old_snapshot_ages_with_the_speed_of_the_run(snap):
    old = aged(snap(speed=60.0), 1.0, "")
    assert old.channels["pressure"].silent == pytest.approx(60.1)
    assert old.file.trouble == ""
