"""Figures of the run file: append and flush cost, size, closing, opening, first draw, window fetch, rebuild.

    python -m tests.benchmarks.runfile_figures --hours 24 --folder /some/disk

Made of two channels at 1 kHz with the digits of real sensors (1 mK, 10 Pa steps, noise of some steps, a drift), times
of a device clock. Each figure is printed with its goal and the physical limit beside it.
"""

from __future__ import annotations

import argparse
import os
import resource
import shutil
import tempfile
import time
from pathlib import Path

import numpy as np

from acquire.raw_journal import READINGS_HEAD, RECEIVED_HEAD, Kind, RawJournal
from acquire.runfile.integrity import verify
from acquire.runfile.reader import RunFile
from acquire.runfile.rebuild import rebuild
from acquire.runfile.traces import Overview
from acquire.runfile.writer import RunFileWriter
from drivers.readings import PRESSURE, TEMPERATURE, Readings, Received
from tests.acquire.runfile.sample_run import BASELINES, END, HEADER, POINTS, RESULT
from tests.benchmarks.drivers_line import REFERENCE, loops
from tests.benchmarks.figures import show_figure

RATE = 1000
PER_SECOND = 50  # pieces, as a session steps
LINE = b"$SAT,12345678,21.500,101.300*5A\r\n"


def block(channel: str, start: int, n: int, rng: np.random.Generator) -> Readings:
    """Readings as a thermometer of 1 mK and a gauge of 10 Pa give them."""
    index = np.arange(start, start + n)
    time_s = 12.345 + index * (1.0 / RATE) * (1 + 12e-6)
    drift = np.sin(index / RATE / 3000.0)
    if channel == TEMPERATURE:
        raw = np.round(21.0 + 10.0 * drift + rng.normal(0, 0.003, n), 3)
        value = raw + 273.15
    else:
        raw = np.round(101.3 + 5.0 * drift + rng.normal(0, 0.02, n), 2)
        value = raw * 1000.0
    return Readings(channel, time_s, value, raw, np.zeros(n, np.uint8), 1e-4)


