"""A recorder in a process of its own goes on when its window dies or freezes, and the window rejoins the run."""

from __future__ import annotations

import dataclasses
import os
import signal
import subprocess
import sys

import numpy as np
import pytest

from acquire.clocks import real_seconds, wait
from acquire.commands.common import header_for, profile_text
from acquire.live import profiles_of
from acquire.raw_frames import is_being_written
from acquire.raw_journal import raw_journal_path
from acquire.recorder_client import RecorderClient, RecorderGoneError
from acquire.recorder_messages import RecorderError, RecorderOrder, meeting_path
from acquire.recorder_process import start_recorder
from acquire.rehearsal import plan_of
from acquire.runfile.integrity import repair, verify
from acquire.runfile.reader import read_run
from drivers.readings import PRESSURE, TEMPERATURE
from sim.scenario import load_scenario
from tests.acquire.runfile.sample_run import END

pytestmark = pytest.mark.slow

SPEED = 20.0
DEVICES = ("sim:calm",)


def order(path):
    plan = plan_of(load_scenario("calm"))
    texts = {name: profile_text(profile) for name, profile in profiles_of(DEVICES).items()}
    header = dataclasses.asdict(header_for(plan, "", texts, dict.fromkeys(texts, DEVICES[0]), ""))
    del header["start_time"]
    return RecorderOrder(
        str(path), DEVICES, plan.model_dump(mode="json"), header, speed=SPEED, operated=True, begin=True,
        fallbacks=(str(path.parent / "elsewhere"),),
    )  # fmt: skip


def until(condition, timeout=30.0):
    begun = real_seconds()
    while not condition():
        assert real_seconds() - begun < timeout, "it did not happen"
        wait(0.02)


def count(client):
    return len(client.trace(TEMPERATURE)[0])


WINDOW = """
import sys
sys.path.insert(0, {root!r})
from acquire.recorder_messages import RecorderOrder
from acquire.recorder_process import start_recorder
client = start_recorder(RecorderOrder.from_json({order!r}))
client.snapshot()
print("up", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def window(tmp_path):
    """A window's process that has started a recorder."""
    path = tmp_path / "run.h5"
    script = WINDOW.format(root=os.getcwd(), order=order(path).as_json())
    with subprocess.Popen(
        [sys.executable, "-c", script], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout.readline() == "up\n"
        yield process, path
        process.kill()


def test_the_window_is_frozen_then_killed_and_nothing_is_lost(window):
    process, path = window
    os.kill(process.pid, signal.SIGSTOP)
    with_frozen = RecorderClient.rejoin(path)
    before = count(with_frozen)
    until(lambda: count(with_frozen) > before + 100)
    process.kill()
    process.wait()
    before = count(with_frozen)
    until(lambda: count(with_frozen) > before + 100)
    with_frozen.close()
    again = RecorderClient.rejoin(path)
    assert again.snapshot().stage != "set-up"
    assert verify(path).state == "being recorded"
    finished = again.finish()
    again.close()
    assert (finished.path, finished.trouble) == (str(path), "")
    assert verify(path).intact
    run = read_run(path)
    assert run.truth is not None
    for channel in (TEMPERATURE, PRESSURE):
        gaps = np.diff(run.traces[channel].time)
        assert gaps.max() < 0.5  # ten readings a second without a hole; the device's own clock stamps them
    until(lambda: not meeting_path(path).exists())
    assert os.listdir(path.parent) == ["run.h5"] or sorted(os.listdir(path.parent)) == ["run.h5", "user"]


def test_a_killed_recorder_leaves_everything_in_its_raw_journal(tmp_path):
    path = tmp_path / "run.h5"
    client = start_recorder(order(path))
    until(lambda: count(client) > 200)
    seen = client.trace(TEMPERATURE)[1]
    os.kill(client.meeting.process, signal.SIGKILL)
    with pytest.raises(RecorderGoneError, match="does not answer"):
        until(lambda: client.snapshot() is None)
    client.close()
    until(lambda: not is_being_written(raw_journal_path(path)))  # the system takes a moment to bury it
    run = read_run(repair(path, now_iso=END))
    np.testing.assert_array_equal(run.traces[TEMPERATURE].value[: len(seen)], seen)
    with pytest.raises(RecorderGoneError, match="--repair"):
        RecorderClient.rejoin(path)


def test_what_cannot_be_recorded_is_told_and_leaves_nothing(tmp_path):
    path = tmp_path / "run.h5"
    path.write_bytes(b"precious")
    with pytest.raises(RecorderError, match="exists already"):
        start_recorder(order(path))
    other = dataclasses.replace(order(tmp_path / "other.h5"), devices=("simulated-bench@/dev/none",))
    with pytest.raises(RecorderError, match="/dev/none"):
        start_recorder(other)
    assert path.read_bytes() == b"precious"
    assert not list(tmp_path.glob("other*"))


STUCK = """
import threading, time
import acquire.recorder_process as recorder

def main():
    threading.Thread(target=time.sleep, args=(60.0,)).start()
    raise RuntimeError("the session's thread did not end within 10 s")

recorder.main = main
recorder.run_and_leave()
"""


def test_a_recorder_with_a_thread_that_does_not_end_leaves_all_the_same() -> None:
    """It would hold the port, and the next run would find it in use."""
    done = subprocess.run([sys.executable, "-c", STUCK], capture_output=True, text=True, timeout=30)
    assert done.returncode == 1
    assert "did not end within 10 s" in done.stderr
