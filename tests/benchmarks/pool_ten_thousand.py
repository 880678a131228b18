"""Ten thousand simulated runs decided again from their traces and pooled: rate, memory, scaling from one worker to two.

Makes run files (two readings a second, plateaus of a few minutes and a return point,
forty benches, every run with lags, drifts, noise and sensor errors of its own), then decides each again on its traces
through the same workers that `satline pool --from-traces` uses, and pools the summaries with the command itself.
Run from the top folder: python -m tests.benchmarks.pool_ten_thousand [files] [seconds] [folder]
(an argument "scaling" behind the folder ends it after the scaling).
`seconds` bounds the long measurement: it ends after so long with what it then has; 0 leaves it unbounded.
"""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from acquire.acts import BEGIN, CHARGED, COOLED, VALVE_CLOSED, VENTED, WARMED
from acquire.journal import Journal
from acquire.plan import RunPlan
from acquire.pool.campaign import Progress, analyse_all
from acquire.pool.settings import PoolSettings
from acquire.pool.workers import LocalWorkers
from acquire.runfile.layout import RunHeader
from acquire.runfile.writer import RunFileWriter
from drivers.readings import Readings
from sim.study import StudyRuns, random_runs
from tests.benchmarks.figures import show_figure

BENCHES, CHUNK = 40, 100
FOR_SCALING = 40  # runs
PLATEAUS, HOLD, SPAN = 3, 400, 8.0
GOAL_RUNS, GOAL_SCALING = 10_000, 1.7
BASELINE = 60  # [s] before the liquid goes in, as the simulator of studies has it


def made(first: int, count: int, folder: str) -> float:
    """Write the run files `first` to `first + count`; processor seconds it took."""
    start = time.process_time()
    rng = np.random.default_rng([41, first])
    runs = random_runs(count, rng, plateaus=PLATEAUS, span=SPAN, hold=HOLD)
    for i in range(count):
        path = Path(folder) / f"run{first + i:05d}.h5"
        if not path.exists():  # of an earlier attempt
            begun = path.with_suffix(".begun")
            begun.unlink(missing_ok=True)
            write(begun, runs, i, first + i)
            begun.rename(path)
    return time.process_time() - start


def write(path: Path, runs: StudyRuns, i: int, number: int) -> None:
    """One run as a file: what was read, and what hands did."""
    plan = plan_of(runs, i, f"bench {number % BENCHES:02d}")
    header = RunHeader(
        title=path.stem,
        start_time=f"2031-{1 + number // 28 % 12:02d}-{1 + number % 28:02d}T09:00:00+01:00",
        program="satline benchmark",
        plan=plan.model_dump(mode="json"),
        plan_text="",
        profile_texts={},
        devices={"bench": "simulated"},
        versions={},
        liquid=runs.liquid,
        operator="",
    )
    writer = RunFileWriter(path, header)
    for channel, values in (("temperature", runs.temperature[i]), ("pressure", runs.pressure[i])):
        # means of one second, and what a second reading in it might have been
        time_of = np.arange(2 * len(values)) * 0.5 + 0.25
        both = np.repeat(values, 2)
        writer.append(Readings(channel, time_of, both, both, np.zeros(len(both), np.uint8)), "bench")
    writer.append_entries(list(acts_of(runs)))
    writer.close(
        end_time=header.start_time, points=(), baselines=(), results=(), truth={"enthalpy_vap": runs.enthalpy_vap}
    )


def acts_of(runs: StudyRuns) -> Journal:
    """Begin, close, charge, water, vent; the answers are left to the settings."""
    journal = Journal()
    end = float(runs.time[-1]) - 1.0
    returned = [(runs.return_at, COOLED)] if runs.return_at is not None else []
    acts = [
        (1.0, BEGIN),
        (20.0, VALVE_CLOSED),
        (runs.charge_at, CHARGED),
        *((t, WARMED) for t in runs.pour_at),
        *returned,
    ]
    for when, name in [*acts, (end, VENTED)]:
        journal.append(
            time=when, block=int(when), kind="act", actor="person", given=True, text=name, data={"act": name}
        )
    return journal


def plan_of(runs: StudyRuns, i: int, bench: str) -> RunPlan:
    plan = RunPlan(title=bench, liquid=runs.liquid, bench=bench)
    cell = {
        "volume": float(runs.bench.volume[i]),
        "charge": float(runs.liquid_volume[i]),
        "tubing": float(runs.bench.tube[i]),
    }
    room = float(runs.bench.room[i])
    targets = tuple(room + SPAN * n / (PLATEAUS - 1) for n in range(1, PLATEAUS))
    return plan.model_copy(
        update={
            "cell": plan.cell.model_copy(update=cell),
            "room": plan.room.model_copy(update={"humidity": 0.0, "u_humidity": 0.01}),
            "bath": plan.bath.model_copy(update={"targets": targets, "return_to": room + SPAN / 2}),
        }
    )


def processor(workers: LocalWorkers) -> float:
    """Processor seconds of the workers so far."""
    ticks = 0
    for pid in workers.executor()._processes:
        ticks += sum(map(int, Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[11:13]))
    return ticks / os.sysconf("SC_CLK_TCK")


