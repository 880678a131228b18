"""A minute against each program that others wrote: every reading accounted for.

Run:  python -m tests.benchmarks.drivers_peers [--seconds 60] [--talkers]
"""

from __future__ import annotations

import argparse
import os
import queue
import tempfile
import time
from pathlib import Path

import numpy as np

from drivers.checksums import xor8
from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Readings
from drivers.source import ReadingSource
from tests.benchmarks.figures import show_figure
from tests.drivers.peers import free_port, joined_terminals, program
from tests.drivers.ser2net import Ser2net

ASK_RATE, TALK_RATE = 20.0, 200
PATIENCE = 60.0  # [s]


def asked(label: str, profile: str, peer: str, seconds: float, first: float, step: float, **decoding) -> None:
    port = free_port()
    known = load_profile(profile)
    known = known.model_copy(update={"rate": ASK_RATE, "decoding": known.decoding.model_copy(update=decoding)})
    arguments = [f"tests.drivers.{peer}", *([decoding["wire"]] if decoding else []), str(port)]
    with program(*arguments, listens=port):
        source = ReadingSource(known, f"socket://127.0.0.1:{port}", now=time.monotonic, queue=queue.Queue())
        source.start()
        time.sleep(seconds)
        source.stop()
    events = list(source.events.queue)
    raw = numbers(events, "temperature")
    pressures = numbers(events, "pressure")
    expected = raw[0] + step * np.arange(len(raw))
    due = int(seconds * ASK_RATE)
    missed = sum(event.count for event in events if isinstance(event, DeviceNotice) and event.kind == "gap")
    refused = sum(event.count for event in events if isinstance(event, DeviceNotice) and event.kind == "rejected")
    in_order = np.allclose(raw, expected)
    print(
        f"{label}: {due} slots, {len(raw)} temperatures and {len(pressures)} pressures, {missed} slots missed, "
        f"{refused} refused, answers in order and each once: {in_order}",
        flush=True,
    )
    told = f"{len(raw)} answers {'in order' if in_order else 'OUT OF ORDER'}, {missed} questions without one"
    show_figure(
        f"line: {seconds:g} s against {label}", told, f"{due} or {due + 1} in order, 0", "20 questions a second"
    )


def numbers(events, channel: str) -> np.ndarray:
    blocks = [event.raw for event in events if isinstance(event, Readings) and event.channel == channel]
    return np.concatenate(blocks) if blocks else np.zeros(0)


def talked(label: str, url: str, descriptor: int, seconds: float) -> None:
    source = ReadingSource(load_profile("simulated-bench"), url, now=time.monotonic, queue=queue.Queue())
    source.start()
    total = int(seconds * TALK_RATE)
    began = time.monotonic()
    for n in range(total):
        body = b"SAT,%d,%.3f,101.325" % (n * 1000 // TALK_RATE, 20 + n % 60000 / 1000)
        os.write(descriptor, b"$%s*%02X\r\n" % (body, xor8(body)))
        time.sleep(max(0.0, began + (n + 1) / TALK_RATE - time.monotonic()))
    late = time.monotonic()
    # a busy machine may be behind with what stands in the buffers; what is lost never comes
    while len(numbers(list(source.events.queue), "temperature")) < total and time.monotonic() - late < PATIENCE:
        time.sleep(0.2)
    late = time.monotonic() - late
    source.stop()
    events = list(source.events.queue)
    raw = numbers(events, "temperature")
    refused = sum(event.count for event in events if isinstance(event, DeviceNotice) and event.kind == "rejected")
    same = len(raw) == total and np.allclose(raw, 20 + np.arange(total) % 60000 / 1000)
    print(
        f"{label}: {total} lines sent, {len(raw)} readings, {refused} refused, each as it was sent: {same}; "
        f"the last came {late:.1f} s after it was sent",
        flush=True,
    )
    told = f"{len(raw)} of {total} lines, {'each as it was sent' if same else 'NOT as they were sent'}"
    show_figure(f"line: {seconds:g} s through {label}", told, "all, as sent", "200 lines a second")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--talkers", action="store_true", help="only the peers that send by themselves")
    arguments = parser.parse_args()
    seconds = arguments.seconds
    if not arguments.talkers:
        for wire in ("rtu", "tcp"):
            asked(f"pymodbus server, {wire}", "modbus-registers", "modbus_peer", seconds, 2000, 1, wire=wire)
        asked("scpipy server", "text-questions", "scpi_peer", seconds, 290.001, 0.001)
    server = Ser2net()
    try:
        talked("ser2net, RFC 2217", server.url, server.far, seconds)
    finally:
        server.stop()
    with tempfile.TemporaryDirectory() as folder, joined_terminals(Path(folder)) as (left, right):
        far = os.open(left, os.O_RDWR | os.O_NOCTTY)
        talked("socat", right, far, seconds)
        os.close(far)


if __name__ == "__main__":
    main()
