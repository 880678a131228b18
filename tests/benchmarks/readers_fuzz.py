"""Spoils what people and devices hand to the program, and looks at what each reader makes of it.

    python -m tests.benchmarks.readers_fuzz [--count 20000] [--seed 1] [--only READER]

Every reader but that of run files (see `runfile_fuzz`): profiles, plans, scenarios, study plans, tables of liquids and
of points, raw journals, bytes of every shipped device, names of devices. Each gets its own good examples with bits
flipped, pieces cut out, doubled, exchanged, and with texts put in that are known to hurt. What must never happen: an
error that is not one of those a person is told in a sentence; more than two seconds; memory that grows.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import random
import resource
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

from acquire.commands.main import USER_ERRORS
from tests.benchmarks.figures import show_figure

ROOT = Path(__file__).parents[2]
MOST_SECONDS = 2.0
ROOM = {"room_temperature": 294.65, "room_pressure": 1e5, "barometer": 1e5}
#: Texts that hurt somewhere: numbers at the edge, formulas, pages, paths, brackets, characters that turn the line.
HURTFUL = [
    b"nan", b"-inf", b"1e999", b"-1e-999", b"9" * 400, b"0x7fffffffffffffff", b"true", b"1979-05-27", b"%s%s%n",
    b"\x00", b"\xff\xfe", b"\r", b"\n\n", b'"""', b"'''", b"[[[[", b"]]", b"{", b"}" * 50, b"=cmd|' /C calc'!A0",
    b"<script>alert(1)</script>", b"../../../../etc/passwd", "\u202e\u0000\ufffd".encode(), b"\xf0\x9f\x92\xa7",
    b"A" * 70_000, b"1," * 5_000, b"[" * 3_000, b"a." * 2_000,
]  # fmt: skip


def spoil(good: bytes, other: bytes, draw: random.Random) -> bytes:
    """One to six changes of an example."""
    data = bytearray(good)
    for _ in range(draw.randint(1, 6)):
        place = draw.randrange(len(data) + 1)
        what = draw.randrange(7)
        if what == 0 and data:
            data[place % len(data)] ^= 1 << draw.randrange(8)
        elif what == 1:
            del data[place : place + draw.choice((1, 3, 30, 300))]
        elif what == 2:
            data[place:place] = draw.choice(HURTFUL)
        elif what == 3:
            data[place:place] = data[place : place + draw.choice((5, 50, 500))]
        elif what == 4:
            from_there = draw.randrange(len(other) + 1)
            data[place : place + 40] = other[from_there : from_there + 40]
        elif what == 5:
            data[place:place] = draw.randbytes(draw.choice((1, 4, 200)))
        elif data:
            # a number becomes another one, which keeps the file's form
            digits = [n for n, byte in enumerate(data) if 48 <= byte <= 57]
            if digits:
                data[draw.choice(digits)] = draw.randrange(48, 58)
    return bytes(data)


def told(error: BaseException) -> bool:
    """Whether this is an error that a person is told in a sentence."""
    return any(f"{kind.__module__}.{kind.__qualname__}" in USER_ERRORS for kind in type(error).__mro__)


class TooLong(Exception):
    """The reader took more than its time."""


@contextlib.contextmanager
def within(seconds: float) -> Iterator[None]:
    def ring(number: int, frame: object) -> None:
        raise TooLong

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)


