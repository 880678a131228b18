"""A whole recorder on a pseudo-terminal: readings lost between the line and the closed run file, share of a core.

Run:  python -m tests.benchmarks.recorder_line [--seconds 10] [--only 57800] [--bare] [--folder /some/disk]

The chain is transport, raw journal (synced once a second), framing, decoding, the session with its decisions, the live
run file, and the close. `--bare` leaves the session's decisions out: a consumer passes on what the source gives. The
stream is that of `drivers_line`, by another process. The share of a core is that of the recorder while it records,
without the close, as it was and scaled by the machine's own speed around it (`drivers_line`).
"""

from __future__ import annotations

import argparse
import contextlib
import queue
import tempfile
import time
from pathlib import Path

import numpy as np

from acquire.commands.common import header_for, profile_text
from acquire.live import order_for
from acquire.plan import RunPlan
from acquire.recorder_setup import RecordedRun
from acquire.recorder_sink import RecordingSink
from acquire.runfile.integrity import verify
from acquire.runfile.reader import RunFile
from drivers.profile import load_profile
from drivers.readings import PRESSURE, TEMPERATURE, Readings, Received
from drivers.source import ReadingSource
from tests.acquire.runfile.sample_run import END
from tests.benchmarks.drivers_line import CASES, REFERENCE, Stream, loops, processor, sum_of_temperatures
from tests.benchmarks.figures import show_figure

STEP = 0.02  # [s] as the session's
LATE = 20.0  # [s] that the last readings may take on a busy machine


class Bare:
    """What a session does with readings but for the decisions."""

    def __init__(self, path: Path, name: str, url: str) -> None:
        header = header_for(RunPlan(), "", {name: profile_text(name)}, {name: url}, "")
        self.sink = RecordingSink(path, header)
        self.count = 0
        self._flushed = time.monotonic()
        self._source = ReadingSource(
            load_profile(name), url, now=time.monotonic, device=name, queue=self.sink.queue_for(name)
        )
        self._source.start()

    def step(self) -> None:
        with contextlib.suppress(queue.Empty):
            while True:
                event = self._source.events.get_nowait()
                if isinstance(event, Readings):
                    self.count += len(event) if event.channel == TEMPERATURE else 0
                    self.sink.append(event, self._source.device)
                elif isinstance(event, Received):
                    self.sink.append_received(event, self._source.device)
        if time.monotonic() - self._flushed >= 1.0:
            self._flushed = time.monotonic()
            self.sink.flush()

    def finish(self) -> tuple[Path, str]:
        self._source.stop()
        self.step()
        return self.sink.close(END, [], [], []), self.sink.trouble


class Whole:
    """The recorder as `satline log` has it."""

    def __init__(self, path: Path, name: str, url: str) -> None:
        device = f"{name}@{url}"
        header = header_for(RunPlan(), "", {name: profile_text(name)}, {name: device}, "")
        self._run = RecordedRun(order_for(path, [device], RunPlan(), header))
        self._run.start()

    @property
    def count(self) -> int:
        store = self._run.session.store
        return store.count(TEMPERATURE) if TEMPERATURE in store.channels else 0

    def step(self) -> None:
        """The session has a thread of its own."""

    def finish(self) -> tuple[Path, str]:
        finished = self._run.finish()
        return Path(finished.path), finished.trouble


def measure(folder: Path, name: str, rate: int, seconds: float, limit: str, *, bare: bool) -> int:
    total = int(rate * seconds)
    stream = Stream(name, rate, total)
    try:
        recorder = (Bare if bare else Whole)(folder / f"{name}-{rate}.h5", name, stream.path)
        time.sleep(1.0)
        before = loops()
        used, began = processor(), time.monotonic()
        stream.go.set()
        while recorder.count < total and time.monotonic() - began < seconds + LATE:
            time.sleep(STEP)
            recorder.step()
        used, span = processor() - used, time.monotonic() - began
        loop = (before + loops()) / 2
        closing = time.monotonic()
        path, trouble = recorder.finish()
        closing = time.monotonic() - closing
    finally:
        stream.close()
    with RunFile(path) as run:
        kept = [run.rows(channel) for channel in (TEMPERATURE, PRESSURE)]
        total_raw = sum(
            float(np.sum(run.trace(TEMPERATURE, first, min(first + (1 << 20), kept[0])).raw))
            for first in range(0, kept[0], 1 << 20)
        )
    lost = 2 * total - sum(kept)
    right = total_raw == sum_of_temperatures(total)
    share = 100 * used / seconds  # of the time that the data is of, also where the machine took longer
    scaled = share * REFERENCE / loop
    what = "bare chain" if bare else "recorder"
    print(f"\n{name}, {rate} frames/s for {seconds:g} s through the {what} ({limit}); {trouble or 'no trouble'}")
    print(f"  lost {lost} of {2 * total} readings, sum of the values right: {right}, verify: {verify(path).state}")
    print(
        f"  took {span:.1f} s; {share:.2f} % of a core at {loop:.3f} s for ten million loops; closed in {closing:.1f} s"
    )
    case = f"recorder: {name}, {rate:,} frames/s for {seconds:g} s, line to closed file"
    show_figure(f"{case}, lost", f"{lost} of {2 * total:,}", "0", limit)
    goal = {10: 1, 1_000: 3}.get(rate, 5)
    told = f"{share:.1f} % ({scaled:.1f} % on the machine of the goals)"
    show_figure(f"{case}{', without decisions' if bare else ''}, share of a core", told, f"<= {goal} %", limit)
    path.unlink()
    return 0 if lost == 0 and right else 1


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--only", type=int, help="only the cases of so many frames a second")
    parser.add_argument("--bare", action="store_true")
    parser.add_argument("--folder", default=None)
    arguments = parser.parse_args()
    status = 0
    with tempfile.TemporaryDirectory(dir=arguments.folder) as folder:
        for name, rate, limit, _ in CASES:
            if arguments.only in (None, rate):
                status |= measure(Path(folder), name, rate, arguments.seconds, limit, bare=arguments.bare)
    return status


if __name__ == "__main__":
    raise SystemExit(main())
