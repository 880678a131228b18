"""Spoils run files in many ways and looks at what reading and verifying make of them.

    python -m tests.benchmarks.runfile_fuzz flips --count 10000      every kind of byte, one bit each
    python -m tests.benchmarks.runfile_fuzz malformed --count 20000  bytes, blocks, cuts, wrong shapes and types

Each case runs in a child process with bounded memory and time, so that a crash, a hang or a greed for memory is seen.
A process that `acquire.runfile.gate` sends ahead may die of a file: that file is refused. `satline verify` looks at
every file that could be read, and at each fourth of those that were refused, in a process of its own.
What must never happen: a crash of the process that reads; a reading that differs from the recorded one while `verify`
says intact; more than `MOST_SECONDS`, on a machine that is as fast as the goals think, or `MOST_MEMORY`.
"""

from __future__ import annotations

import argparse
import collections
import contextlib
import functools
import io
import math
import os
import re
import resource
import shutil
import signal
import tempfile
import time
import warnings
from collections.abc import Callable
from pathlib import Path

import h5py
import numpy as np

from acquire.runfile.apart import verify_apart
from acquire.runfile.errors import RunFileError
from acquire.runfile.integrity import repair, verify
from acquire.runfile.reader import read_run
from acquire.runfile.superblock import SIZE, lookup3
from acquire.runfile.writer import RunFileWriter
from tests.acquire.runfile.sample_run import END, HEADER, closed_run, record_run
from tests.benchmarks.drivers_line import REFERENCE, loops
from tests.benchmarks.figures import show_figure

MOST_SECONDS = 20
MOST_MEMORY = 2 << 30
BATCH = 500
LOOPS_PER_LOOK = 5  # `loops` runs a fifth of what it tells


def samples(folder: Path, seconds: int = 30) -> dict[str, bytes]:
    """A closed run and one whose writer was killed, as bytes."""
    closed, killed = folder / "closed.h5", folder / "killed.h5"
    closed_run(closed, seconds)
    writer = RunFileWriter(killed, HEADER)
    record_run(writer, seconds)
    data = killed.read_bytes()
    writer.abandon()
    return {"closed": closed.read_bytes(), "killed": data}


def flip(data: bytes, rng: np.random.Generator) -> bytes:
    """One bit."""
    out = bytearray(data)
    out[int(rng.integers(len(out)))] ^= 1 << int(rng.integers(8))
    return bytes(out)


def spoil(data: bytes, rng: np.random.Generator) -> bytes:
    """Bytes, blocks or ends of a file."""
    out = bytearray(data)
    kind = int(rng.integers(8))
    place, length = int(rng.integers(len(out))), int(2 ** rng.uniform(0, 13))
    if kind == 0:
        for _ in range(int(rng.integers(1, 64))):
            out[int(rng.integers(len(out)))] = int(rng.integers(256))
    elif kind == 1:
        del out[place:]
    elif kind == 2:
        out[place : place + length] = bytes(len(out[place : place + length]))
    elif kind == 3:
        other = int(rng.integers(len(out)))
        out[place : place + length] = out[other : other + length]
    elif kind == 4:
        out[place:place] = rng.bytes(length)
    elif kind == 5:
        out[place : place + length] = rng.bytes(len(out[place : place + length]))
    elif kind == 6:
        # the first bytes with a checksum that agrees: the library believes them
        for _ in range(int(rng.integers(1, 4))):
            out[int(rng.integers(8, 44))] = int(rng.choice([0, 1, 4, 5, 8, 127, 255, int(rng.integers(256))]))
        out[44:SIZE] = lookup3(bytes(out[:44])).to_bytes(4, "little")
    else:
        _believed_block(out, rng)
    return bytes(out)


#: Blocks of HDF5 metadata whose checksum ends them; with it computed again the library believes what we changed.
#: Those that our files have and whose checksum stands behind them.
_HEADERS = (b"OHDR", b"FRHP", b"BTHD", b"BTLF", b"EAHD", b"EAIB")


def _believed_block(out: bytearray, rng: np.random.Generator) -> None:
    wanted = _HEADERS[int(rng.choice(len(_HEADERS), p=[0.5] + [0.1] * 5))]
    data = bytes(out)
    places = [found.start() for found in re.finditer(re.escape(wanted), data)]
    if not places:
        return
    start = places[int(rng.integers(len(places)))]
    end = _end_of_block(data, start)
    if end is None:
        return
    for _ in range(int(rng.integers(1, 4))):
        out[int(rng.integers(start + 4, end))] = int(rng.choice([0, 1, 255, int(rng.integers(256))]))
    out[end : end + 4] = lookup3(bytes(out[start:end])).to_bytes(4, "little")


