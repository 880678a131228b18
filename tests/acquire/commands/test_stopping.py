"""A logged run that is asked to end is closed and sealed, whoever asks and however."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import threading

import pytest

from acquire.clocks import real_seconds, wait
from acquire.commands.main import main
from acquire.commands.stopping import stop_request
from acquire.raw_journal import raw_journal_path
from acquire.runfile.integrity import verify
from acquire.runfile.reader import read_run

PATIENCE = 60.0  # [s] of a busy machine


def log_command(path):
    return [
        sys.executable, "-m", "acquire.commands.main", "log", "--device", "sim:calm", "--auto", "--speed", "20",
        "--out", str(path),
    ]  # fmt: skip


def hear_signals():
    """In the child: a test run that was itself started in the background, or to survive its terminal, hands that on."""
    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(number, signal.SIG_DFL)


def until(condition):
    begun = real_seconds()
    while not condition():
        assert real_seconds() - begun < PATIENCE, "it did not happen"
        wait(0.02)


def recorded_something(path):
    raw = raw_journal_path(path)
    return raw.exists() and raw.stat().st_size > 20_000


def assert_closed(path):
    assert verify(path).state == "intact"
    run = read_run(path)
    assert run.end_time
    assert all(len(trace.time) > 10 for trace in run.traces.values())
    assert not raw_journal_path(path).exists()


@pytest.mark.slow
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_a_signal_closes_the_run(tmp_path, number):
    path = tmp_path / "run.h5"
    with subprocess.Popen(
        log_command(path), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=hear_signals
    ) as process:
        try:
            until(lambda: recorded_something(path))
            process.send_signal(number)
            process.send_signal(number)  # an impatient person does not break off the close
            said, complained = process.communicate(timeout=PATIENCE)
        finally:
            process.kill()
    assert process.returncode == 0, complained
    assert f"run file {path}" in said
    assert "Traceback" not in complained
    assert_closed(path)


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "openpty"), reason="no pseudo-terminals here")
def test_a_terminal_that_is_closed_closes_the_run(tmp_path):
    import fcntl
    import termios

    path = tmp_path / "run.h5"
    ours, theirs = os.openpty()
    complaints = tmp_path / "complaints.txt"

    def take_terminal():
        hear_signals()
        fcntl.ioctl(theirs, termios.TIOCSCTTY, 0)

    with (
        open(complaints, "w") as errors,
        subprocess.Popen(
            log_command(path), stdin=theirs, stdout=theirs, stderr=errors, start_new_session=True,
            preexec_fn=take_terminal, env={**os.environ, "TERM": "xterm"},
        ) as process,
    ):  # fmt: skip
        try:
            os.close(theirs)
            os.set_blocking(ours, False)
            seen = bytearray()

            def looked():
                with contextlib.suppress(BlockingIOError, OSError):
                    seen.extend(os.read(ours, 65536))
                return recorded_something(path) and len(seen) > 1000

            until(looked)
            os.close(ours)  # the system sends SIGHUP, and what is written to the terminal fails from now on
            process.wait(PATIENCE)
        finally:
            process.kill()
    assert process.returncode == 0, complaints.read_text()
    assert "Traceback" not in complaints.read_text()
    assert_closed(path)


@pytest.mark.slow
def test_a_warning_of_little_room_is_told_and_is_no_failure(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr("acquire.recorder_room.WARN_BELOW", 1 << 60)
    path = tmp_path / "run.h5"

    def end():
        until(lambda: recorded_something(path))
        os.kill(os.getpid(), signal.SIGTERM)

    ending = threading.Thread(target=end)
    ending.start()
    status = main(log_command(path)[3:])
    ending.join()
    assert status == 0
    assert "are free on the disk" in capsys.readouterr().err
    assert_closed(path)


@pytest.mark.slow
def test_a_lost_folder_is_told_at_once_and_the_recording_goes_on_elsewhere(tmp_path):
    path, said = tmp_path / "stick" / "run.h5", tmp_path / "said.txt"
    path.parent.mkdir()
    places = {name: str(tmp_path / "home") for name in ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME")}
    with (
        open(said, "w") as out,
        subprocess.Popen(
            log_command(path), stdout=out, stderr=out, env={**os.environ, "PYTHONUNBUFFERED": "1", **places}
        ) as process,
    ):
        try:
            until(lambda: recorded_something(path))
            shutil.rmtree(path.parent)
            until(lambda: "trouble: " in said.read_text())
            told = said.read_text()
            process.send_signal(signal.SIGTERM)
            process.wait(PATIENCE)
        finally:
            process.kill()
    assert "Recording goes on in" in told
    assert process.returncode == 1, "the run is not where it was wanted"
    moved = tmp_path / "home" / "satline" / "rescued-runs" / "run.h5"
    assert str(moved) in said.read_text()
    assert_closed(moved)


def test_signals_are_noted_while_it_matters_and_handled_as_before_afterwards():
    before = signal.getsignal(signal.SIGTERM)
    with stop_request() as asked:
        assert not asked
        signal.raise_signal(signal.SIGTERM)
        signal.raise_signal(signal.SIGINT)
        assert asked
        assert asked.by == "SIGTERM"
    assert signal.getsignal(signal.SIGTERM) is before


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="no such signal here")
def test_a_run_under_nohup_outlives_its_terminal():
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        with stop_request() as asked:
            signal.raise_signal(signal.SIGHUP)
            assert not asked
    finally:
        signal.signal(signal.SIGHUP, before)


def test_on_another_thread_nothing_is_changed():
    found = []

    def work():
        with stop_request():
            found.append(signal.getsignal(signal.SIGTERM))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert found == [signal.getsignal(signal.SIGTERM)]
