"""Faults injected into single frames of a stream: how many wrong readings pass, beside what the checksum can promise.

Run:  python -m tests.benchmarks.drivers_faults [--faults 1e6] [--only packed-binary]

A random fault passes an n-bit checksum once in 2^n: 65,536 for CRC-16 (which never misses a burst of up to 16 bits),
256 for the exclusive or, which also misses two equal flips in one column. Text without a checksum has no such bound.
Binary frames have a second guard: a frame is believed only where the next one begins at its end, which a shifted frame
does once more in 2^16.
"""

from __future__ import annotations

import argparse

import numpy as np

from drivers.decoding import make_decoder
from drivers.profile import load_profile
from drivers.readings import Readings
from tests.benchmarks.drivers_soak import packed, sentence
from tests.benchmarks.figures import show_figure

FAULTS = ("flipped bit", "dropped byte", "doubled byte", "random byte", "three dropped", "noise inserted")


def spoil(rng: np.random.Generator, frame: bytes, kind: str, keep_end: int) -> bytes:
    place = int(rng.integers(len(frame) - keep_end))
    head, tail = frame[:place], frame[place + 1 :]
    if kind == "flipped bit":
        return head + bytes([frame[place] ^ 1 << int(rng.integers(8))]) + tail
    if kind == "dropped byte":
        return head + tail
    if kind == "doubled byte":
        return head + frame[place : place + 1] * 2 + tail
    if kind == "random byte":
        return head + rng.bytes(1) + tail
    if kind == "three dropped":
        return head + frame[place + 3 :]
    return head + rng.bytes(int(rng.integers(1, 20))) + frame[place:]


def text_with_crc(n: int) -> bytes:
    from drivers.checksums import crc16_ccitt

    body = b"%d,%d.%03d,101.325" % (n * 100 % 2**32, n % 90, n % 1000)
    return body + b"*%04X\n" % crc16_ccitt(body)


FORMS = {
    "delimited-text": (lambda n: b"%d.%03d,101.325\n" % (n % 90, n % 1000), 1),
    "simulated-bench": (sentence, 2),
    "text-with-checksum": (text_with_crc, 1),
    "packed-binary": (packed, 0),
}

#: form -> (goal, what bounds it)
PROMISED = {
    "delimited-text": ("told as unprotected", "no checksum: nothing is bounded"),
    "simulated-bench": ("<= 1 in 256", "2^-8 for a random fault: exclusive or of the bytes"),
    "text-with-checksum": ("<= 1 in 65,536", "2^-16 for a random fault: CRC-16 of the line"),
    "packed-binary": ("0", "2^-32 for a shifted frame: CRC-16, and where the next frame begins"),
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--faults", type=float, default=1e6)
    parser.add_argument("--only", choices=FORMS)
    arguments = parser.parse_args()
    forms = {name: form for name, form in FORMS.items() if arguments.only in (None, name)}
    each = int(arguments.faults) // len(FAULTS) // len(forms)
    print(f"{each:,} faults of each kind; wrong readings that passed")
    print(f"{'profile':<20}" + "".join(f"{kind:>16}" for kind in FAULTS))
    for name, (make, keep_end) in forms.items():
        cells = [passed(name, make, keep_end, kind, each) for kind in FAULTS]
        told = f"{sum(cells)} of {each * len(FAULTS):,}"
        show_figure(f"line: faults that pass as a reading, {name}", told, *PROMISED[name])
        print(f"{name:<20}" + "".join(f"{count:>9} {100 * count / each:5.2f}%" for count in cells), flush=True)


def passed(name: str, make, keep_end: int, kind: str, each: int) -> int:
    rng = np.random.default_rng(5)
    profile = load_profile(name).model_copy(update={"clock": load_profile("delimited-text").clock})
    if name != "delimited-text":
        profile = load_profile(name)
    wrong = 0
    for n in range(each):
        frame = make(n)
        spoilt = spoil(rng, frame, kind, keep_end)
        if spoilt == frame:
            continue
        decoder = READERS.setdefault(name, make_decoder(profile))
        decoder.begin(joined_midway=False, after_gap=False)
        # sound frames before and behind it, as on a line; they may be lost with it, but are never wrong
        end = b"\n" if keep_end else b""
        stream = [make(n + 90_000), spoilt + end, make(n + 90_001), make(n + 90_002)]
        events = decoder.feed(b"".join(stream), float(n)) + decoder.fell_silent()
        truths = [clean(name, make, number) for number in (n, n + 90_000, n + 90_001, n + 90_002)]
        for channel in ("temperature", "pressure"):
            known = {truth[channel] for truth in truths}
            raws = [event.raw for event in events if isinstance(event, Readings) and event.channel == channel]
            if any(number not in known for raw in raws for number in raw.tolist()):
                wrong += 1
                break
    return wrong


READERS: dict = {}


def clean(name: str, make, n: int) -> dict[str, float]:
    temperature = n % 90 + (n % 1000 / 1024 if name == "packed-binary" else n % 1000 / 1000)
    if name == "packed-binary":
        temperature = float(np.float32(temperature))
    else:
        temperature = float(f"{n % 90}.{n % 1000:03d}")
    return {"temperature": temperature, "pressure": 101325.0 if name == "packed-binary" else 101.325}


if __name__ == "__main__":
    main()
