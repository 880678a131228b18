"""Kills a program that creates, writes, closes, mends and edits a run file, at random moments, and counts what is lost.

    python -m tests.benchmarks.runfile_kills --kills 1000

The child records as the recorder does: every 10 ms it is handed bytes and readings, gives them to the sink and only
then says on a pipe how many it was handed. What the parent has read from the pipe was accepted before the kill.
Goals: 0 unreadable after repair; at most 20 ms of readings lost; the journal a whole prefix of what was written; the
physical limit is the time between two reads of the line (10 ms here, 1 ms for a USB frame).
"""

from __future__ import annotations

import argparse
import collections
import os
import shutil
import signal
import struct
import tempfile
import time
from pathlib import Path

import numpy as np

from acquire.journal import Journal
from acquire.recorder_sink import RecordingSink
from acquire.runfile.editing import append_to_closed
from acquire.runfile.errors import RunFileError
from acquire.runfile.integrity import repair, verify
from acquire.runfile.reader import read_run
from drivers.readings import PRESSURE, Quality, Readings, Received
from tests.acquire.runfile.sample_run import BASELINES, END, HEADER, POINTS, RESULT, closed_run, entry
from tests.benchmarks.figures import show_figure

TICK = 0.01  # [s] between two hand-overs
RATE = 1000  # readings a second
PER_TICK = int(TICK * RATE)
TOLD = struct.Struct("<cQ")


def value(index: np.ndarray) -> np.ndarray:
    """The reading with this number."""
    return 101325.0 + index * 0.125


