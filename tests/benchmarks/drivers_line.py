"""A source on a pseudo-terminal: readings lost and share of a core, beside the line's physical limit.

Run:  python -m tests.benchmarks.drivers_line [--seconds 10] [--only 57800]

Another process makes frames and writes them in ticks of 1 ms, as full-speed USB does, for as long as is wanted; it
holds no more than one tick of them. The share of a core is that of this process, with a consumer that looks into the
queue every 20 ms, as the recorder does, counts and adds up: a reading that is lost, twice or wrong shows.

Shares of a core scale with the machine. Each is printed as it was, with the machine's own speed around it (ten million
empty loops; 0.091 s where the goals were set), scaled to that, and beside the share that the least possible loop
takes of the same stream: `select`, a pause of 5 ms, `os.read`, and nothing made of the bytes. Limits: 115,200 baud
carries 11,520 bytes/s, 3 Mbaud 300,000; full-speed USB 1.216 MB/s (19 frames of 64 bytes a millisecond, from memory).
"""

from __future__ import annotations

import argparse
import contextlib
import multiprocessing
import os
import queue
import resource
import select
import struct
import time
import tty
from array import array

import numpy as np

from drivers.checksums import crc16_ccitt, xor8
from drivers.errors import PortBusyError
from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Readings, Received
from drivers.source import ReadingSource
from tests.benchmarks.figures import show_figure

#: (profile, frames a second, what limits it, goal for the share of a core in per cent)
CASES = (
    ("simulated-bench", 10, "115,200 baud: 288 frames/s of 40 bytes", 1.0),
    ("simulated-bench", 1_000, "USB full speed: 30,000 frames/s", 3.0),
    ("packed-binary", 1_000, "USB full speed: 67,000 frames/s of 18 bytes", 3.0),
    ("packed-binary", 57_800, "USB full speed: 1.04 of 1.216 MB/s", 5.0),
)


TRIES = 10
REFERENCE = 0.091  # [s] of ten million empty loops where the goals were set


def frame(name: str, n: int, rate: float) -> bytes:
    temperature = 20 + n % 8 / 8  # exact in text and in 32 bits
    if name == "packed-binary":
        body = struct.pack("<HIff", n % 65536, round(n * 1e6 / rate) % 2**32, temperature, 101325.0)
        return b"\xa5\x5a" + body + struct.pack("<H", crc16_ccitt(body))
    body = b"SAT,%d,%.3f,101.325" % (round(n * 1e3 / rate) % 2**32, temperature)
    return b"$%s*%02X\r\n" % (body, xor8(body))


def sum_of_temperatures(count: int) -> float:
    whole, rest = divmod(count, 8)
    return 20.0 * count + (whole * 28 + rest * (rest - 1) / 2) / 8


def produce(descriptor: int, name: str, rate: int, total: int, go) -> None:
    go.wait()
    began, sent = time.monotonic(), 0
    while sent < total:
        due = min(total, int((time.monotonic() - began) * rate) + 1, sent + 1000)
        # a device that cannot be read fast enough waits, as USB does; the time that it waits shows in the rate
        view = memoryview(b"".join([frame(name, n, rate) for n in range(sent, due)]))
        while view:
            view = view[os.write(descriptor, view) :]
        sent = due
        time.sleep(0.001)


class Seen:
    """What a consumer counts."""

    def __init__(self) -> None:
        self.count = 0
        self.sum = 0.0
        self.refused = 0
        self.delays = array("d")

    def take(self, event) -> None:
        if isinstance(event, Readings):
            if event.channel == "temperature":
                self.count += len(event)
                self.sum += float(event.raw.sum())
        elif isinstance(event, Received):
            self.delays.append(time.monotonic() - event.arrival)
        elif isinstance(event, DeviceNotice) and event.kind in ("rejected", "gap"):
            self.refused += event.count


class Stream:
    """A pseudo-terminal and the process that writes to it."""

    def __init__(self, name: str, rate: int, total: int) -> None:
        self.ours, self.theirs = os.openpty()
        tty.setraw(self.theirs)
        self.path = os.ttyname(self.theirs)
        self.go = multiprocessing.Event()
        self._process = multiprocessing.Process(target=produce, args=(self.ours, name, rate, total, self.go))
        self._process.start()

    def close(self) -> None:
        self._process.terminate()
        self._process.join()
        os.close(self.ours)
        os.close(self.theirs)


