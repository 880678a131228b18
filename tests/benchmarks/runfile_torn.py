"""Power cuts, simulated: what was synced is on the disk, and of what came later any pages and any length.

    python -m tests.benchmarks.runfile_torn --images 1000

A model, and a pessimistic one: pages of 4 KiB reach the disk or not, each in any version the file had since the sync,
and the file has any length in between. What must hold: the raw journal loses nothing that was synced; a run file
alone loses at most the chunk that was being written; no reading is wrong that `verify` does not complain about.
"""

from __future__ import annotations

import argparse
import collections
import os
import tempfile
from pathlib import Path

import numpy as np

from acquire.raw_frames import Reading, items
from acquire.raw_journal import RawJournal
from acquire.runfile.errors import RunFileError
from acquire.runfile.integrity import repair, verify
from acquire.runfile.layout import CHUNK_ROWS
from acquire.runfile.reader import read_run
from acquire.runfile.writer import RunFileWriter
from drivers.readings import PRESSURE
from tests.acquire.runfile.sample_run import END, HEADER, block, record_run

PAGE = 4096
SECONDS = 80  # of readings before the sync: one whole chunk and a part of the next


def torn(versions: list[bytes], rng: np.random.Generator) -> bytes:
    """A file of which the first version is on the disk for sure, and of the later ones some pages."""
    length = int(rng.integers(len(versions[0]), len(versions[-1]) + 1))
    out = bytearray(versions[0].ljust(length, b"\0")[:length])
    for start in range(0, length, PAGE):
        version = versions[int(rng.integers(len(versions)))]
        page = version[start : min(start + PAGE, length)]
        out[start : start + len(page)] = page
    return bytes(out)


def run_file_versions(folder: Path) -> tuple[list[bytes], int]:
    """A run file at a sync and at five flushes after it; and the seconds that were synced."""
    writer = RunFileWriter(folder / "run.h5", HEADER)
    given, _ = record_run(writer, SECONDS)
    writer.sync()
    versions = [writer.path.read_bytes()]
    for second in range(SECONDS, SECONDS + 5):
        for channel in given:
            writer.append(block(channel, float(second), u_time=0.001), "bench")
        writer.flush()
        versions.append(writer.path.read_bytes())
    writer.abandon()
    return versions, SECONDS


def raw_versions(folder: Path) -> tuple[list[bytes], int]:
    """The same of a raw journal."""
    raw = RawJournal(folder / "x.raw", HEADER.__dict__)
    for second in range(20):
        raw.readings("bench", block(PRESSURE, float(second)))
    raw.sync()
    versions = [raw.path.read_bytes()]
    for second in range(20, 40):
        raw.readings("bench", block(PRESSURE, float(second)))
        versions.append(raw.path.read_bytes())
    raw.close()
    return versions, 20


def judge_run_file(path: Path, synced: int) -> str:
    """What a torn run file comes to."""
    expected = np.concatenate([block(PRESSURE, float(second)).value for second in range(SECONDS + 5)])
    state = f"run file alone, {verify(path).state}"
    try:
        values = read_run(path).traces[PRESSURE].value
    except RunFileError:
        values = read_run(repair(path, now_iso=END)).traces[PRESSURE].value
        state += ", mended"
    if len(values) < 10 * synced - CHUNK_ROWS:
        return f"{state}: MORE THAN ONE CHUNK LOST"
    if len(values) < 10 * synced:
        state += ", one chunk lost"
    if not np.array_equal(values, expected[: len(values)], equal_nan=True) and "damaged" not in state:
        return f"{state}: WRONG"
    return state


def judge_raw(path: Path, synced: int) -> str:
    """What a torn raw journal comes to."""
    blocks = [item.readings for item in items(path) if isinstance(item, Reading)]
    right = all(np.array_equal(b.value, block(PRESSURE, float(b.time[0])).value, equal_nan=True) for b in blocks)
    kept = {float(b.time[0]) for b in blocks} >= set(map(float, range(synced)))
    return "raw journal, " + ("whole" if right and kept else "SYNCED READINGS LOST" if right else "WRONG")


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--images", type=int, default=1000)
    args = parser.parse_args(arguments)
    rng = np.random.default_rng(5)
    met: collections.Counter[str] = collections.Counter()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        files, raws = run_file_versions(folder), raw_versions(folder)
        for number in range(args.images):
            path = folder / f"torn-{number}.h5"
            (versions, synced), judge = (files, judge_run_file) if number % 2 else (raws, judge_raw)
            path.write_bytes(torn(versions, rng))
            try:
                met[judge(path, synced)] += 1
            except RunFileError as error:
                met[f"UNREADABLE {type(error).__name__}"] += 1
            for item in folder.glob(f"torn-{number}*"):
                os.unlink(item)
    bad = sum(count for word, count in met.items() if any(c in word for c in ("LOST", "WRONG", "UNREADABLE")))
    for word, count in sorted(met.items()):
        print(f"{count:7d}  {word}")
    print(f"{args.images} images; lost, wrong or unreadable: {bad} (goal 0)")
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
