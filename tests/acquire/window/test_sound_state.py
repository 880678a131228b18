"""Which sound when, without a loudspeaker."""

from __future__ import annotations

import dataclasses

from acquire.snapshot import CautionView, ProposalView
from acquire.window.sound_state import CAUTION, LOST, OFFER, CueMemory


def offer(number=3, start=900.0):
    return ProposalView(True, start, start + 60.0, 309.73, 116_520.0, number)


def test_an_offer_sounds_once(snap):
    memory = CueMemory()
    assert memory.cue(snap(proposal=offer()), 0.0) == OFFER
    assert memory.cue(snap(proposal=offer(start=901.0)), 0.1) is None
    assert memory.cue(snap(proposal=None), 0.2) is None
    assert memory.cue(snap(proposal=offer(4)), 0.3) == OFFER


def test_what_was_taken_by_itself_is_heard_like_an_offer(snap):
    assert CueMemory().cue(snap(), 0.0, "Point 3 was taken") == OFFER


def test_a_forming_plateau_is_silent(snap):
    assert CueMemory().cue(snap(), 0.0) is None


def test_a_caution_sounds_at_most_once_a_minute(snap):
    memory, told = CueMemory(), snap(cautions=(CautionView("over pressure", "warning", 1.0, {}),))
    heard = [memory.cue(told, float(second)) for second in range(125)]
    assert [second for second, cue in enumerate(heard) if cue == CAUTION] == [0, 60, 120]


def test_a_caution_that_flickers_does_not_ring_every_time(snap):
    memory, told = CueMemory(), snap(cautions=(CautionView("over pressure", "warning", 1.0, {}),))
    heard = [memory.cue(told if second % 2 else snap(), float(second)) for second in range(50)]
    assert heard.count(CAUTION) == 1


def test_a_lost_device_outranks_the_rest(snap):
    told = snap(
        devices=(("probe", "lost", ""),), proposal=offer(), cautions=(CautionView("over pressure", "warning", 1.0, {}),)
    )
    assert CueMemory().cue(told, 0.0) == LOST


def test_old_readings_sound_like_a_lost_device(snap):
    channels = dict(snap().channels)
    channels["pressure"] = dataclasses.replace(channels["pressure"], silent=4.0)
    assert CueMemory().cue(snap(channels=channels), 0.0) == LOST
