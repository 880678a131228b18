"""A pulled cable on a pseudo-terminal: how soon the loss is seen, how soon readings come after the return.

Run:  python -m tests.benchmarks.drivers_reconnect [--times 20]

Goals: loss seen within 5 ms, streaming within 150 ms of the device's node being back. On a bench the USB enumeration
comes first, some hundreds of milliseconds that are the system's.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import queue
import tempfile
import time
import tty
from pathlib import Path

import numpy as np

from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Readings
from drivers.source import ReadingSource
from tests.benchmarks.figures import show_figure


def terminal(link: Path) -> tuple[int, int]:
    ours, theirs = os.openpty()
    tty.setraw(theirs)
    os.set_blocking(ours, False)
    link.unlink(missing_ok=True)
    link.symlink_to(os.ttyname(theirs))
    return ours, theirs


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=20)
    times = parser.parse_args().times
    with tempfile.TemporaryDirectory() as folder:
        link = Path(folder) / "port"
        ours, theirs = terminal(link)
        source = ReadingSource(load_profile("delimited-text"), str(link), now=time.monotonic)
        source.start()
        seen, back = [], []
        for _ in range(times):
            time.sleep(0.2)
            link.unlink()
            pulled = time.monotonic()
            os.close(ours)
            os.close(theirs)
            until(source, lambda event: isinstance(event, DeviceNotice) and event.kind == "lost")
            seen.append(time.monotonic() - pulled)
            time.sleep(0.15)
            ours, theirs = terminal(link)
            returned = time.monotonic()
            speak(source, ours)
            back.append(time.monotonic() - returned)
        source.stop()
        os.close(ours)
        os.close(theirs)
    for label, values, goal in (("loss seen after", seen, 5), ("first reading after the return", back, 150)):
        print(
            f"{label}: median {1e3 * np.median(values):.1f} ms, at most {1e3 * np.max(values):.1f} ms (goal {goal} ms)"
        )
        told = f"{1e3 * np.median(values):.1f} ms (most {1e3 * np.max(values):.1f})"
        show_figure(f"line: {label}", told, f"<= {goal} ms", "USB enumeration, some 100 ms, comes on top")


def until(source: ReadingSource, wanted) -> None:
    while not wanted(source.events.get(timeout=10)):
        pass


def speak(source: ReadingSource, descriptor: int) -> None:
    """Print lines every 2 ms until a reading comes out."""
    while True:
        with contextlib.suppress(BlockingIOError):
            os.write(descriptor, b"21.5,101.3\n")
        # Waiting must not hold the interpreter: a busy loop here starves the source's thread, and measures that.
        with contextlib.suppress(queue.Empty):
            if isinstance(source.events.get(timeout=0.002), Readings):
                return


if __name__ == "__main__":
    main()
