"""Small versions of the benchmark scripts on kills, spoilt files and torn writes; and what people do to files."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from acquire.runfile.integrity import verify
from acquire.runfile.reader import read_run
from acquire.runfile.writer import RunFileWriter
from drivers.readings import PRESSURE
from tests.acquire.runfile.sample_run import END, HEADER, START, record_run


def script(name, *arguments):
    """Run one of the scripts in a process of its own: it kills its children and lets the library crash them."""
    done = subprocess.run(
        [sys.executable, "-m", f"tests.benchmarks.{name}", *arguments], capture_output=True, text=True, check=False
    )
    return done.returncode, done.stdout + done.stderr


@pytest.mark.slow
def test_kills_leave_readable_files_and_lose_nothing_that_was_accepted():
    status, said = script("runfile_kills", "--kills", "10", "--seconds", "0.2")
    assert status == 0, said
    assert "unreadable or wrong: 0" in said


@pytest.mark.slow
def test_no_flipped_bit_gives_a_wrong_reading_silently():
    status, said = script("runfile_fuzz", "flips", "--count", "40")
    assert status == 0, said
    assert "crashes and silently wrong readings: 0" in said


@pytest.mark.slow
def test_power_cuts_cost_the_raw_journal_nothing_and_a_run_file_one_chunk_at_most():
    status, said = script("runfile_torn", "--images", "16")
    assert status == 0, said
    assert "lost, wrong or unreadable: 0" in said


def test_a_file_made_read_only_while_it_is_recorded_is_closed_all_the_same(tmp_path):
    path = tmp_path / "run.h5"
    writer = RunFileWriter(path, HEADER)
    record_run(writer, 5)
    os.chmod(path, 0o444)
    record_run(writer, 0)
    writer.close(END, (), (), ())
    assert verify(path).intact
    assert len(read_run(path).traces[PRESSURE].time) == 50


def test_a_clock_that_was_set_back_changes_dates_and_nothing_else(tmp_path):
    path = tmp_path / "run.h5"
    writer = RunFileWriter(path, HEADER)
    record_run(writer, 5)
    before = "2031-03-04T08:00:00.000+01:00"
    writer.close(before, (), (), ())
    run = read_run(path)
    assert (run.start_time, run.end_time) == (START, before)
    assert verify(path).intact
    assert run.traces[PRESSURE].time[-1] > run.traces[PRESSURE].time[0]
