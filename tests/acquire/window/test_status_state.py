"""Words of the status line, without Qt."""

from __future__ import annotations

import dataclasses

import pytest

from acquire.snapshot import FileView
from acquire.window.status_state import status_state


def test_the_line_says_what_is_written_where(snap):
    state = status_state(snap())
    assert (state.sign, state.file) == ("●", "writing bench7-run04.h5")
    assert state.counts == "12\u202f480 readings · 0 gaps · 10\u00a0Hz"
    assert state.clock == "17:10"


@pytest.mark.parametrize(
    ("file", "counts"),
    [
        (FileView("a.h5", 1, 1, 1, 0.5, True), "1 reading · 1 gap · 1 line rejected · 0.5\u00a0Hz"),
        (FileView("a.h5", 0, 0, 0, 0.0, True), "0 readings · 0 gaps"),
    ],
)
def test_counts_are_in_singular_and_plural(snap, file, counts):
    assert status_state(snap(file=file)).counts == counts


def test_without_a_file_nothing_pretends_to_be_written(snap):
    state = status_state(snap(file=FileView("", 5, 0, 0, 1.0, False)))
    assert (state.sign, state.file) == ("○", "no file")


def test_a_faster_clock_is_said(snap):
    assert status_state(snap(speed=60.0)).clock == "17:10 · 60×"


def test_the_longer_story_has_path_devices_and_how_settling_is_judged(snap):
    assert status_state(snap()).tip.split("\n") == [
        "/folder/bench7-run04.h5",
        "device: open.",
        "Tolerance in force: 0.100 K. as the plan says",
        "Bath drift: −0.012 K/min",
        "Probe runs +0.050 ± 0.010 K from the liquid",
    ]


def test_trouble_shows(snap):
    file = dataclasses.replace(snap().file, trouble="The disk is full.")
    assert status_state(snap(file=file)).trouble