def record(path: Path, pipe: int, seconds: float) -> None:
    """The child: hand over readings in real time, saying so after each."""
    sink = RecordingSink(path, HEADER, ballast=1 << 16)
    journal = Journal()
    begun = flushed = time.monotonic()
    count = 0
    while (now := time.monotonic()) - begun < seconds:
        index = np.arange(count, count + PER_TICK, dtype=float)
        numbers = value(index)
        sink.append_received(Received(now, numbers.tobytes()), "bench")
        sink.append(Readings(PRESSURE, index / RATE, numbers, numbers, np.zeros(PER_TICK, np.uint8)), "bench")
        count += PER_TICK
        os.write(pipe, TOLD.pack(b"r", count))
        if count % (10 * PER_TICK) == 0:
            sink.append_entries([entry(journal, count // RATE, text=f"entry of {count}")])
            os.write(pipe, TOLD.pack(b"e", len(journal)))
        if now - flushed >= 0.25:  # four times as often as in a run, so that kills meet it
            sink.flush()
            flushed = now
        time.sleep(max(0.0, begun + (count / RATE) - time.monotonic()))
    os.write(pipe, TOLD.pack(b"c", count))
    sink.close(END, POINTS, BASELINES, [RESULT])
    os.write(pipe, TOLD.pack(b"d", count))


def told(end: int, data: bytes = b"") -> tuple[int, int, str]:
    """Readings and entries that were accepted, and the last thing that was said to be done: r, e, c (closing), d."""
    readings = entries = 0
    last = ""
    while chunk := os.read(end, 1 << 16):
        data += chunk
    for kind, number in TOLD.iter_unpack(data[: len(data) // TOLD.size * TOLD.size]):
        readings = number if kind in b"rcd" else readings
        entries = number if kind == b"e" else entries
        last = kind.decode()
    return readings, entries, last


def killed_child(work, delay: float, *, begun: bool = False) -> tuple[int, int, str]:
    """Run `work(pipe)` in a child and kill it after this time, if `begun` counted from the first that it tells."""
    end, start = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(end)
        try:
            work(start)
        finally:
            os._exit(0)
    os.close(start)
    first = os.read(end, TOLD.size) if begun else b""
    time.sleep(delay)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    out = told(end, first)
    os.close(end)
    return out


def whole(path: Path) -> tuple[int, int]:
    """Readings and entries of a file; AssertionError where one of them is not what was handed over."""
    run = read_run(path)
    trace = run.traces.get(PRESSURE)
    n = 0 if trace is None else len(trace.time)
    if trace is not None:
        assert np.array_equal(trace.value, value(np.arange(n, dtype=float))), "a reading differs"
        assert not np.any(trace.quality & ~np.uint8(Quality.UNCERTAIN_TIME)), "a quality differs"
    assert [item.number for item in run.journal] == list(range(len(run.journal))), "the journal has a hole"
    return n, len(run.journal)


def undisturbed(folder: Path, seconds: float) -> tuple[float, float]:
    """How long it takes here until the first hand-over, and from then until the run is closed.  [s]"""
    end, start = os.pipe()
    began = time.monotonic()
    child = os.fork()
    if child == 0:
        os.close(end)
        try:
            record(folder / "run.h5", start, seconds)
        finally:
            os._exit(0)
    os.close(start)
    first = os.read(end, TOLD.size)
    created = time.monotonic()
    assert told(end, first)[2] == "d"
    os.waitpid(child, 0)
    os.close(end)
    return created - began, time.monotonic() - created


def kill_recording(
    folder: Path, rng: np.random.Generator, seconds: float, lengths: tuple[float, float]
) -> tuple[str, float]:
    """One kill while a run is created, written or closed; what was met, and what was lost in seconds."""
    path = folder / "run.h5"
    begun = bool(rng.random() < 0.8)
    delay = float(rng.uniform(0.0, lengths[begun]))
    readings, entries, last = killed_child(lambda pipe: record(path, pipe, seconds), delay, begun=begun)
    closed = last == "d"
    if not path.exists() and not path.with_name("run.h5.raw").exists():
        assert readings == 0
        return "before anything was there", 0.0
    stage = "creating" if readings == 0 else "closed" if closed else "closing" if last == "c" else "writing"
    found = path
    if path.exists() and verify(path).state == "intact":
        stage = "closed" if closed else stage
    elif readings == 0 and not path.exists():
        try:
            found = repair(path, now_iso=END)
        except RunFileError:
            return "creating, refused in words, nothing was recorded", 0.0
    else:
        try:
            found = repair(path, now_iso=END)
        except RunFileError:
            if readings == 0:
                return "creating, refused in words, nothing was recorded", 0.0
            raise
    n, m = whole(found)
    assert m >= entries, f"{entries - m} entries lost"
    assert not [fault for fault in verify(found).faults if fault.kind != "incomplete"]
    return stage, max(0, readings - n) / RATE


def kill_mending(folder: Path, rng: np.random.Generator, dead: Path) -> tuple[str, float]:
    """One kill while a dead run is mended; the original must stay as it was and mend again."""
    for item in dead.iterdir():
        shutil.copy(item, folder / item.name)
    path = folder / "run.h5"
    before = {item.name: item.read_bytes() for item in folder.iterdir()}
    killed_child(lambda pipe: repair(path, now_iso=END), float(rng.uniform(0.0, 0.15)))
    assert all((folder / name).read_bytes() == data for name, data in before.items()), "the original was touched"
    whole(repair(path, now_iso=END))
    return "mending", 0.0


def kill_editing(folder: Path, rng: np.random.Generator, closed: Path) -> tuple[str, float]:
    """One kill while a result is added to a closed run; it has the old or the new ones, and is intact."""
    path = Path(shutil.copy(closed, folder / "run.h5"))
    killed_child(lambda pipe: append_to_closed(path, [], [RESULT], sealed_at=END), float(rng.uniform(0.0, 0.2)))
    assert verify(path).state == "intact"
    assert len(read_run(path).results) in (1, 2)
    return "editing", 0.0


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--seconds", type=float, default=0.6, help="of recording before the close")
    parser.add_argument("--seed", type=int, default=11)
    args = parser.parse_args()
    rng = np.random.default_rng(args.seed)
    met: collections.Counter[str] = collections.Counter()
    lost, bad = [], []
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as place:
        dead, closed = Path(place) / "dead", Path(place) / "closed.h5"
        dead.mkdir()
        killed_child(lambda pipe: record(dead / "run.h5", pipe, 5.0), 1.5)
        closed_run(closed, 5)
        whole_run = Path(place) / "whole"
        whole_run.mkdir()
        lengths = undisturbed(whole_run, args.seconds)
        print(f"here a run is created in {lengths[0]:.2f} s, and recorded and closed in {lengths[1]:.2f} s")
        for number in range(args.kills):
            folder = Path(place) / str(number)
            folder.mkdir()
            try:
                if number % 10 == 8:
                    stage, seconds = kill_mending(folder, rng, dead)
                elif number % 10 == 9:
                    stage, seconds = kill_editing(folder, rng, closed)
                else:
                    stage, seconds = kill_recording(folder, rng, args.seconds, lengths)
            except (RunFileError, AssertionError) as error:
                bad.append((number, f"{type(error).__name__}: {error}"))
                continue
            met[stage] += 1
            lost.append(seconds)
            shutil.rmtree(folder)
            if number % 50 == 49:
                worst = max(lost) * 1000
                print(f"{number + 1} kills, {len(bad)} bad, worst loss {worst:.0f} ms, {dict(met)}", flush=True)
    print(f"{args.kills} kills in {time.monotonic() - begun:.0f} s; met while: {dict(met)}")
    print(f"unreadable or wrong: {len(bad)} (goal 0) {bad[:10]}")
    print(
        f"readings accepted and lost: worst {max(lost, default=0) * 1000:.0f} ms (goal 20 ms; limit 0: each hand-over"
    )
    print("is on its way to the disk before it is told; a reading not yet handed over is at most one hand-over, 10 ms)")
    show_figure("run file: killed while writing, unreadable afterwards", f"{len(bad)} of {args.kills}", "0")
    lost_most = f"{max(lost, default=0) * 1000:.0f} ms"
    show_figure("run file: readings lost by a kill, worst", lost_most, "<= 20 ms", "10 ms: one hand-over")
    return 1 if bad or max(lost, default=0) > 0.02 else 0


if __name__ == "__main__":
    raise SystemExit(main())