def readers(folder: Path) -> dict[str, tuple[list[bytes], Callable[[bytes], object]]]:
    """Name -> good examples, and the reader."""
    from acquire.plan import load_plan
    from acquire.points_csv import parse_points
    from acquire.pool.study_plan import EXAMPLE, load_study
    from acquire.raw_frames import frames
    from acquire.raw_journal import Kind, frame
    from analysis.liquid_table import parse_liquids
    from drivers.decoding import make_decoder
    from drivers.device_name import parse_device
    from drivers.profile import SHIPPED, list_profiles, load_profile
    from drivers.profile_check import check_samples
    from sim.device import SimulatedBench
    from sim.scenario import load_scenario

    def from_file(load: Callable[[Path], object]) -> Callable[[bytes], object]:
        def read(data: bytes) -> object:
            file = folder / "spoilt.toml"
            file.write_bytes(data)
            return load(file)

        return read

    def profile(data: bytes) -> None:
        loaded = from_file(load_profile)(data)
        check_samples(loaded)  # type: ignore[arg-type]
        if not loaded.asks:  # type: ignore[attr-defined]
            make_decoder(loaded).feed(b"1.0,2.0\r\n$SAT,1,2,3*00\r\n" + data[:500], 1.0)  # type: ignore[arg-type]

    def scenario(data: bytes) -> None:
        SimulatedBench(from_file(lambda file: load_scenario(str(file)))(data), 1).advance(2.0)  # type: ignore[arg-type]

    def raw_journal(data: bytes) -> None:
        file = folder / "spoilt.raw"
        file.write_bytes(data)
        for _ in frames(file):
            pass

    def text(parse: Callable[[str], object]) -> Callable[[bytes], object]:
        return lambda data: parse(data.decode("utf-8", "replace"))

    def toml(*paths: Path) -> list[bytes]:
        return [path.read_bytes() for path in paths]

    from sim.encode import Moment, Talker

    plans = [
        b"",
        b'title = "a run"\nliquid = "n-heptane"\n[cell]\nvolume = "140 mL"\n[bath]\ntargets = ["25 degC", "30 degC"]\n',
    ]
    journal = b"".join(frame(Kind(kind), number, b'{"a": 1}' * 5) for number, kind in enumerate(list(Kind) * 3))
    page = (ROOT / "docs" / "tables.md").read_text(encoding="utf-8")
    points = page.split("```csv\n")[1].split("```")[0].encode()
    found: dict[str, tuple[list[bytes], Callable[[bytes], object]]] = {
        "device profile": (toml(*sorted(SHIPPED.glob("*.toml"))), profile),
        "run plan": (plans, from_file(load_plan)),
        "scenario": (toml(*sorted((ROOT / "sim" / "scenarios").glob("*.toml"))), scenario),
        "study plan": ([EXAMPLE.encode()], from_file(load_study)),
        "table of liquids": (toml(ROOT / "analysis" / "liquids.toml"), text(lambda it: parse_liquids(it, "spoilt"))),
        "table of points": ([points, points.replace(b",", b";").replace(b".", b",")], text(parse_points)),
        "raw journal": ([journal], raw_journal),
        "name of a device": ([b"simulated-bench@/dev/ttyUSB0", b"own.toml@socket://127.0.0.1:7"], text(parse_device)),
    }  # fmt: skip
    for shipped in list_profiles():
        if shipped.asks:
            continue
        talker = Talker(shipped)
        said = talker.banner + b"".join(
            talker.frame(Moment(0.1 * n, ROOM | {"temperature": 295.0 + 0.01 * n, "pressure": 1e5 + n}))
            for n in range(30)
        )
        found[f"bytes of {shipped.name}"] = ([said], lambda data, one=shipped: make_decoder(one).feed(data, 1.0))
    return found


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    args = parser.parse_args()
    bad: list[str] = []
    total = 0
    with tempfile.TemporaryDirectory() as top:
        os.environ["XDG_CONFIG_HOME"] = top
        chosen = {name: it for name, it in readers(Path(top)).items() if args.only in name}
        each = max(args.count // len(chosen), 1)
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        print(f"{'reader':34} {'tried':>7} {'taken':>7} {'refused':>8} {'slowest':>9}")
        for name, (examples, read) in chosen.items():
            draw = random.Random(f"{args.seed} {name}")
            counts: Counter[str] = Counter()
            slowest = 0.0
            for number in range(each):
                data = spoil(draw.choice(examples), draw.choice(examples), draw)
                began = time.perf_counter()
                try:
                    with within(MOST_SECONDS):
                        read(data)
                    counts["taken"] += 1
                except Exception as error:  # noqa: BLE001  # whatever comes is what is looked for
                    counts["refused" if told(error) else "bad"] += 1
                    if not told(error):
                        bad.append(f"{name} {number}: {type(error).__name__}: {str(error)[:150]}")
                slowest = max(slowest, time.perf_counter() - began)
            total += each
            print(
                f"{name:34} {each:7d} {counts['taken']:7d} {counts['refused']:8d} {1e3 * slowest:6.0f} ms", flush=True
            )
        after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for line in bad[:40]:
        print("  " + line)
    show_figure("fuzz: readers of texts and bytes, errors without a sentence", f"{len(bad)} of {total:,}", "0")
    show_figure("fuzz: memory of the readers, growth", f"{(after - before) / 1e3:.0f} MB", "<= 200 MB")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
