"""Looking at a file in another process says the same, and survives what the library does not."""

from __future__ import annotations

import subprocess
import sys

import pytest

from acquire.runfile import apart
from acquire.runfile.apart import repair_apart, verify_apart
from acquire.runfile.errors import DamagedFileError, NotARunFileError
from acquire.runfile.integrity import verify
from tests.acquire.runfile.sample_run import END, closed_run


def test_it_says_the_same_as_in_this_process(tmp_path):
    path = tmp_path / "run.h5"
    closed_run(path, 5)
    assert verify_apart(path) == verify(path)
    assert verify(repair_apart(path, now_iso=END)).readings == verify(path).readings


def test_what_is_no_run_file_is_refused_with_the_same_words(tmp_path):
    path = tmp_path / "x.h5"
    path.write_bytes(b"hello")
    with pytest.raises(NotARunFileError, match="is not an HDF5 file"):
        verify_apart(path)


def answering(monkeypatch, code):
    """Let the other process run this instead."""
    run = subprocess.run

    def other(command, **options):
        return run([sys.executable, "-c", code], **options)

    monkeypatch.setattr(apart.subprocess, "run", other)


def test_a_crash_of_the_library_is_a_refusal_in_words(tmp_path, monkeypatch):
    answering(monkeypatch, "import os; os.kill(os.getpid(), 11)")
    report = verify_apart(tmp_path / "run.h5")
    assert report.state == "unreadable"
    assert "made the HDF5 library break off (signal SIGSEGV)" in report.faults[0].text
    with pytest.raises(DamagedFileError, match="break off"):
        repair_apart(tmp_path / "run.h5", now_iso=END)


def test_a_library_that_never_comes_back_is_ended(tmp_path, monkeypatch):
    monkeypatch.setattr(apart, "PATIENCE", 0.2)
    answering(monkeypatch, "import signal; signal.pause()")
    assert "busy without an end" in verify_apart(tmp_path / "run.h5").faults[0].text


def test_what_no_reader_opens_is_not_called_intact(tmp_path, monkeypatch):
    path = tmp_path / "run.h5"
    closed_run(path, 5)

    def refusing(path):
        raise DamagedFileError(f"{path} kept the HDF5 library busy without an end", path)

    monkeypatch.setattr(apart, "let_pass", refusing)
    report = verify_apart(path)
    assert (report.state, report.readings["pressure"]) == ("damaged", verify(path).readings["pressure"])
    assert "busy without an end" in report.faults[0].text
    assert "--repair" in report.advice
