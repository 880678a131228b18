"""One writer per file; readers are never in the way, and the lock ends with the process that had it."""

from __future__ import annotations

import os
import subprocess
import sys

import h5py
import pytest

from acquire.file_lock import hold, is_held


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "file"
    path.write_bytes(b"content")
    return path


def test_a_held_file_is_seen_to_be_held_until_it_is_let_go(path):
    handle = hold(path)
    assert handle is not None
    assert is_held(path)
    os.close(handle)
    assert not is_held(path)


def test_a_second_writer_is_refused(path):
    handle = hold(path)
    assert hold(path) is None
    os.close(handle)
    again = hold(path)
    assert again is not None
    os.close(again)


def test_asking_does_not_take_it(path):
    assert not is_held(path)
    handle = hold(path)
    assert is_held(path)
    assert is_held(path)
    os.close(handle)


def test_what_is_not_there_is_not_held(tmp_path):
    assert not is_held(tmp_path / "none")


def test_opening_and_closing_the_file_elsewhere_in_the_process_does_not_let_it_go(path):
    handle = hold(path)
    assert path.read_bytes() == b"content"
    assert is_held(path)
    os.close(handle)


def test_a_dead_process_holds_nothing(path):
    script = "import os, sys; from acquire.file_lock import hold; hold(sys.argv[1]); os.kill(os.getpid(), 9)"
    subprocess.run([sys.executable, "-c", script, str(path)], check=False)
    assert not is_held(path)


def test_the_hdf5_library_reads_a_held_file(tmp_path):
    path = tmp_path / "x.h5"
    with h5py.File(path, "w") as file:
        file["a"] = 1
    handle = hold(path)
    with h5py.File(path, "r") as file:
        assert file["a"][()] == 1
    assert is_held(path)
    os.close(handle)
