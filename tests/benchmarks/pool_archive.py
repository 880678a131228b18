"""An archive of run files analysed again: rate, scaling from one to two workers, memory.

Points as taken: N files (hard links to distinct ones: reading, checking and fitting cost the same).  From traces: a few
whole simulated runs decided again.
Run from the top folder: python -m tests.benchmarks.pool_archive [files] [runs from traces]
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from acquire.commands.main import main as satline
from acquire.pool.campaign import analyse_all
from acquire.pool.settings import PoolSettings
from acquire.pool.workers import LocalWorkers
from tests.acquire.pool.made import write_run
from tests.analysis.pooling.campaigns import campaign
from tests.benchmarks.figures import show_figure


def processor(workers: LocalWorkers) -> float:
    """Seconds of processor that the workers have taken so far (Linux)."""
    ticks = 0
    for number in workers.executor()._processes or ():  # nobody else knows who they are
        fields = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()
        ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def rate(files: list[str], count: int, settings: PoolSettings) -> tuple[float, float]:
    """Files per second, and processor seconds per file, both without what the workers take to start."""
    workers = LocalWorkers(count)
    list(analyse_all(files[: 2 * count], settings, workers))
    start, before = time.perf_counter(), processor(workers)
    used = sum(summary.used for summary in analyse_all(files, settings, workers))
    seconds, taken = time.perf_counter() - start, processor(workers) - before
    workers.close()
    assert used == len(files), f"{used} of {len(files)} used"
    return len(files) / seconds, taken / len(files)


def report(title: str, files: list[str], settings: PoolSettings) -> None:
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    (one, cost_one), (two, cost_two) = rate(files, 1, settings), rate(files, 2, settings)
    worker = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    more = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024 - own
    print(f"{title}: {len(files)} files, {one:.1f}/s with one worker, {two:.1f}/s with two: {two / one:.2f} times")
    gain = f"{two / one:.2f} times one worker ({2 * cost_one / cost_two:.2f} by processor)"
    beside = f"2 cores, wanted by {os.getloadavg()[0]:.0f} programs just then"
    case = f"pooling: run files analysed by two workers, {title}"
    show_figure(case, f"{two:.1f} runs/s, {gain}", ">= 1.7 times", beside)
    print(f"  processor per file {1e3 * cost_one:.1f} ms with one, {1e3 * cost_two:.1f} ms with two: on two idle cores "
          f"{2 * cost_one / cost_two:.2f} times")  # fmt: skip
    print(f"  10 000 runs with two workers: {10_000 / two / 60:.1f} min; a worker had {worker:.0f} MiB at most, "
          f"the main process grew by {more:.0f} MiB; load of the machine {os.getloadavg()[0]:.1f}")  # fmt: skip


def main() -> None:
    files = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    traces = int(sys.argv[2]) if len(sys.argv) > 2 else 16
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        runs, _ = campaign(np.random.default_rng(1), benches=20, runs=5)
        distinct = [write_run(folder / f"d{i}.h5", run) for i, run in enumerate(runs)]
        names = []
        for i in range(files):
            path = folder / f"run{i}.h5"
            os.link(distinct[i % len(distinct)], path)
            names.append(str(path))
        report("points as taken", names, PoolSettings())
        whole = []
        for seed in range(4):
            path = folder / f"whole{seed}.h5"
            satline(["simulate", "calm", "--seed", str(seed), "--out", str(path)])
            whole.append(str(path))
        report("from traces", (whole * traces)[:traces], PoolSettings(from_traces=True))


if __name__ == "__main__":
    main()