def loop() -> float:
    """Processor seconds of an empty loop of ten million turns: how fast the machine is just now."""
    start = time.process_time()
    for _ in range(10_000_000):
        pass
    return time.process_time() - start


@dataclass(frozen=True)
class Worked:
    """Runs done, runs that can be used, runs known from an earlier attempt; of the new ones the runs per second and
    the workers' processor seconds each."""

    done: int
    used: int
    known: int
    rate: float
    cost: float


def worked(files: list[str], count: int, seconds: float = 0.0, cache: str | None = None) -> Worked:
    """Decide the files again with so many workers; the time that these take to start is left out."""
    settings = PoolSettings(from_traces=True)
    workers = LocalWorkers(count)
    list(analyse_all(files[-2 * count :], settings, workers))
    start, before = time.perf_counter(), processor(workers)
    done = used = known = 0

    def look(progress: Progress) -> None:
        nonlocal known
        known = progress.from_cache

    going = analyse_all(files, settings, workers, cache_folder=cache, on_progress=look)
    for summary in going:
        done, used = done + 1, used + summary.used
        if seconds and time.perf_counter() - start > seconds:
            break
    passed, spent = time.perf_counter() - start, processor(workers) - before
    going.close()
    workers.close()
    new = max(done - known, 1)
    return Worked(done, used, known, new / passed, spent / new)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else GOAL_RUNS
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 0.0
    place = Path(sys.argv[3]) if len(sys.argv) > 3 else Path(tempfile.mkdtemp())
    archive, out = place / "archive", place / "pooled"
    archive.mkdir(parents=True, exist_ok=True)
    if len(list(archive.glob("*.h5"))) < count:
        begin = time.perf_counter()
        with ProcessPoolExecutor(2) as pool:
            parts = [pool.submit(made, first, CHUNK, str(archive)) for first in range(0, count, CHUNK)]
            spent = sum(part.result() for part in parts)
        print(
            f"{count} run files made in {time.perf_counter() - begin:.0f} s ({spent / count * 1e3:.0f} ms each)",
            flush=True,
        )
    files = [str(path) for path in sorted(archive.glob("*.h5"))][:count]
    size = sum(os.path.getsize(path) for path in files)
    length = BASELINE + (PLATEAUS + 1) * HOLD
    print(f"{len(files)} files of {size / len(files) / 1e3:.0f} kB, {length} s of readings each", flush=True)

    some = files[: min(FOR_SCALING, count)]
    found: dict[int, list[Worked]] = {1: [], 2: []}
    for number in (1, 2, 1):
        pace = loop()
        one = worked(some, number)
        found[number].append(one)
        print(f"{number} worker(s), {one.done} runs: {one.rate:.3f} runs/s, {1e3 * one.cost:.0f} ms of processor each; "
              f"empty loop {pace:.3f} s, load of the machine {os.getloadavg()[0]:.1f}", flush=True)  # fmt: skip
    rate, cost = (np.mean([getattr(one, name) for one in found[1]]) for name in ("rate", "cost"))
    (two,) = found[2]
    # on a machine with other work the clock flatters or scolds; the processor's time shows what the workers cost
    scaling = f"{two.rate / rate:.2f} times one worker by the clock ({2 * cost / two.cost:.2f} by processor)"
    print(f"scaling from one worker to two: {two.rate / rate:.2f} times by the clock, {2 * cost / two.cost:.2f} by the "
          f"processor's time of a run (goal {GOAL_SCALING})", flush=True)  # fmt: skip
    if "scaling" in sys.argv:
        return
    all_of = worked(files, 2, seconds, cache=str(out / "cache"))
    done, used, rate, cost = all_of.done, all_of.used, all_of.rate, all_of.cost
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    worker = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"from traces: {done} runs (goal {GOAL_RUNS}; {all_of.known} known before), {used} of them give a value; "
          f"{rate:.2f}/s with two workers, {1e3 * cost:.0f} ms of processor each", flush=True)  # fmt: skip
    print(f"{GOAL_RUNS} at this rate take {GOAL_RUNS / rate / 60:.1f} min")
    print(f"memory: {own:.0f} MiB here, {worker:.0f} MiB in a worker at most", flush=True)
    # the command goes on from what is known and pools it
    begin = time.perf_counter()
    command = [sys.executable, "-m", "acquire.commands.main", "pool", "--from-traces", "--out", str(out)]
    subprocess.run([*command, "--workers", "2", *files[:done]], check=True)
    print(f"`satline pool` on the {done} known runs: {time.perf_counter() - begin:.0f} s")
    new = done - all_of.known
    show_figure(
        "pooling: simulated runs decided again from their traces, two workers",
        f"{new:,} in {new / rate / 60:.0f} min, {1e3 * cost:.0f} ms of processor each, {worker:.0f} MiB a worker; "
        f"{scaling}",
        f"{GOAL_RUNS:,}, >= {GOAL_SCALING} times",
        f"{length} s of readings each, {used:,} of {done:,} give a value",
    )
    if len(sys.argv) <= 3:
        shutil.rmtree(place)


if __name__ == "__main__":
    main()