@functools.cache
def _end_of_block(data: bytes, start: int) -> int | None:
    """Where the checksum of a block stands: told by the head of an object, found by trying in others."""
    if data[start : start + 5] == b"OHDR\x02":
        flags = data[start + 5]
        size_at = start + 6 + (16 if flags & 0x20 else 0) + (4 if flags & 0x10 else 0)
        size_bytes = 1 << (flags & 3)
        end = size_at + size_bytes + int.from_bytes(data[size_at : size_at + size_bytes], "little")
        if end <= len(data) - 4 and int.from_bytes(data[end : end + 4], "little") == lookup3(data[start:end]):
            return end
    for end in range(start + 16, min(start + 2000, len(data) - 4)):
        if int.from_bytes(data[end : end + 4], "little") == lookup3(data[start:end]):
            return end
    return None


def misbuild(path: Path, rng: np.random.Generator) -> None:
    """A file that HDF5 finds in order and whose parts are not what we promise."""
    with h5py.File(path, "r+") as file:
        names: list[str] = []
        file.visit(names.append)
        for _ in range(int(rng.integers(1, 3))):
            name = names[int(rng.integers(len(names)))]
            if name not in file:
                continue
            item = file[name]
            kind = int(rng.integers(9))
            if kind == 0:
                del file[name]
            elif kind == 1 and isinstance(item, h5py.Dataset) and item.maxshape and item.maxshape[0] is None:
                item.resize(int(rng.choice([0, 1, 7, 10**6, 10**9, 10**12])), axis=0)
            elif kind == 2:
                _replace(file, name, rng.normal(size=int(rng.integers(0, 50))))
            elif kind == 3:
                _replace(file, name, "text where something else was")
            elif kind == 4:
                _replace(file, name, np.array([b"x", b"yy"]))
            elif kind == 5:
                del file[name]
                file[name] = h5py.SoftLink("/" + names[int(rng.integers(len(names)))])
            elif kind == 6:
                del file[name]
                file[name] = file["entry"]  # a group that contains itself
            elif kind == 7:
                _replace(file, name, np.zeros((3, 3, 3), "i8"))
            elif isinstance(item, h5py.Dataset) and item.shape and item.dtype.kind in "fiu" and item.size:
                item[int(rng.integers(item.shape[0]))] = rng.choice([-1, 0, 1, 9])


def _replace(file: h5py.File, name: str, value: object) -> None:
    del file[name]
    file[name] = value


def run_of(path: Path) -> dict[str, bytes]:
    """The readings of a run file, to compare."""
    record = read_run(path)
    return {
        f"{channel}/{name}": getattr(trace, name).tobytes()
        for channel, trace in record.traces.items()
        for name in ("time", "value", "raw", "quality")
    } | {
        "journal": "\n".join(entry.canonical() for entry in record.journal).encode(),
        "points": repr(record.points).encode(),
    }


def judge(path: Path, truth: dict[str, bytes], seed: int, said: Callable[[str], None]) -> str:
    """What became of a spoilt file, in one word or two; `said` hears what is being done, for the case of a crash."""
    said("reading")  # as every command does it
    try:
        found = run_of(path)
    except RunFileError as error:
        reading = "took another process down" if "break off" in str(error) else "refused"
        if seed % 4:
            return f"not verified, {reading}"
        said("verifying what was refused")  # `satline verify` does that in a process of its own
    else:
        same = all(truth.get(key, b"")[: len(value)] == value for key, value in found.items())
        reading = "equal" if found == truth else "shorter" if same else "DIFFERENT"
        said("verifying")
    try:
        state = verify(path).state
    except RunFileError:
        state = "refused"
    if seed % 5 == 0 and state not in ("intact", "altered"):
        said("mending what was refused")
        with contextlib.suppress(RunFileError):
            read_run(repair(path, now_iso=END))
    for other in path.parent.glob(f"{path.stem}.mended*"):
        other.unlink()
    return f"{state}, {reading}"


Truth = dict[str, dict[str, bytes]]


def _slowness() -> float:
    """How many times longer anything takes than where the goals were set: slow machine, and others at work on it."""
    begun = time.perf_counter()
    loops()
    return max(1.0, LOOPS_PER_LOOK * (time.perf_counter() - begun) / REFERENCE)


