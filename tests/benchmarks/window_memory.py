"""Memory of the bench window over a simulated day.  Prints it every two hours; ends with status 1 where it is not flat.

What a day brings: ten readings a second of each channel, a caution that is journalled once a minute, a note every ten
minutes, an act of the bath every half hour, a point looked at and a theme changed every two hours.  A frame is shown
every SECONDS of the run (4 where not given: 21 600 in all), each painted offscreen.

    QT_QPA_PLATFORM=offscreen python -m tests.benchmarks.window_memory [HOURS [SECONDS]]
"""

from __future__ import annotations

import dataclasses
import gc
import os
import sys
import time

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, os.getcwd())

from PyQt5.QtCore import qInstallMessageHandler
from PyQt5.QtWidgets import QApplication

from acquire import acts
from acquire.journal import Entry
from acquire.snapshot import CautionView
from acquire.window.bench import BenchWindow
from acquire.window.looks import Look
from acquire.window.start_state import Finished
from acquire.window.themes import THEMES
from tests.benchmarks.window_frames import DayOfReadings, memory, real_snapshot

HOUR = 3600.0
TAIL = 50  # entries that a snapshot carries
WARM = 4.0  # [h] by then every buffer has its size
GOAL = 3.0  # [MB] more after the last hour than after `WARM`; marks and notes of a day are kept on purpose


class WholeDay(DayOfReadings):
    """A day whose journal grows."""

    def __init__(self, snapshot) -> None:
        super().__init__(snapshot)
        self.now = 0.0
        self._tail = list(snapshot.journal_tail[-TAIL:])
        self._number = self._tail[-1].number + 1 if self._tail else 0

    def move(self, seconds: float) -> None:
        before, self.now = self.now, self.now + seconds
        for every, kind, data in (
            (60.0, "caution", {"code": "near temperature limit"}),
            (600.0, "act", {"act": acts.NOTE, "text": f"looked at it at {self.now:.0f} s"}),
            (1800.0, "act", {"act": acts.WARMED, "volume": 5e-5, "temperature": 340.0}),
        ):
            if int(before / every) != int(self.now / every):
                entry = Entry(self._number, self.now, int(self.now), kind, "person", True, kind, data)
                self._tail = [*self._tail[-TAIL + 1 :], entry]
                self._number += 1

    def snapshot(self):
        caution = CautionView("near temperature limit", "caution", 1.0, {"margin": self.now % 60 / 60, "limit": 311.0})
        cautions = (caution,) if self.now % 600.0 < 60.0 else ()
        return dataclasses.replace(super().snapshot(), journal_tail=tuple(self._tail), cautions=cautions)


def main() -> int:
    hours = float(sys.argv[1]) if len(sys.argv) > 1 else 24.0
    every = float(sys.argv[2]) if len(sys.argv) > 2 else 4.0
    qInstallMessageHandler(lambda *_message: None)
    application = QApplication([])
    application.setStyle("Fusion")
    day = WholeDay(real_snapshot())
    window = BenchWindow(day, now=lambda: day.now, finish=Finished)
    window.sound.on = False
    window.show()
    application.processEvents()
    window.load_plots()
    began, themes, seen = time.perf_counter(), list(THEMES.values()), {}
    for step in range(round(hours * HOUR / every)):
        day.move(every)
        window.refresh()
        application.processEvents()
        hour = (step + 1) * every / HOUR
        if hour % 2.0 == 0.0:
            turn = round(hour / 2)
            window.set_look(Look(themes[turn % len(themes)]))
            window.choose(turn % 4)
            application.processEvents()
            gc.collect()
            seen[hour] = memory()
            readings = window.strips.pressure.store.total
            print(f"{hour:4.0f} h  {readings:7d} readings a channel  {seen[hour]:6.1f} MB", flush=True)
    window.finish_now()
    more = seen[max(seen)] - seen[WARM]
    print(f"{more:+.1f} MB from {WARM:.0f} h to {max(seen):.0f} h; goal: at most {GOAL:.0f} MB more")
    print(f"{time.perf_counter() - began:.0f} s on the wall")
    return 0 if more <= GOAL else 1


if __name__ == "__main__":
    sys.exit(main())
