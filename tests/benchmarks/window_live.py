"""A live simulated bench behind the window: how old a reading is when it is on screen, and what a blocked window loses.

Real chain: virtual serial port, recorder in a process of its own, messages, window.  Prints figures; ends with
status 1 when a reading was lost.

    QT_QPA_PLATFORM=offscreen python -m tests.benchmarks.window_live [SECONDS]
"""

from __future__ import annotations

import ctypes
import os
import sys
import tempfile
import time

import numpy as np

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, os.getcwd())

from PyQt5.QtCore import qInstallMessageHandler
from PyQt5.QtWidgets import QApplication

from acquire.commands.window_services import MachineServices
from acquire.window.bench import BenchWindow
from acquire.window.start_state import StartChoice

BLOCK = 5.0  # [s]


class Watched:
    """A recorder client that notes when its readings were handed over."""

    def __init__(self, client) -> None:
        self._client = client
        self.clock: tuple[float, float] | None = None  # (run time, real time) of the newest snapshot
        self.fresh: list[float] = []  # times of readings handed over and not yet painted

    def snapshot(self):
        asked = time.monotonic()
        snapshot = self._client.snapshot()
        self.clock = (snapshot.time, (asked + time.monotonic()) / 2)
        return snapshot

    def act(self, act) -> None:
        self._client.act(act)

    def trace(self, channel, since=0):
        times, values = self._client.trace(channel, since)
        self.fresh.extend(times.tolist())
        return times, values

    def ages(self) -> list[float]:
        """Seconds between each fresh reading's own time and now; forgets them."""
        assert self.clock is not None
        now = self.clock[0] + time.monotonic() - self.clock[1]
        ages, self.fresh = [now - one for one in self.fresh], []
        return ages


def run_for(application, seconds: float, watched: Watched) -> list[float]:
    """Let the window live.  Ages of all readings at the moment their frame was painted.  [s]"""
    ages: list[float] = []
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        application.processEvents()
        if watched.fresh:
            ages += watched.ages()
        time.sleep(0.001)
    return ages


def hold_the_interpreter(seconds: float) -> None:
    """Sleep inside a C call that keeps the interpreter lock: nothing else of this process runs."""
    ctypes.PyDLL(None).usleep(ctypes.c_uint(int(seconds * 1e6)))


def main() -> int:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 15.0
    qInstallMessageHandler(lambda *_message: None)
    application = QApplication([])
    application.setStyle("Fusion")
    with tempfile.TemporaryDirectory() as folder:
        opened = MachineServices(out=f"{folder}/live.h5", report=False).open(StartChoice(("sim:calm",), ""))
        watched = Watched(opened.session)
        window = BenchWindow(watched, now=time.monotonic, finish=opened.finish)
        window.show()
        window.load_plots()
        window.start()
        run_for(application, 3.0, watched)
        ages = 1e3 * np.array(run_for(application, seconds, watched))
        print(
            f"{len(ages)} readings: on screen after a median of {np.median(ages):.0f} ms, "
            f"99th percentile {np.percentile(ages, 99):.0f} ms, worst {ages.max():.0f} ms"
        )
        for name, block in (("asleep", time.sleep), ("holding the interpreter", hold_the_interpreter)):
            block(BLOCK)
            run_for(application, 2.0, watched)
            print(f"window {name} for {BLOCK:.0f} s")
        snapshot = opened.session.snapshot()
        times, _ = opened.session.trace("temperature", 0)
        longest = float(np.diff(times).max())
        store = window.strips.temperature.store
        gaps = snapshot.file.gaps
        print(f"{len(times)} readings, longest step {longest:.3f} s, {gaps} gaps; on the strip {store.total}")
        finished = window.finish_now()
        window.close()
        print(f"file closed {'in order' if not finished.trouble else finished.trouble}")
    return 0 if longest < 0.25 and snapshot.file.gaps == 0 and not finished.trouble else 1


if __name__ == "__main__":
    sys.exit(main())
