"""Time of one frame of the bench window with a day of readings behind the strips, and its memory.  Prints figures.

A frame is what the timer does plus the painting that follows from it: a new snapshot, three new readings of each
channel, all panels every third frame.  Offscreen raster, 1280 x 800.  Run with nothing else on the machine:

    QT_QPA_PLATFORM=offscreen python -m tests.benchmarks.window_frames
"""

from __future__ import annotations

import dataclasses
import os
import resource
import sys
import time

import numpy as np

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, os.getcwd())

from PyQt5.QtCore import qInstallMessageHandler
from PyQt5.QtWidgets import QApplication

from acquire.rehearsal import plan_of
from acquire.run import Run
from acquire.simulation import simulated_run
from acquire.window.bench import BenchWindow
from acquire.window.start_state import Finished
from analysis.liquids import load_liquid
from sim.scenario import load_scenario
from tests.benchmarks.figures import show_figure

RATE = 10.0  # [1/s] readings of each channel
DAY = 86_400.0  # [s]
FRAMES = 600


class DayOfReadings:
    """A real snapshot in the middle of a run, a clock that goes on, and readings by formula with noise."""

    def __init__(self, snapshot) -> None:
        self._snapshot = snapshot
        rng = np.random.default_rng(1)
        self._time = np.arange(0.0, DAY + 3600.0, 1.0 / RATE)
        wave = np.sin(self._time / 700.0)
        self._values = {
            "temperature": 300.0 + 5.0 * wave + rng.normal(0.0, 0.01, len(wave)),
            "pressure": 108e3 + 6e3 * wave + rng.normal(0.0, 20.0, len(wave)),
        }
        self.now = DAY

    def snapshot(self):
        channels = {
            name: dataclasses.replace(view, value=float(self._values[name][self._count() - 1]), silent=0.05)
            for name, view in self._snapshot.channels.items()
        }
        return dataclasses.replace(self._snapshot, time=self.now, channels=channels)

    def act(self, act) -> None:
        raise NotImplementedError

    def trace(self, channel, since=0):
        upto = self._count()
        return self._time[since:upto], self._values[channel][since:upto]

    def _count(self) -> int:
        return int(self.now * RATE)


def real_snapshot():
    """After three points of a simulated run."""
    scenario = load_scenario("calm")
    plan = plan_of(scenario)
    simulated = simulated_run(scenario, 7, Run(plan, load_liquid(plan.liquid)), path="/folder/day.h5")
    while len(simulated.session.run.points) < 3:
        simulated.advance(1.0)
    began = time.perf_counter()
    for _ in range(50):
        snapshot = simulated.session.snapshot()
    print(f"snapshot of the session itself: {(time.perf_counter() - began) / 50 * 1e3:.2f} ms")
    return snapshot


def frames(application, window, day, span: float | None) -> tuple[np.ndarray, np.ndarray]:
    """Milliseconds of each frame, on the wall and on the processor, while the last `span` seconds are shown."""
    window.strips.show_last(span)
    for _ in range(10):
        window.refresh()
        application.processEvents()
    wall, processor = [], []
    for _ in range(FRAMES):
        day.now += 1.0 / 30.0
        began, used = time.perf_counter(), time.process_time()
        window.refresh()
        application.processEvents()
        wall.append(1e3 * (time.perf_counter() - began))
        processor.append(1e3 * (time.process_time() - used))
    return np.array(wall), np.array(processor)


def memory() -> float:
    """Resident memory now.  [MB]"""
    with open("/proc/self/statm", encoding="ascii") as file:
        return int(file.read().split()[1]) * resource.getpagesize() / 1e6


def main() -> None:
    qInstallMessageHandler(lambda *_message: None)
    application = QApplication([])
    application.setStyle("Fusion")
    day = DayOfReadings(real_snapshot())
    window = BenchWindow(day, now=lambda: 0.0, finish=Finished)
    window.show()
    application.processEvents()
    window.load_plots()
    window.refresh()
    application.processEvents()
    print(f"{window.strips.pressure.store.total} readings a channel, window {window.width()} x {window.height()}")
    for name, span in (("whole day", None), ("last 10 min", 600.0), ("last 3 min", 180.0)):
        for kind, taken in zip(("wall", "processor"), frames(application, window, day, span), strict=True):
            if kind == "wall":
                told = f"{np.median(taken):.1f} ms, {np.percentile(taken, 99):.1f} ms at the 99th percentile"
                show_figure(f"window: frame with a day behind it, {name}", told, "<= 8 ms, 16 ms", "16.7 ms: 60 Hz")
            print(
                f"{name}, {kind}: frame median {np.median(taken):.1f} ms, "
                f"99th percentile {np.percentile(taken, 99):.1f} ms, worst {taken.max():.1f} ms"
            )
    before = memory()
    for _ in range(3000):
        day.now += 1.0
        window.refresh()
        application.processEvents()
    print(f"memory {before:.0f} MB, after another 50 min of readings {memory():.0f} MB")
    window.finish_now()


if __name__ == "__main__":
    main()
