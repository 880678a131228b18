"""Eight hours of a bench in five minutes, with mishaps of line, disk and person: is anything lost, does anything grow?

    python -m tests.benchmarks.endurance [--hours 8] [--speed 100] [--seed 1] [--disk-full]

A simulated bench speaks on a pseudo-terminal, its clock running at the time factor; a recorder in a process of its own
reads it as it would a real device. Meanwhile cables are pulled, the device restarts, the line is noisy; the window
joins, freezes, vanishes and comes back; the person takes, sets aside, notes, undoes at odd moments; with `--disk-full`
(needs root, for a small file system in memory) the disk fills up at half time. Memory, open files and threads of the
recorder are printed as they go. At the end the fate of each frame that the device sent is told (`endurance_books`): in
the file, refused since the line spoilt it, or lost on the line in a gap that the file shows.
"""

from __future__ import annotations

import argparse
import contextlib
import math
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

import numpy as np

from acquire import acts
from acquire.acts import Act
from acquire.clocks import RunClock
from acquire.commands.common import header_for, profile_text
from acquire.live import order_for
from acquire.raw_frames import Chunk, items
from acquire.raw_journal import SUFFIX
from acquire.recorder_client import RecorderClient
from acquire.recorder_messages import RecorderOrder
from acquire.recorder_process import start_recorder
from acquire.rehearsal import plan_of
from acquire.run import ActRefused
from acquire.runfile.integrity import VerifyReport, verify
from acquire.runfile.reader import read_run
from acquire.snapshot import Instruction, Snapshot
from drivers.readings import Received
from sim.device import BenchAct
from sim.scenario import Scenario, load_scenario
from sim.serve import BenchServer
from tests.benchmarks.endurance_books import Books, WatchedLine, balance, watch
from tests.benchmarks.figures import show_figure

ROOT = Path(__file__).parents[2]
RATE = 10.0  # readings per second of each channel
WAIT = 900.0  # [s] that the person lets pass before the next warm-up
STEPS = 24
BYTES_PER_READING = 25  # time, value, number as received, quality
BYTES_PER_SECOND = 240  # a second as the decisions see it: eight numbers, as objects of the language
LINE = ("cable_pulled", "device_restarts", "noisy_line", "power_cut")


def scenario_text(hours: float, draw: random.Random) -> tuple[str, Counter[str]]:
    """The calm bench with a mishap of the line about every eight minutes."""
    text = (ROOT / "sim" / "scenarios" / "calm.toml").read_text(encoding="utf-8")
    at, kinds = 400.0, Counter[str]()
    while at < hours * 3600 - 600:
        kind = draw.choice(LINE)
        kinds[kind] += 1
        length = draw.uniform(5, 60)
        text += f'\n[[mishaps]]\nkind = "{kind}"\nafter_s = {at:.0f}\nfor_s = {length:.1f}\n'
        if kind == "noisy_line":
            text += "lines_percent = 20\n"
        at += draw.uniform(200, 800)
    return text, kinds


class Person:
    """Does what the program asks for, late, and slips now and then."""

    def __init__(self, draw: random.Random, server: BenchServer, client: RecorderClient) -> None:
        self.draw, self.server, self.client = draw, server, client
        self.done: Counter[str] = Counter()
        self.asked: tuple[object, ...] = ()
        self.act_at, self.next_slip = 0.0, 900.0

    def act(self, name: str, **data: object) -> None:
        try:
            self.client.act(Act(name, "person", data))
            self.done[name] += 1
        except ActRefused:
            self.done[f"{name} refused"] += 1

    def work(self, now: float, seen: Snapshot) -> None:
        """What is due at this time of the run.  [s]"""
        told = seen.instruction
        key = (told.kind, seen.stage, len(seen.points))
        if key != self.asked:
            self.asked = key
            self.act_at = now + (WAIT if told.kind in ("warm", "cool") else 20.0)
        if now > self.act_at:
            self.act_at = math.inf
            self.follow(told)
        if now > self.next_slip:
            self.next_slip += self.draw.uniform(60, 400)
            self.slip()

    def follow(self, told: Instruction) -> None:
        if told.kind == "close_valve":
            self.server.act(BenchAct("close_valve"))
            self.act(acts.VALVE_CLOSED)
        elif told.kind == "charge":
            self.server.act(BenchAct("charge"))
            self.act(acts.CHARGED)
        elif told.kind in ("warm", "cool"):
            volume = told.water_volume or 40e-6
            self.server.act(BenchAct("draw", volume))
            self.server.act(BenchAct("pour", volume, told.water_temperature or 343.0))
            self.act(acts.WARMED if told.kind == "warm" else acts.COOLED)

    def slip(self) -> None:
        what = self.draw.choice(["take", "aside", "note", "undo", "redo", "window", "restore"])
        point = self.draw.randint(1, 6)
        if what == "take":
            self.act(acts.TAKE)
        elif what == "aside":
            self.act(acts.SET_ASIDE, point=point, reason="a slip")
        elif what == "restore":
            self.act(acts.RESTORE, point=point, reason="no slip after all")
        elif what == "note":
            self.act(acts.NOTE, text="wet hands " * self.draw.randint(1, 20))
        elif what == "window":
            start = self.draw.uniform(0, 3000)
            self.act(acts.WINDOW, point=point, start=start, end=start + 60, reason="looked again")
        else:
            self.act(acts.UNDO if what == "undo" else acts.REDO)


