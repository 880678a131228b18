"""A day of readings through the recorder, as fast as the machine allows: memory, sizes, close, open, first draw.

    python -m tests.benchmarks.recorder_day --hours 24 --folder /some/disk

Nothing is extrapolated: every second of data goes in pieces of 100 ms of bytes and readings through the sink that a
recorder writes to (raw journal first, run file second, both flushed and synced once a second of data).  Two channels at
1 kHz with the digits of real sensors and the times of a device's clock.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
import time
from pathlib import Path

import numpy as np

from acquire.recorder_sink import RecordingSink
from acquire.runfile.reader import RunFile
from acquire.runfile.traces import Overview
from drivers.readings import PRESSURE, TEMPERATURE, Received
from tests.acquire.runfile.sample_run import BASELINES, END, HEADER, POINTS, RESULT
from tests.benchmarks.figures import show_figure
from tests.benchmarks.runfile_figures import LINE, RATE, block, drop_cache, part_of, peak_mb

PIECES = 10  # a second


def record(folder: Path, seconds: int) -> Path:
    rng = np.random.default_rng(4)
    sink = RecordingSink(folder / "day.h5", HEADER)
    slowest, grown, begun, making = 0.0, [], time.perf_counter(), 0.0
    for second in range(seconds):
        t0 = time.perf_counter()
        whole = [block(channel, second * RATE, RATE, rng) for channel in (TEMPERATURE, PRESSURE)]
        t1 = time.perf_counter()
        making += t1 - t0
        for piece in range(PIECES):
            sink.append_received(Received(second + piece / PIECES, LINE * (RATE // PIECES)), "bench")
            for readings in whole:
                part = slice(piece * RATE // PIECES, (piece + 1) * RATE // PIECES)
                sink.append(part_of(readings, part), "bench")
        sink.flush()
        slowest = max(slowest, time.perf_counter() - t1)
        if second % 3600 == 3599:
            grown.append(peak_mb())
            print(f"  hour {second // 3600 + 1}: peak memory {grown[-1]:.0f} MB", flush=True)
    spent = time.perf_counter() - begun - making
    print(f"{seconds / 3600:g} h of 1 kHz x 2 recorded in {spent:.0f} s: {seconds / spent:.0f} times as fast as time;")
    print(f"  slowest second {slowest * 1000:.0f} ms (limit 1000 ms); trouble: {sink.trouble or 'none'}")
    print(
        f"  raw journal {sink.raw_path.stat().st_size / 1e6:.0f} MB, live file {sink.path.stat().st_size / 1e6:.0f} MB"
    )
    case = f"recorder: {seconds / 3600:g} h of 1 kHz x 2"
    show_figure(f"{case}, recorded", f"{seconds / spent:.0f} times as fast as time", "> 1", "the disk")
    show_figure(f"{case}, slowest second", f"{1000 * slowest:.0f} ms", "<= 1000 ms", "the disk's sync")
    t0 = time.perf_counter()
    path = sink.close(END, POINTS, BASELINES, [RESULT])
    print(f"  closed in {time.perf_counter() - t0:.0f} s; {sink.trouble or 'no trouble'}")
    size = path.stat().st_size
    print(f"  closed file {size / 1e6:.0f} MB, {size / (2 * seconds * RATE):.2f} bytes a reading (goal 300 MB a day)")
    show_figure(f"{case}, closed", f"{size / 1e6:.1f} MB", f"<= {300 * seconds / 86400:.1f} MB")
    print(f"  peak memory {peak_mb():.0f} MB, {peak_mb() - grown[0] if grown else 0:.0f} MB more than after an hour")
    return path


def look(path: Path, seconds: int) -> None:
    drop_cache(path)
    used = time.process_time()
    t0 = time.perf_counter()
    with RunFile(path) as run:
        t1 = time.perf_counter()
        drawn = [Overview(run, channel) for channel in (TEMPERATURE, PRESSURE)]
        values = sum(len(one.fetch(*one.span)) for one in drawn)
        t2 = time.perf_counter()
        used = time.process_time() - used
        rows = [run.rows(channel) for channel in (TEMPERATURE, PRESSURE)]
    print(
        f"  opened in {(t1 - t0) * 1000:.1f} ms cold, first draw of both ({values} values) {(t2 - t0) * 1000:.1f} ms",
        end="",
    )
    print(" (goal 50 ms)")
    case = f"recorder: {seconds / 3600:g} h of 1 kHz x 2"
    told = f"{1000 * (t2 - t0):.0f} ms ({1000 * used:.0f} ms of processor)"
    show_figure(f"{case}, opened and first draw, cold", told, "<= 50 ms", "640 ms without levels")
    show_figure(f"{case}, lost", f"{2 * seconds * RATE - sum(rows)} of {2 * seconds * RATE:,}", "0")
    print(f"  lost: {2 * seconds * RATE - sum(rows)} of {2 * seconds * RATE} readings (goal 0)")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--hours", type=float, default=1.0)
    parser.add_argument("--folder", default=None)
    args = parser.parse_args()
    folder = Path(tempfile.mkdtemp(dir=args.folder))
    try:
        seconds = int(args.hours * 3600)
        look(record(folder, seconds), seconds)
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