def _child(cases: list[tuple[str, int]], data: dict[str, bytes], truth: Truth, mode: str, pipe: int) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    folder = Path(tempfile.mkdtemp(prefix="fuzz-", dir="/dev/shm" if os.path.isdir("/dev/shm") else None))
    try:
        slowness = _slowness()
        with os.fdopen(pipe, "w") as out, warnings.catch_warnings(), contextlib.redirect_stderr(io.StringIO()):
            warnings.simplefilter("ignore")
            for sample, seed in cases:
                path = folder / "run.h5"
                _spoilt(path, sample, seed, data, mode)
                signal.alarm(math.ceil(MOST_SECONDS * slowness))
                begun = time.perf_counter()
                word = judge(path, truth[sample], seed, lambda what: print(f"#{what}", file=out, flush=True))
                signal.alarm(0)
                print(f"{sample}|{seed}|{word}|{time.perf_counter() - begun:.3f}", file=out, flush=True)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _spoilt(path: Path, sample: str, seed: int, data: dict[str, bytes], mode: str) -> None:
    """Write one case."""
    rng = np.random.default_rng([7, seed])
    if mode == "flips":
        path.write_bytes(flip(data[sample], rng))
    elif seed % 3 == 0 and sample == "closed":
        path.write_bytes(data[sample])
        with contextlib.suppress(OSError, RuntimeError, KeyError, ValueError, TypeError):
            misbuild(path, rng)
    else:
        path.write_bytes(spoil(data[sample], rng))


def _apart(case: tuple[str, int], data: dict[str, bytes], mode: str) -> str:
    """What `satline verify` says of a file that took the library down in our own process."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "run.h5"
        _spoilt(path, *case, data, mode)
        try:
            return verify_apart(path).state
        except RunFileError:
            return "refused"


def in_children(cases: list[tuple[str, int]], data: dict[str, bytes], truth: Truth, mode: str):
    """Yield (sample, seed, word, seconds) for every case; a child that dies is named with the signal."""
    while cases:
        batch, cases = cases[:BATCH], cases[BATCH:]
        end, start = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(end)
            code = 1
            try:
                _child(batch, data, truth, mode, start)
                code = 0
            finally:
                os._exit(code)
        os.close(start)
        done, doing = 0, ""
        with os.fdopen(end) as stream:
            for line in stream:
                if line.startswith("#"):
                    doing = line[1:].strip()
                    continue
                sample, seed, word, seconds = line.strip().split("|")
                done += 1
                yield sample, int(seed), word, float(seconds)
        _, status = os.waitpid(child, 0)
        if done < len(batch):
            how = f"CRASH signal {os.WTERMSIG(status)}" if os.WIFSIGNALED(status) else f"CRASH status {status >> 8}"
            known = doing.endswith("what was refused")
            word = f"{'apart' if known else how}: {doing}; satline verify: {_apart(batch[done], data, mode)}"
            yield *batch[done], word, 0.0
            cases = batch[done + 1 :] + cases


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("mode", choices=("flips", "malformed"))
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--first", type=int, default=0)
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_CACHE_HOME"] = folder  # what opened without harm is not worth remembering here
        data = samples(Path(folder))
        truth = {}
        for name, content in data.items():
            path = Path(folder) / f"{name}-again.h5"
            path.write_bytes(content)
            truth[name] = run_of(path)
    names = ["closed"] * 3 + ["killed"]
    cases = [(names[(k * 7) % 11 % 4], k) for k in range(args.first, args.first + args.count)]
    words: collections.Counter[str] = collections.Counter()
    slowest, bad, begun = 0.0, [], time.perf_counter()
    for sample, seed, word, seconds in in_children(cases, data, truth, args.mode):
        words[f"{sample}: {word}"] += 1
        slowest = max(slowest, seconds)
        if words.total() % 200 == 0:
            print(f"{words.total()} done, {len(bad)} bad so far {bad[-5:]}, slowest {slowest:.2f} s", flush=True)
        silent = "DIFFERENT" in word and word.startswith("intact")
        # a killed file has no seal yet: there a changed reading must at least make the file damaged or altered
        silent |= sample == "killed" and "DIFFERENT" in word and word.startswith("incomplete")
        if silent or "CRASH" in word:
            bad.append((sample, seed, word))
    for word, count in sorted(words.items(), key=lambda item: -item[1]):
        print(f"{count:8d}  {word}")
    size = ", ".join(f"{name} {len(content)} bytes" for name, content in data.items())
    print(f"{args.count} {args.mode} ({size}) in {time.perf_counter() - begun:.0f} s; slowest {slowest:.2f} s")
    print(f"crashes and silently wrong readings: {len(bad)} (goal: 0) {bad[:20]}")
    show_figure(f"run file: {args.mode}, crashes and silently wrong readings", f"{len(bad)} of {args.count:,}", "0")
    show_figure(f"run file: {args.mode}, slowest answer", f"{slowest:.1f} s", f"<= {MOST_SECONDS} s")
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