def usage(process: int) -> tuple[float, int, int]:
    """Memory [MB], open files and threads of a process."""
    status = Path(f"/proc/{process}/status").read_text()
    words = dict(line.split(":", 1) for line in status.splitlines())
    return int(words["VmRSS"].split()[0]) / 1e3, len(os.listdir(f"/proc/{process}/fd")), int(words["Threads"])


@contextlib.contextmanager
def small_disk(folder: Path, wanted: bool):
    """A file system of 60 MB in memory, where that is wanted and allowed."""
    folder.mkdir()
    if wanted:
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=60m", "tmpfs", str(folder)], check=True)
    try:
        yield
    finally:
        if wanted:
            subprocess.run(["umount", "-l", str(folder)], check=False)


class RawJournals:
    """Keeps hold of the raw journals that a recorder writes, also of those that it removes at the end."""

    def __init__(self, *folders: Path) -> None:
        self._folders = folders
        self._held: dict[str, BinaryIO] = {}

    def look(self) -> None:
        for folder in self._folders:
            for path in folder.glob("*" + SUFFIX):
                if str(path) not in self._held:
                    self._held[str(path)] = open(path, "rb")  # noqa: SIM115  (closed with the rest)

    def chunks(self) -> list[Received]:
        """Everything received, by the last of them: it begins with what those before it held."""
        last = list(self._held.values())[-1]
        return [item.received for item in items(f"/proc/self/fd/{last.fileno()}") if isinstance(item, Chunk)]

    def close(self) -> None:
        for held in self._held.values():
            held.close()


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--speed", type=float, default=100.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--disk-full", action="store_true")
    args = parser.parse_args()
    draw = random.Random(args.seed)
    with tempfile.TemporaryDirectory() as top:
        disk = Path(top) / "disk"
        with small_disk(disk, args.disk_full):
            return run(args, draw, Path(top), disk)


def run(args: argparse.Namespace, draw: random.Random, top: Path, disk: Path) -> int:
    text, kinds = scenario_text(args.hours, draw)
    file = top / "endurance.toml"
    file.write_text(text, encoding="utf-8")
    scenario = load_scenario(str(file))
    clock = RunClock(args.speed, held=True)  # the bench begins when the recorder listens
    server = BenchServer(scenario, clock, seed=args.seed, attended=False)
    server._port.line.close()
    line = server._port.line = WatchedLine()
    server.url = server._port.url = line.url
    sent = watch(server.bench)
    raws = RawJournals(disk, top / "spare")
    order = order_of(scenario, server, args.speed, disk / "endurance.h5", top / "spare")
    print(f"{sum(kinds.values())} mishaps of the line: {dict(kinds)}")
    began = time.monotonic()
    with contextlib.ExitStack() as leaving:
        leaving.callback(raws.close)
        leaving.callback(server.stop)
        server.start()
        client = start_recorder(order)
        # whatever happens here, no recorder stays behind; one that has closed its run is gone by itself
        leaving.callback(end_process, client.meeting.process)
        clock.begin()
        lived = live(args, draw, clock, Person(draw, server, client), raws, order.path, disk)
        finished = lived.person.client.finish()
        lived.person.client.close()
        server.stop()
        raws.look()
        stored = read_run(finished.path)
        books = balance(sent, line, raws.chunks(), stored.traces, stored.journal)
    print(f"{args.hours:g} h of the bench in {time.monotonic() - began:.0f} s; closed as {Path(finished.path).name} "
          f"in {Path(finished.path).parent.name}; {finished.trouble or 'no trouble told'}")  # fmt: skip
    print(f"{len(stored.points)} points; person: {dict(lived.person.done)}")
    print(f"window gone and back {lived.rejoined} times, frozen {lived.frozen:.0f} s")
    return tell(books, lived.table, args.hours, len(sent), verify(finished.path))


