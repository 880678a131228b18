"""A day at 1 kHz in the review window: time to open it, and of each frame while zooming and moving.  Prints figures.

    python -m tests.benchmarks.review_long --make /some/disk/day.h5        (some minutes)
    QT_QPA_PLATFORM=offscreen python -m tests.benchmarks.review_long /some/disk/day.h5

Both channels have the digits of real sensors (1 mK, 10 Pa) with noise, warming by steps all day.  A frame is the
change of the stretch shown, the fetch from the file, and the painting.  Measure with nothing else on the machine; the
processor's own time is printed too, which other programs move less, and the same scaled by the pace of the machine,
which is asked between the frames: where it goes up and down, one look at it says nothing.
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, os.getcwd())

from tests.benchmarks.figures import show_figure

RATE = 1000  # [1/s]
FRAMES = 160
OPEN_GOAL, FRAME_GOAL = 1.0, 16.0  # [s], [ms]
PACE = 0.091  # [s] of ten million empty rounds where the goals were set


def make(path: Path, hours: float) -> None:
    """Write the run a minute at a time, by formula."""
    from acquire import acts
    from acquire.acts import Act
    from acquire.commands.common import header_for
    from acquire.plan import RunPlan
    from acquire.run import Run
    from acquire.runfile.writer import RunFileWriter
    from analysis.liquids import load_liquid
    from drivers.readings import PRESSURE, TEMPERATURE, Readings

    plan = RunPlan(title="A day at 1 kHz", liquid="n-heptane")
    run = Run(plan, load_liquid("n-heptane"))
    run.act(Act(acts.BEGIN))
    header = header_for(plan, "", {}, {"bench": "formula"}, "2031-03-14T08:00:00+01:00")
    writer = RunFileWriter(path, header)
    writer.append_entries(list(run.journal))
    rng = np.random.default_rng(11)
    total, step = int(hours * 3600 * RATE), 60 * RATE
    begun = time.perf_counter()
    for start in range(0, total, step):
        index = np.arange(start, min(start + step, total))
        when = index / RATE * (1 + 12e-6)
        since = when % 7200.0
        bath = 21.0 + 1.4 * np.floor(when / 7200.0) + 1.4 * (1 - np.exp(-since / 300.0))
        celsius = np.round(bath + rng.normal(0, 0.003, len(index)), 3)
        kilopascal = np.round(100.0 + 2.1 * np.exp((bath - 21.0) / 19.0) + rng.normal(0, 0.02, len(index)), 2)
        good = np.zeros(len(index), np.uint8)
        writer.append(Readings(TEMPERATURE, when, celsius + 273.15, celsius, good, 1e-4), "bench")
        writer.append(Readings(PRESSURE, when, kilopascal * 1e3, kilopascal, good, 1e-4), "bench")
        writer.flush()
    print(f"{hours:g} h at 1 kHz x 2, {2 * total / 1e6:.1f} M readings written in {time.perf_counter() - begun:.0f} s")
    begun = time.perf_counter()
    writer.close("2031-03-15T08:00:00+01:00", (), (), [])
    print(f"closed in {time.perf_counter() - begun:.0f} s: {path.stat().st_size / 1e6:.0f} MB")


def percentiles(milliseconds: list[float]) -> str:
    p50, p99 = np.percentile(milliseconds, [50, 99])
    return f"p50 {p50:.1f} ms, p99 {p99:.1f} ms, worst {max(milliseconds):.1f} ms"


class Frames:
    """Frames one by one, on the wall and on the processor.  [ms]"""

    def __init__(self, application: object) -> None:
        self._application = application
        self.wall: list[float] = []
        self.processor: list[float] = []
        self._paces: list[float] = []

    def show(self, change: Callable[..., None], *places: float) -> None:
        """One frame: the change, and the painting that follows from it."""
        wall, used = time.perf_counter(), time.process_time()
        change(*places)
        self._application.processEvents()  # type: ignore[attr-defined]
        self.wall.append((time.perf_counter() - wall) * 1e3)
        self.processor.append((time.process_time() - used) * 1e3)
        self._paces.append(pace(100_000))

    def print(self, what: str) -> None:
        goal = f"<= {FRAME_GOAL:g} ms a frame"
        show_figure(f"review, 24 h at 1 kHz: {what}", percentiles(self.wall), goal)
        slower = float(np.mean(self._paces)) / PACE
        said = f"{percentiles(self.processor)}; scaled {percentiles([one / slower for one in self.processor])}"
        show_figure(f"review, 24 h at 1 kHz: {what}, processor", f"{said} (pace {slower * PACE:.3f} s)", goal)


def pace(rounds: int = 10_000_000) -> float:
    """Processor time of ten million empty rounds, from fewer of them.  [s]"""
    begun = time.process_time()
    for _ in range(rounds):
        pass
    return (time.process_time() - begun) * 10_000_000 / rounds


def measure(path: Path) -> None:
    """Open and look around."""
    from acquire.window.application import make_application

    application = make_application(["review"])
    from acquire.commands.review import review_window

    begun, used = time.perf_counter(), time.process_time()
    window = review_window(str(path), "benchmark")
    window.resize(1920, 1080)
    window.show()
    application.processEvents()
    window.grab()
    opened, used = time.perf_counter() - begun, time.process_time() - used
    end = window.review.record.duration
    print(f"{path.name}: {path.stat().st_size / 1e6:.0f} MB, {end / 3600:.1f} h")
    print(f"pace of this machine: {pace():.3f} s for 10^7 rounds")
    said = f"{opened:.2f} s, {used:.2f} s of them on the processor"
    show_figure("review, 24 h at 1 kHz: opened and painted, its modules read too", said, f"< {OPEN_GOAL:g} s")
    print(f"since the interpreter began: {time.process_time():.2f} s on the processor")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")

    def move(place: float) -> None:
        window.show_stretch(place, place + 600.0)
        window.move_cursor(place + 300.0)

    for name, deciding in (("while it is decided again", True), ("at rest", False)):
        if not deciding:
            window.rest()
        zoomed, moved = Frames(application), Frames(application)
        widths = np.geomspace(end, 2.0, FRAMES // 2)
        for width in [*widths, *widths[::-1]]:
            centre = min(max(0.37 * end, width / 2), end - width / 2)
            zoomed.show(window.show_stretch, centre - width / 2, centre + width / 2)
        for place in np.linspace(0.0, end - 600.0, FRAMES):
            moved.show(move, place)
        zoomed.print(f"zoom from a day to 2 s and back, {name}")
        moved.print(f"ten minutes and the cursor moved, {name}")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    window.close()


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("file", type=Path, nargs="?")
    parser.add_argument("--make", type=Path)
    parser.add_argument("--hours", type=float, default=24.0)
    args = parser.parse_args()
    if args.make:
        make(args.make, args.hours)
    if args.file:
        measure(args.file)


if __name__ == "__main__":
    main()