def processor() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def loops() -> float:
    """Seconds that ten million empty loops take now."""
    began = time.process_time()
    for _ in range(2_000_000):
        pass
    return 5 * (time.process_time() - began)


def measure(name: str, rate: int, seconds: float, take) -> tuple[int, float, float, float, object]:
    """(frames sent, share of a core, seconds of ten million loops, share of the wanted speed, what was seen)."""
    total = int(rate * seconds)
    stream = Stream(name, rate, total)
    before = loops()
    try:
        used, span, seen = take(name, stream, total, seconds)
    finally:
        stream.close()
    return total, 100 * used / span, (before + loops()) / 2, total / span / rate, seen


def opened(name: str, path: str) -> ReadingSource:
    """A source on the pseudo-terminal; another program may be trying a terminal that once had the same number."""
    for _ in range(TRIES):
        source = ReadingSource(load_profile(name), path, now=time.monotonic)
        try:
            source.start()
        except PortBusyError as error:
            busy = error
            time.sleep(0.5)
        else:
            return source
    raise busy


def by_source(name: str, stream: Stream, total: int, seconds: float) -> tuple[float, float, Seen]:
    source = opened(name, stream.path)
    time.sleep(1.0)
    seen = Seen()
    used, began = processor(), time.monotonic()
    stream.go.set()
    while seen.count < total and time.monotonic() - began < 1.2 * seconds + 10:
        time.sleep(0.02)
        with contextlib.suppress(queue.Empty):
            while True:
                seen.take(source.events.get_nowait())
    used, span = processor() - used, time.monotonic() - began
    source.stop()
    return used, span, seen


def by_nothing(name: str, stream: Stream, total: int, seconds: float) -> tuple[float, float, int]:
    """The least that a reader can do."""
    descriptor = os.open(stream.path, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
    wanted = sum(len(frame(name, n, 1000)) for n in range(100)) * total // 110  # lines of text grow by some digits
    got = 0
    used, began = processor(), time.monotonic()
    stream.go.set()
    while got < wanted and time.monotonic() - began < seconds:
        if not select.select([descriptor], [], [], 0.05)[0]:
            continue
        select.select([], [], [], 0.005)
        with contextlib.suppress(BlockingIOError):
            while piece := os.read(descriptor, 65536):
                got += len(piece)
    used, span = processor() - used, time.monotonic() - began
    os.close(descriptor)
    return used, span, got


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--only", type=int, help="only the cases of so many frames a second")
    arguments = parser.parse_args()
    for name, rate, limit, goal in CASES:
        if arguments.only not in (None, rate):
            continue
        _, bare, bare_loop, _, _ = measure(name, rate, min(arguments.seconds, 5.0), by_nothing)
        sent, share, loop, kept, seen = measure(name, rate, arguments.seconds, by_source)
        late = 1e3 * float(np.percentile(np.frombuffer(seen.delays), 99))
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"\n{name}, {rate} frames/s for {arguments.seconds:g} s ({limit})")
        print(
            f"  sent {sent}, lost {sent - seen.count} (goal 0), refused {seen.refused}, sum of the values right: "
            f"{seen.sum == sum_of_temperatures(sent)}, {100 * kept:.2f} % of the wanted speed"
        )
        print(
            f"  {share:.2f} % of a core at {loop:.3f} s for ten million loops: "
            f"{share * REFERENCE / loop:.2f} % on the machine of the goals (goal {goal:g} %); "
            f"the least loop takes {bare * REFERENCE / bare_loop:.2f} %"
        )
        case = f"line: {name}, {rate:,} frames/s for {arguments.seconds:g} s"
        show_figure(f"{case}, lost", f"{sent - seen.count} of {sent:,}", "0", limit)
        told = f"{share:.1f} % ({share * REFERENCE / loop:.1f} % on the machine of the goals)"
        show_figure(f"{case}, share of a core", told, f"<= {goal:g} %", f"{bare:.1f} %: only reading the bytes")
        print(f"  p99 in the queue {late:.1f} ms, memory {memory:.0f} MB", flush=True)


if __name__ == "__main__":
    main()
