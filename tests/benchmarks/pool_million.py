"""A million run summaries pooled: time and memory of the whole command.

Writes a table of runs as an earlier pooling would have (400 benches, ten rooms with a barometer each, one set of
liquid data), pools it in a process of its own, prints time and the most memory it had.  What each run states of a
shared error is off by 5 % (the error itself is not), so the mean of the runs is known in advance: the truth and the
planted errors.  The interval has to hold the truth, and the value has to be that mean.
Run from the top folder: python -m tests.benchmarks.pool_million [runs] [seed]
"""

from __future__ import annotations

import hashlib
import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from acquire.pool.store import write_table
from acquire.pool.summary import RunSummary
from tests.benchmarks.figures import show_figure

TRUTH = 36.57e3
BENCHES = 400


def errors(rng: np.random.Generator) -> np.ndarray:
    """What the runs of each bench have in common beside the truth.  [J/mol]"""
    bench = rng.normal(0, 200, BENCHES)
    room, everybody = rng.normal(0, 1, 10), rng.normal()
    cell, thermometer = rng.normal(0, 1, BENCHES), rng.normal(0, 1, BENCHES)
    return bench + 250 * room[np.arange(BENCHES) % 10] + 110 * everybody + 150 * thermometer + 120 * cell


def summaries(count: int, common: np.ndarray, rng: np.random.Generator):
    for number in range(count):
        b = number % BENCHES
        own = 300.0 * math.exp(0.2 * rng.normal())
        part = [size * math.exp(0.05 * rng.normal()) for size in (120.0, 110.0, 250.0, 150.0)]
        value = TRUTH + common[b] + own * rng.normal()
        yield RunSummary(
            f"{number}.h5",
            content=hashlib.sha256(str(number).encode()).hexdigest(),
            run=f"run {number}",
            bench=f"bench {b:03d}",
            liquid="n-heptane",
            air="sealed",
            start=1.6e9 + 600.0 * number,
            value=value,
            u_own=own,
            interval_95=(value - 900, value + 900),
            shared=(
                ("cell", f"bench {b:03d}, volume", part[0]),
                ("liquid data", "all, dz", part[1]),
                ("pressure sensor", f"room {b % 10}, offset", part[2]),
                ("thermometer", f"bench {b:03d}, gain_t", part[3]),
            ),
            points=6,
        )


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    rng = np.random.default_rng(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    common = errors(rng)
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / "many.csv"
        write_table(summaries(count, common, rng), table)
        print(f"{count} summaries, {table.stat().st_size / 1e6:.0f} MB")
        out = Path(folder) / "out"
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "acquire.commands.main", "pool", str(table), "--out", str(out), "--workers", "0"],
            check=True,
        )
        seconds = time.perf_counter() - start
        usage = resource.getrusage(resource.RUSAGE_CHILDREN)
        most, cpu = usage.ru_maxrss / 1024, usage.ru_utime + usage.ru_stime
        found = json.loads((out / "pool.json").read_text())["consensus"]
        low, high = found["interval_95"]
        print(f"pooled in {seconds:.1f} s ({cpu:.1f} s of processor), at most {most:.0f} MiB")
        figure = f"{cpu:.0f} s of processor, {most:.0f} MiB"
        show_figure(f"pooling: {count:,} summaries", figure, "< 60 s, < 1024 MiB")
        value, u = found["value"], found["standard_uncertainty"]
        off = value - TRUTH - common.mean()
        show_figure("pooling: value less truth and planted errors", f"{off:+.1f} J/mol", "within 5 J/mol")
        away = f"{(value - TRUTH) / u:+.2f} standard uncertainties away"
        print(f"interval {low:.0f} to {high:.0f} J/mol, truth {TRUTH:.0f} ({away}; beyond 1.96 in 5 % of all seeds)")


if __name__ == "__main__":
    main()