def percentiles(seconds: list[float]) -> str:
    p50, p99 = np.percentile(seconds, [50, 99]) * 1000
    return f"p50 {p50:.2f} ms, p99 {p99:.2f} ms, worst {max(seconds) * 1000:.2f} ms"


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def drop_cache(path: Path) -> None:
    """So that the next reading comes from the disk, as far as the system lets us."""
    with open(path, "rb") as handle:
        os.fsync(handle.fileno())
        if hasattr(os, "posix_fadvise"):
            os.posix_fadvise(handle.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def write_paced(folder: Path, seconds: int = 60) -> None:
    """As while recording: 20 ms blocks, flush each second; busy share of a core at 1 kHz x 2."""
    rng = np.random.default_rng(0)
    writer = RunFileWriter(folder / "paced.h5", HEADER)
    raw = RawJournal(folder / "paced.raw", HEADER.__dict__)
    blocks = [
        [(block(channel, s * RATE + k * 20, 20, rng)) for channel in (TEMPERATURE, PRESSURE)]
        for s in range(seconds)
        for k in range(50)
    ]
    journalled, appended, flushed, synced = [], [], [], []
    begun = time.process_time()
    for number, pair in enumerate(blocks):
        t0 = time.perf_counter()
        raw.received("bench", Received(float(number), LINE * 20))
        for readings in pair:
            raw.readings("bench", readings)
        t1 = time.perf_counter()
        for readings in pair:
            writer.append(readings, "bench")
        t2 = time.perf_counter()
        journalled.append(t1 - t0)
        appended.append(t2 - t1)
        if number % 50 == 49:
            writer.flush()
            t3 = time.perf_counter()
            raw.sync()
            flushed.append(t3 - t2)
            synced.append(time.perf_counter() - t3)
    busy = (time.process_time() - begun) / seconds
    size = raw.size
    raw.close()
    writer.abandon()
    print(f"paced, 1 kHz x 2, {seconds} s of data:")
    print(f"  raw journal, 20 ms of bytes and readings: {percentiles(journalled)} (goal p99 <= 7 ms; limit: the 20 ms)")
    print(f"  run file, append: {percentiles(appended)}; flush each second: {percentiles(flushed)}")
    print(f"  fdatasync of the raw journal each second: {percentiles(synced)} (limit: the disk)")
    print(f"  busy: {100 * busy:.2f} % of a core (goal for the whole chain <= 3 %)")
    print(f"  raw journal {size / seconds * 3600 / 1e6:.0f} MB/h")
    p99 = f"{1000 * np.percentile(journalled, 99):.2f} ms"
    show_figure("run file: 20 ms of bytes and readings into the raw journal, p99", p99, "<= 7 ms", "the 20 ms")
    synced_p99 = f"{1000 * np.percentile(synced, 99):.1f} ms"
    show_figure("run file: raw journal synced each second, p99", synced_p99, "within the second", "the disk")


def write_second(raw: RawJournal, second: int, blocks: list[Readings]) -> None:
    """The frames of a second as a recorder writes them: bytes and readings every 20 ms."""
    if not second:
        raw.received("bench", Received(0.0, b""))  # gives the device its number
    size = RATE // PER_SECOND
    contents = []
    for piece in range(PER_SECOND):
        head = RECEIVED_HEAD.pack(0, second + piece / PER_SECOND)
        contents.append((Kind.RECEIVED, head + LINE * size))
        part = slice(piece * size, (piece + 1) * size)
        for number, one in enumerate(blocks):
            columns = (one.time[part], one.value[part], one.raw[part], one.quality[part])
            body = b"".join(column.tobytes() for column in columns)
            contents.append((Kind.READINGS, READINGS_HEAD.pack(0, number, one.u_time, size) + body))
    raw.write(*contents)


def rebuilt(folder: Path, hours: float) -> None:
    """A raw journal of bytes and readings back into a closed run file."""
    rng = np.random.default_rng(1)
    raw = RawJournal(folder / "rebuilt.h5.raw", HEADER.__dict__)
    seconds = int(hours * 3600)
    for start in range(0, seconds, 60):
        minute = [block(channel, start * RATE, 60 * RATE, rng) for channel in (TEMPERATURE, PRESSURE)]
        for second in range(start, min(start + 60, seconds)):
            part = slice((second - start) * RATE, (second - start + 1) * RATE)
            write_second(raw, second, [part_of(one, part) for one in minute])
    size = raw.size
    raw.close()
    before = loops()
    begun, used = time.perf_counter(), time.process_time()
    path = rebuild(raw.path, folder / "rebuilt.h5", now_iso=END)
    spent, used = time.perf_counter() - begun, time.process_time() - used
    pace = (before + loops()) / 2 / REFERENCE
    with RunFile(path) as run:
        kept = [run.rows(channel) for channel in (TEMPERATURE, PRESSURE)]
    closed = path.stat().st_size
    print(f"rebuild from the raw journal: {hours:g} h of 1 kHz x 2 ({size / 1e6:.0f} MB) in {spent:.1f} s,", end=" ")
    print(f"{used:.1f} s of the processors, pace {pace:.2f}; lost {2 * seconds * RATE - sum(kept)} readings;", end=" ")
    print(f"the file has {closed / 1e6:.0f} MB")
    day = f"{spent * 24 / hours:.0f} s"
    told = day if hours >= 24 else f"{day} at the speed of {hours:g} h"
    beside = f"{size / hours * 24 / 1e9:.1f} GB to read; {used * 24 / hours:.0f} s of processor at pace {pace:.1f}"
    show_figure("run file: 24 h of 1 kHz x 2 rebuilt from the raw journal", told, "<= 20 s", beside)
    raw.path.unlink()
    path.unlink()


def part_of(readings: Readings, part: slice) -> Readings:
    return Readings(
        readings.channel, readings.time[part], readings.value[part], readings.raw[part], readings.quality[part],
        readings.u_time,
    )  # fmt: skip


def day(folder: Path, hours: float) -> None:
    """A long run: sizes, closing, opening, drawing."""
    rng = np.random.default_rng(2)
    path = folder / "day.h5"
    writer = RunFileWriter(path, HEADER)
    total = int(hours * 3600 * RATE)
    step = 60 * RATE
    begun = time.perf_counter()
    made = 0.0
    for start in range(0, total, step):
        t0 = time.perf_counter()
        blocks = [block(channel, start, min(step, total - start), rng) for channel in (TEMPERATURE, PRESSURE)]
        made += time.perf_counter() - t0
        for readings in blocks:
            writer.append(readings, "bench")
        writer.flush()
    written = spent = time.perf_counter() - begun - made
    live = path.stat().st_size
    rows = 2 * total
    print(f"{hours:g} h x 1 kHz x 2, {rows / 1e6:.1f} M readings:")
    print(f"  written in {spent:.1f} s, {rows / spent / 1e6:.1f} M readings/s (limit: memory to page cache)")
    print(f"  live file {live / 1e6:.0f} MB, {live / rows:.1f} bytes a reading (25 of columns)")
    begun, used = time.perf_counter(), time.process_time()
    writer.close(END, POINTS, BASELINES, [RESULT])
    closed = path.stat().st_size
    spent, used = time.perf_counter() - begun, time.process_time() - used
    print(f"  closed (compressed, sealed, read back) in {spent:.1f} s, {used:.1f} s of a core")
    print(f"  closed file {closed / 1e6:.0f} MB, {closed / rows:.2f} bytes a reading (goal 300 MB for 24 h)")
    case = f"run file: {hours:g} h of 1 kHz x 2"
    show_figure(f"{case}, written", f"{rows / written / 1e6:.1f} M readings/s", ">= 0.002 M/s", "memory to page cache")
    show_figure(f"{case}, closed", f"{closed / 1e6:.0f} MB", f"<= {300 * hours / 24:.0f} MB", "33 bytes a reading raw")
    with RunFile(path) as run:
        for column in ("time", "value", "raw_value", "value_mask"):
            stored = run.hdf[f"entry/instrument/manometer/value_log/{column}"].id.get_storage_size()
            print(f"    {column} {stored / total:.2f} bytes each")
        stored = sum(item.id.get_storage_size() for item in run.hdf["entry/overview_pressure"].values())
        print(f"    overview levels {stored / total:.2f} bytes a reading")
    print(f"  peak memory so far {peak_mb():.0f} MB")
    opening, drawing = [], []
    for attempt in range(5):
        if attempt == 0:
            drop_cache(path)
        t0 = time.perf_counter()
        run = RunFile(path)
        overviews = {channel: Overview(run, channel) for channel in (TEMPERATURE, PRESSURE)}
        t1 = time.perf_counter()
        for overview in overviews.values():
            overview.fetch(*overview.span)
        opening.append(t1 - t0)
        drawing.append(time.perf_counter() - t0)
        run.close()
    print(
        f"  open {opening[0] * 1000:.1f} ms cold; open and overview of both {drawing[0] * 1000:.1f} ms cold,", end=" "
    )
    print(f"{min(drawing) * 1000:.1f} ms warm (goal 50 ms)")
    with RunFile(path) as run:
        overview = Overview(run, PRESSURE)
        first, last = overview.span
        overview.fetch(first, last)
        fetches, used_each = [], []
        for _ in range(1000):
            width = float(np.exp(rng.uniform(np.log(10.0), np.log(last - first))))
            start = float(rng.uniform(first, last - width))
            t0, c0 = time.perf_counter(), time.thread_time()
            found = overview.fetch(start, start + width)
            fetches.append(time.perf_counter() - t0)
            used_each.append(time.thread_time() - c0)
            assert len(found) <= 2003
    print(f"  fetch of a window of 10 s to all: {percentiles(fetches)} (goal p99 <= 2 ms)")
    print(f"    of which on the processor, whatever else the machine does: {percentiles(used_each)}")
    drawn = f"{1000 * drawing[0]:.0f} ms cold, {1000 * min(drawing):.0f} ms warm"
    show_figure(f"{case}, opened and overview of both", drawn, "<= 50 ms", "640 ms without levels")
    fetched = f"{1000 * np.percentile(fetches, 99):.2f} ms ({1000 * np.percentile(used_each, 99):.2f} ms of processor)"
    show_figure(f"{case}, any zoom fetched, p99", fetched, "<= 2 ms", "inflating two chunks, 1 ms")
    t0 = time.perf_counter()
    state = verify(path).state
    print(f"  verify: {state} in {time.perf_counter() - t0:.1f} s (limit: inflate, hash {rows * 25 / 1e9:.1f} GB)")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--hours", type=float, default=1.0)
    parser.add_argument("--rebuild-hours", type=float, default=0.25)
    parser.add_argument("--folder", default=None)
    args = parser.parse_args()
    folder = Path(tempfile.mkdtemp(dir=args.folder))
    try:
        write_paced(folder)
        rebuilt(folder, args.rebuild_hours)
        day(folder, args.hours)
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
