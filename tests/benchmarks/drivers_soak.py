"""Ten million readings with random cuts, garbage, damage, gaps and reconnects; every one is accounted for.

Run:  python -m tests.benchmarks.drivers_soak [--readings 1e7] [--seed 1]

Each frame carries its number as the device's clock, so a frame that comes out is known by it. A frame that went in
must come out once with its own values, or be one that was damaged, left out (a gap) or torn by a reconnect, or stand
next to such a one (its neighbour's loss took it along). Nothing may come out that did not go in.
"""

from __future__ import annotations

import argparse
import struct
import time

import numpy as np

from drivers.checksums import crc16_ccitt, xor8
from drivers.decoding import make_decoder
from drivers.profile import load_profile
from drivers.readings import DeviceNotice, Readings
from tests.benchmarks.figures import show_figure

BATCH = 20_000
DAMAGED, LEFT_OUT, GARBAGE, RECONNECT = 0.004, 0.002, 0.004, 1e-4


def sentence(n: int) -> bytes:
    body = b"SAT,%d,%d.%03d,101.325" % (n * 100 % 2**32, n % 90, n % 1000)
    return b"$%s*%02X\r\n" % (body, xor8(body))


def packed(n: int) -> bytes:
    body = struct.pack("<HIff", n % 65536, n * 1000 % 2**32, n % 90 + n % 1000 / 1024, 101325.0)
    return b"\xa5\x5a" + body + struct.pack("<H", crc16_ccitt(body))


FORMS = {
    "simulated-bench": (sentence, lambda n: n % 90 + n % 1000 / 1000, 100),
    "packed-binary": (packed, lambda n: n % 90 + n % 1000 / 1024, 1000),
}


def damage(rng: np.random.Generator, frame: bytes) -> bytes:
    place = int(rng.integers(len(frame)))
    kind = rng.integers(4)
    if kind == 0:
        return frame[:place] + bytes([frame[place] ^ 1 << int(rng.integers(8))]) + frame[place + 1 :]
    if kind == 1:
        return frame[:place] + frame[place + 1 :]
    if kind == 2:
        return frame[: place + 1] + frame[place:]
    return frame[:place] + rng.bytes(int(rng.integers(1, 30))) + frame[place:]


def soak(name: str, frames: int, seed: int) -> bool:
    rng = np.random.default_rng(seed)
    make, expected, ticks = FORMS[name]
    decoder = make_decoder(load_profile(name), joined_midway=False)
    period = ticks / (1e3 if name == "simulated-bench" else 1e6)
    counts = dict.fromkeys(
        ("out", "damaged", "left out", "torn", "beside noise", "neighbour", "wrong", "invented", "twice"), 0
    )
    rejected_told = 0
    began = time.process_time()
    for start in range(0, frames, BATCH):
        numbers = range(start, min(start + BATCH, frames))
        draws = rng.random((len(numbers), 3))
        fate: dict[int, str] = {}
        stretches: list[list[bytes]] = [[]]
        for n, (spoil, noise, cut) in zip(numbers, draws, strict=True):
            frame = make(n)
            if spoil < DAMAGED:
                fate[n] = "damaged"
                frame = damage(rng, frame)
            elif spoil < DAMAGED + LEFT_OUT:
                fate[n] = "left out"
                frame = b""
            if noise < GARBAGE:
                fate.setdefault(n - 1, "beside noise")  # a frame is believed when the next begins where it ends
                stretches[-1].append(rng.bytes(int(rng.integers(1, 200))))
            if cut < RECONNECT:
                fate[n] = "torn"
                half = int(rng.integers(len(frame) + 1))
                stretches[-1].append(frame[:half])
                stretches.append([frame[half:]])
                continue
            stretches[-1].append(frame)
        came: list[tuple[int, float]] = []
        for number, stretch in enumerate(stretches):
            if number:
                events = decoder.close(start * period)
                rejected_told += told(events)
                came += temperatures(events, period)
                decoder.begin(joined_midway=True, after_gap=True)
            data = b"".join(stretch)
            at = 0
            while at < len(data):
                size = int(rng.integers(1, 4000))
                events = decoder.feed(data[at : at + size], (start + BATCH) * period)
                at += size
                rejected_told += told(events)
                came += temperatures(events, period)
        events = decoder.fell_silent()
        rejected_told += told(events)
        came += temperatures(events, period)
        account(counts, numbers, fate, [raw for _, raw in came], expected)
    rejected_told += told(decoder.close(frames * period))
    used = time.process_time() - began
    settled = counts["out"] + counts["damaged"] + counts["left out"] + counts["torn"]
    settled += counts["beside noise"] + counts["neighbour"]
    print(f"\n{name}: {2 * frames:,} readings in {frames:,} frames, seed {seed}, {used:.0f} s of one core")
    print(f"  out {2 * counts['out']:,} + damaged {2 * counts['damaged']:,} + gaps {2 * counts['left out']:,}", end="")
    print(f" + torn by reconnects {2 * counts['torn']:,} + lost with a neighbour {2 * counts['neighbour']:,}", end="")
    print(f" + cut off from the next by noise {2 * counts['beside noise']:,} = {2 * settled:,}   (in: {2 * frames:,})")
    print(
        f"  wrong {counts['wrong']}, invented {counts['invented']}, twice {counts['twice']}; "
        f"refusals told {rejected_told:,}"
    )
    wrong = counts["wrong"] + counts["invented"] + counts["twice"]
    figure = f"{2 * settled:,} of {2 * frames:,} readings accounted for, {wrong} wrong"
    beside = f"{2 * counts['out']:,} came out, the others are known to be damaged, torn or left out"
    show_figure(f"line: damage, garbage, gaps and reconnects, {name}", figure, "all accounted for, 0 wrong", beside)
    return (
        settled == frames
        and not counts["wrong"] + counts["invented"] + counts["twice"]
        and rejected_told == decoder.spoilt
    )


def temperatures(events, period: float) -> list[tuple[int, float]]:
    return [
        pair
        for event in events
        if isinstance(event, Readings) and event.channel == "temperature"
        for pair in zip(np.rint(event.time / period).astype(int).tolist(), event.raw.tolist(), strict=True)
    ]


def told(events) -> int:
    return sum(event.count for event in events if isinstance(event, DeviceNotice) and event.kind == "rejected")


def account(counts, numbers, fate, raws, expected) -> None:
    """Match what came out, in order, with what went in; values repeat only after 90,000 frames."""
    position = 0
    values = [round(expected(n), 6) for n in numbers]
    out = set()
    for raw in raws:
        found = next(
            (k for k in range(position, min(position + 400, len(values))) if abs(values[k] - raw) < 1e-4), None
        )
        if found is None:
            counts["invented"] += 1
            continue
        out.add(numbers[found])
        position = found + 1
    for n in numbers:
        if n in out:
            counts["out"] += 1
        elif n in fate:
            counts[fate[n]] += 1
        elif any(fate.get(n + near, "beside noise") != "beside noise" for near in (-2, -1, 1)):
            counts["neighbour"] += 1
        else:
            counts["wrong"] += 1


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--readings", type=float, default=1e7)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=FORMS, help="one form, with its share of the readings")
    arguments = parser.parse_args()
    names = [name for name in FORMS if arguments.only in (None, name)]
    results = [soak(name, int(arguments.readings) // 2 // len(FORMS), arguments.seed) for name in names]
    print("\nevery reading is accounted for" if all(results) else "\nNOT EVERY READING IS ACCOUNTED FOR")
    raise SystemExit(0 if all(results) else 1)


if __name__ == "__main__":
    main()
