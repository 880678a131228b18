"""Whoever follows a run is told where it went when its folder was lost, and goes on there."""

from __future__ import annotations

import itertools
import shutil

import numpy as np
import pytest

from acquire.commands.main import main
from acquire.recorder_sink import RecordingSink
from acquire.runfile.integrity import verify
from acquire.runfile.opened import OpenRun
from acquire.whereabouts import MOST_STEPS, forget, leave_word, went_to
from drivers.readings import PRESSURE
from tests.acquire.runfile.sample_run import BASELINES, END, HEADER, POINTS, RESULT, joined
from tests.acquire.test_recorder_sink import SMALL, Bench, refuse_below


@pytest.fixture
def bench(tmp_path):
    sink = RecordingSink(tmp_path / "stick" / "run.h5", HEADER, fallbacks=[tmp_path / "spare"], ballast=SMALL)
    bench = Bench(sink)
    bench.feed(5)
    yield bench
    if not sink.closed:
        sink.abandon()


def test_who_follows_a_run_goes_on_in_the_fallback_folder(bench, tmp_path):
    with OpenRun(bench.sink.path) as followed:
        assert followed.went_to is None
        assert followed.moved_words == ""
        shutil.rmtree(tmp_path / "stick")
        bench.feed(5)
        there = tmp_path / "spare" / "run.h5"
        assert followed.went_to == there
        made_later = f"The recording went on as {there}; the run file is made there when the run is closed."
        assert followed.moved_words == made_later
        assert followed.refresh()
        assert len(followed.traces[PRESSURE]) == 60  # the loss is noticed a second later; what was there stays readable
        assert bench.sink.close(END, POINTS, BASELINES, [RESULT]) == there
        assert followed.refresh()
        assert followed.path == there
        assert not followed.live
        np.testing.assert_array_equal(followed.traces[PRESSURE].value, joined(bench.given[PRESSURE], "value"))
        assert not followed.refresh()


def test_verify_says_where_the_rest_is(bench, tmp_path, monkeypatch):
    path = bench.sink.path
    with monkeypatch.context() as patched:
        refuse_below(patched, path.parent)
        bench.feed(5)
    bench.sink.close(END, POINTS, BASELINES, [RESULT])
    there = tmp_path / "spare" / "run.h5"
    assert path.with_name("run.h5.moved").read_text().splitlines()[0] == str(there)
    assert verify(there).intact
    assert verify(path).advice == f"The recording went on as {there}: everything from the beginning is there."


def test_a_new_run_of_the_same_name_went_nowhere(tmp_path):
    path = tmp_path / "run.h5"
    leave_word(path, tmp_path / "other" / "run.h5")
    assert went_to(path) == tmp_path / "other" / "run.h5"
    sink = RecordingSink(path, HEADER, ballast=SMALL)
    sink.discard()
    assert went_to(path) is None


def test_it_is_followed_from_folder_to_folder_but_not_in_circles(tmp_path):
    places = [tmp_path / str(n) / "run.h5" for n in range(3)]
    for old, new in itertools.pairwise(places):
        leave_word(old, new)
    assert went_to(places[0]) == places[2]
    leave_word(places[2], places[0])
    assert went_to(places[0]) in places
    assert MOST_STEPS < 100
    forget(places[0])
    assert went_to(places[0]) is None


@pytest.mark.parametrize("text", ["", "/etc/passwd", "x" * 20_000, "/somewhere\nelse\n", "\x00\n"])
def test_other_texts_lead_nowhere(tmp_path, text):
    path = tmp_path / "run.h5"
    path.with_name("run.h5.moved").write_text(text)
    assert went_to(path) is None


def test_a_full_disk_keeps_no_empty_file_and_the_other_place_says_it(tmp_path, monkeypatch):
    path = tmp_path / "run.h5"
    write = type(path).write_text

    def full(self, text, **options):
        if self.parent == tmp_path:
            self.touch()
            raise OSError(28, "No space left on device")
        return write(self, text, **options)

    monkeypatch.setattr(type(path), "write_text", full)
    leave_word(path, tmp_path / "other" / "run.h5")
    assert not (tmp_path / "run.h5.moved").exists()
    assert went_to(path) == tmp_path / "other" / "run.h5"


@pytest.mark.parametrize("command", ["fit", "replay", "report", "export"])
def test_commands_tell_whoever_reads_the_beginning_only(bench, tmp_path, monkeypatch, capsys, command):
    path = bench.sink.path
    with monkeypatch.context() as patched:
        refuse_below(patched, path.parent)
        bench.feed(5)
    there = bench.sink.close(END, POINTS, BASELINES, [RESULT])
    main([command, str(path)])
    assert f"The recording went on as {there}: everything from the beginning is there." in capsys.readouterr().err
    main([command, str(there)])
    assert "went on" not in capsys.readouterr().err


@pytest.mark.parametrize("command", ["fit", "verify", "review"])
def test_commands_tell_whoever_looks_for_a_file_that_went_with_its_folder(bench, tmp_path, capsys, command):
    path = bench.sink.path
    shutil.rmtree(path.parent)
    bench.feed(5)
    there = bench.sink.close(END, POINTS, BASELINES, [RESULT])
    assert main([command, str(path)]) == 1
    assert f"The recording went on as {there}: everything from the beginning is there." in capsys.readouterr().err
