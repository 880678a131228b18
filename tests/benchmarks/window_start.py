"""How long from starting the program to a window on screen, and to a running trace.  Prints milliseconds.

Run `python -m tests.benchmarks.window_start` with a display or under Xvfb; `QT_QPA_PLATFORM=offscreen` works too.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time

from tests.benchmarks.figures import show_figure

PROBE = """
import sys, time
began = float(sys.argv[1])
from acquire.commands.window_services import MachineServices
from acquire.window import application as windows, launch
from acquire.window.first_paint import after_first_paint
from acquire.window.preferences import Preferences
from acquire.window.start_state import StartChoice
from PyQt5.QtCore import QTimer
application = windows.make_application(["satline"])
windows.choose_language(application, "en")
machine = MachineServices(report=False)
choice = StartChoice(("sim:calm",), "", "", 1.0) if sys.argv[2] == "bench" else None
program = launch.Program(machine, choice, Preferences())
program.begin()
seen = []
def note():
    seen.extend((time.time() - began, time.process_time()))
    if choice is None:
        leave()
def look():
    strips = getattr(program.bench, "strips", None)
    if seen and strips is not None and strips.pressure.store.total > 1:
        timer.stop()
        leave()
def leave():
    print(*seen, time.time() - began, time.process_time(), flush=True)
    if program.bench is not None:
        program.bench.finish_now()
    application.quit()
after_first_paint(program.bench.panels if program.bench else program.start_page, note)
timer = QTimer()
timer.timeout.connect(look)
timer.start(1)
application.exec_()
"""


def once(kind: str) -> list[float]:
    """Seconds to the window and to the trace, each on the wall and on the processor."""
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {"PYTHONPATH": os.getcwd(), "XDG_CONFIG_HOME": folder}
        found = subprocess.run(
            [sys.executable, "-c", PROBE, repr(time.time()), kind],
            cwd=folder, env=environment, capture_output=True, text=True, check=False,
        )  # fmt: skip
    if found.returncode:
        sys.exit(found.stderr)
    return [float(text) for text in found.stdout.split()]


if __name__ == "__main__":
    for kind in ("start page", "bench"):
        columns = zip(*(once(kind) for _ in range(5)), strict=True)
        window, window_cpu, trace, trace_cpu = (statistics.median(column) * 1e3 for column in columns)
        print(
            f"{kind}: window on screen {window:.0f} ms ({window_cpu:.0f} ms of processor), "
            f"running trace {trace:.0f} ms ({trace_cpu:.0f} ms); median of 5"
        )
        show_figure(f"window: on screen, {kind}", f"{window:.0f} ms", "< 1000 ms")
