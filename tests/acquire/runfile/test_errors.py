"""Messages are built from the errors below them, in words that help."""

from __future__ import annotations

import pytest

from acquire.runfile.errors import FileInUseError, WriteFailedError, first_line

HDF5_FULL = (
    "Unable to synchronously flush file (file write failed: time = Wed Mar  3 13:23:59 2031\n"
    ", filename = '/x/run.h5', file descriptor = 3, errno = 28, error message = 'No space left on device', buf = 0x1)"
)


@pytest.mark.parametrize(
    ("error", "text"),
    [
        (RuntimeError(HDF5_FULL), "No space left on device"),
        (OSError(28, "No space left on device"), "No space left on device"),
        (KeyError(), "KeyError"),
        (ValueError("a\nb"), "a"),
    ],
)
def test_the_words_of_the_system_are_found(error, text):
    assert first_line(error) == text


def test_a_failed_write_says_found_expected_and_way_out():
    assert str(WriteFailedError("run.h5", "closing", "No space left on device")) == (
        "closing run.h5 failed: No space left on device. What was flushed before is still in the file. "
        "Free space or reconnect the drive; record to another folder meanwhile."
    )


def test_a_run_being_recorded_is_refused_politely():
    assert str(FileInUseError("run.h5", alive=True)) == (
        "run.h5 is being recorded by another program; one writer at a time is possible. "
        "End the run there first, or choose another name."
    )


def test_a_file_in_use_names_the_way_out():
    assert str(FileInUseError("run.h5")).endswith("if there is none, run 'satline verify run.h5 --repair'.")
