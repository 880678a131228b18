"""A source on a pseudo-terminal: readings lost and share of a core, beside the line's physical limit.

Run:  python -m tests.benchmarks.drivers_line [--seconds 10]

Another process writes frames in ticks of 1 ms, as full-speed USB does; the share of a core is that of this process,
with a consumer that counts. The first line is the machine's own speed (0.091 s where the goals were set): shares of a
core scale with it. Limits: 115,200 baud carries 11,520 bytes/s, 3 Mbaud 300,000; full-speed USB 1.216 MB/s
(19 frames of 64 bytes a millisecond, from memory).
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import queue
import resource
import struct
import time
import tty

import numpy as np

from drivers.checksums import crc16_ccitt, xor8
from drivers.profile import load_profile
from drivers.readings import Readings, Received
from drivers.source import ReadingSource

#: (profile, frames a second, what limits it, goal for the share of a core in per cent)
CASES = (
    ("simulated-bench", 10, "115,200 baud: 288 frames/s of 40 bytes", 1.0),
    ("simulated-bench", 1_000, "USB full speed: 30,000 frames/s", 3.0),
    ("packed-binary", 1_000, "USB full speed: 67,000 frames/s of 18 bytes", 3.0),
    ("packed-binary", 57_800, "USB full speed: 1.04 of 1.216 MB/s", 5.0),
)


def frame(name: str, n: int, rate: float) -> bytes:
    if name == "packed-binary":
        body = struct.pack("<HIff", n % 65536, round(n * 1e6 / rate) % 2**32, 21.5, 101325.0)
        return b"\xa5\x5a" + body + struct.pack("<H", crc16_ccitt(body))
    body = b"SAT,%d,%.3f,101.325" % (round(n * 1e3 / rate) % 2**32, 20 + n % 1000 / 1000)
    return b"$%s*%02X\r\n" % (body, xor8(body))


def produce(descriptor: int, name: str, rate: int, seconds: float, go) -> None:
    made = [frame(name, n, rate) for n in range(int(rate * seconds))]
    go.wait()
    began, sent = time.monotonic(), 0
    while sent < len(made):
        due = min(len(made), int((time.monotonic() - began) * rate) + 1)
        # a device that cannot be read fast enough waits, as USB does; the time that it waits shows in the rate
        view = memoryview(b"".join(made[sent:due]))
        while view:
            view = view[os.write(descriptor, view) :]
        sent = due
        time.sleep(0.001)


def measure(name: str, rate: int, seconds: float) -> tuple[int, int, float, float]:
    ours, theirs = os.openpty()
    tty.setraw(theirs)
    go = multiprocessing.Event()
    producer = multiprocessing.Process(target=produce, args=(ours, name, rate, seconds, go))
    producer.start()
    source = ReadingSource(load_profile(name), os.ttyname(theirs), now=time.monotonic)
    source.start()
    total = int(rate * seconds)
    time.sleep(1.0)
    before, began = resource.getrusage(resource.RUSAGE_SELF), time.monotonic()
    go.set()
    got, delays = 0, []
    while got < total and time.monotonic() - began < seconds + 10:
        try:
            event = source.events.get(timeout=1)
        except queue.Empty:
            continue
        if isinstance(event, Readings) and event.channel == "temperature":
            got += len(event)
        elif isinstance(event, Received):
            delays.append(time.monotonic() - event.arrival)
    span = time.monotonic() - began
    after = resource.getrusage(resource.RUSAGE_SELF)
    source.stop()
    producer.join()
    os.close(ours)
    os.close(theirs)
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return total, got, 100 * used / span, 1e3 * float(np.percentile(delays, 99))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0)
    arguments = parser.parse_args()
    began = time.process_time()
    for _ in range(10_000_000):
        pass
    print(f"ten million empty loops: {time.process_time() - began:.3f} s")
    print(
        f"{'profile':<16} {'frames/s':>8} {'sent':>9} {'lost':>5} {'% of a core':>11} {'goal':>5}  "
        f"{'p99 queue':>9}  limit"
    )
    for name, rate, limit, goal in CASES:
        sent, got, share, late = measure(name, rate, arguments.seconds)
        print(
            f"{name:<16} {rate:>8} {sent:>9} {sent - got:>5} {share:>11.2f} {goal:>5}  {late:>6.1f} ms  {limit}",
            flush=True,
        )


if __name__ == "__main__":
    main()