def order_of(scenario: Scenario, server: BenchServer, speed: float, file: Path, spare: Path) -> RecorderOrder:
    """A plan with many small steps, and where to record it."""
    plan = plan_of(scenario)
    targets = tuple(float(t) for t in np.linspace(295.5, 311.0, STEPS))
    bath = plan.bath.model_copy(update={"targets": targets, "return_to": None})
    settle = plan.settle.model_copy(update={"separation": 0.4})
    plan = plan.model_copy(update={"bath": bath, "settle": settle})
    device = f"{server.bench.profile}@{server.url}"
    header = header_for(plan, "", {"device": profile_text(server.bench.profile)}, {"device": device}, "")
    return order_for(file, [device], plan, header, speed=speed, begin=True, fallbacks=(str(spare),))


@dataclass
class Lived:
    """What was seen while the bench ran."""

    person: Person
    table: list[tuple[float, float, int, int]] = field(default_factory=list)  # hours, MB, files, threads
    rejoined: int = 0
    frozen: float = 0.0  # [s]


def live(
    args: argparse.Namespace,
    draw: random.Random,
    clock: RunClock,
    person: Person,
    raws: RawJournals,
    path: str,
    disk: Path,
) -> Lived:
    """Play the person, the window and the disk until the hours are over."""
    lived, to_fill = Lived(person), args.disk_full
    process = person.client.meeting.process
    print(f"{'hours':>6} {'memory':>9} {'files':>6} {'threads':>8}")
    while (now := clock()) < args.hours * 3600:
        raws.look()
        person.work(now, person.client.snapshot())
        if now / 1800 > len(lived.table):
            lived.table.append((now / 3600, *usage(process)))
            hours, memory, files, threads = lived.table[-1]
            print(f"{hours:6.1f} {memory:6.1f} MB {files:6d} {threads:8d}", flush=True)
        if draw.random() < 0.004:  # the window dies and another takes its place
            person.client.close()
            person.client = RecorderClient.rejoin(path)
            lived.rejoined += 1
        elif draw.random() < 0.004:  # the window freezes
            time.sleep(1.0)
            lived.frozen += 1.0
        elif to_fill and now > args.hours * 1800:
            to_fill = False
            with contextlib.suppress(OSError), open(disk / "somebody-else", "wb") as other:
                while True:
                    other.write(bytes(1 << 16))
                    other.flush()
        time.sleep(0.05)
    return lived


def end_process(process: int) -> None:
    with contextlib.suppress(ProcessLookupError):
        os.kill(process, signal.SIGTERM)


def tell(
    books: Books, table: list[tuple[float, float, int, int]], hours: float, sent: int, verdict: VerifyReport
) -> int:
    """Print what became of the frames, of the memory and of the file."""
    for fate, count in books.fates.most_common():
        print(f"{count:9d}  {fate}")
    print(f"{books.holes} stretches missing between readings; {books.refused} frames told as refused; "
          f"notices: {dict(books.told)}")  # fmt: skip
    print(*books.examples, sep="\n")
    print(f"verify: {verdict.state}, readings {verdict.readings}, {verdict.entries} entries {verdict.faults or ''}")
    # in the first half buffers of a bounded size still fill up, and what a fit needs is loaded
    first, last = next(row for row in table if row[0] > hours / 2), table[-1]
    grown, between = last[1] - first[1], 3600 * (last[0] - first[0])
    readings = between * 2 * RATE * BYTES_PER_READING / 1e6
    seconds = between * BYTES_PER_SECOND / 1e6
    show_figure("endurance: frames unaccounted for", f"{books.bad} of {sent:,}", "0")
    show_figure(
        f"endurance: memory, last {last[0] - first[0]:.1f} h", f"{grown:+.1f} MB", "the readings and their seconds",
        f"{readings:.1f} MB of readings and {seconds:.1f} MB of seconds at most came in between",
    )  # fmt: skip
    show_figure("endurance: open files, threads", f"{first[2]}-{last[2]}, {first[3]}-{last[3]}", "flat")
    return 1 if books.bad or not verdict.intact else 0


if __name__ == "__main__":
    sys.exit(main())
