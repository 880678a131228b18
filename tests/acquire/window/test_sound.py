"""Tones as files, and playing them with what the machine has."""

from __future__ import annotations

import os
import stat
import wave

import pytest

from acquire.window.sound import RATE, TONES, SoundBox, find_player, samples, write_cue


@pytest.mark.parametrize("cue", TONES)
def test_a_cue_is_a_file_that_any_player_takes(tmp_path, cue):
    path = tmp_path / "cue.wav"
    write_cue(cue, path)
    with wave.open(str(path)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        assert file.getnframes() == len(samples(cue))


@pytest.mark.parametrize("cue", TONES)
def test_a_tone_neither_clips_nor_clicks(cue):
    made = samples(cue)
    assert max(made) < 32767
    assert max(abs(made[0]), abs(made[-1])) < 1500


def test_cues_are_told_apart_by_the_number_and_direction_of_their_tones():
    shapes = set()
    for parts in TONES.values():
        tones = [frequency for frequency, _ in parts if frequency]
        shapes.add((len(tones), tones[-1] > tones[0], tones[-1] < tones[0]))
    assert len(shapes) == len(TONES)


def test_a_cue_is_played_by_the_systems_player(qtbot, tmp_path):
    heard = tmp_path / "heard"
    player = tmp_path / "player"
    player.write_text(f'#!/bin/sh\necho "$1 $2" > {heard}\n', encoding="utf-8")
    player.chmod(player.stat().st_mode | stat.S_IXUSR)
    box = SoundBox((str(player), ("-q",)))
    box.play("offer")
    qtbot.waitUntil(lambda: heard.exists() and heard.read_text().strip() != "")
    assert heard.read_text().startswith("-q ")
    assert heard.read_text().strip().endswith("offer.wav")
    box.stop()


def test_a_player_that_is_not_there_is_a_bell_and_no_error(qtbot):
    box = SoundBox(("/no/such/player", ()))
    box.play("caution")
    assert box.played == ["caution"]
    box.stop()


def test_muted_means_silent():
    box = SoundBox(on=False)
    box.play("lost")
    assert box.played == []


def test_the_first_player_that_is_installed_is_taken(monkeypatch, tmp_path):
    program = tmp_path / "aplay"
    program.write_text("", encoding="utf-8")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert find_player() == (str(program), ("-q",))
    monkeypatch.setenv("PATH", os.devnull)
    assert find_player() is None
