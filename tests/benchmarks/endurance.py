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
import subprocess
import sys
import tempfile
import time
from collections import Counter
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
from acquire.recorder_process import start_recorder
from acquire.rehearsal import plan_of
from acquire.run import ActRefused
from acquire.runfile.integrity import verify
from acquire.runfile.reader import read_run
from acquire.snapshot import Instruction, Snapshot
from drivers.readings import Received
from sim.device import BenchAct
from sim.scenario import load_scenario
from sim.serve import BenchServer
from tests.benchmarks.endurance_books import WatchedLine, balance, watch
from tests.benchmarks.figures import show_figure

ROOT = Path(__file__).parents[2]
RATE = 10.0  # readings per second of each channel
WAIT = 900.0  # [s] that the person lets pass before the next warm-up
STEPS = 24
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
    clock = RunClock(args.speed)
    server = BenchServer(scenario, clock, seed=args.seed, attended=False)
    server._port.line.close()
    line = server._port.line = WatchedLine()
    server.url = server._port.url = line.url
    sent = watch(server.bench)
    raws = RawJournals(disk, top / "spare")
    server.start()
    plan = plan_of(scenario)
    targets = tuple(float(t) for t in np.linspace(295.5, 311.0, STEPS))
    bath = plan.bath.model_copy(update={"targets": targets, "return_to": None})
    settle = plan.settle.model_copy(update={"separation": 0.4})
    plan = plan.model_copy(update={"bath": bath, "settle": settle})
    device = f"{server.bench.profile}@{server.url}"
    header = header_for(plan, "", {"device": profile_text(server.bench.profile)}, {"device": device}, "")
    order = order_for(
        disk / "endurance.h5", [device], plan, header, speed=args.speed, begin=True, fallbacks=(str(top / "spare"),)
    )
    client = start_recorder(order)
    person = Person(draw, server, client)
    process, began = client.meeting.process, time.monotonic()
    rejoined, frozen, filled = 0, 0.0, args.disk_full
    table: list[tuple[float, float, int, int]] = []
    print(f"{sum(kinds.values())} mishaps of the line: {dict(kinds)}")
    print(f"{'hours':>6} {'memory':>9} {'files':>6} {'threads':>8}")
    while clock() < args.hours * 3600:
        now = clock()
        raws.look()
        seen = client.snapshot()
        person.work(now, seen)
        if now / 1800 > len(table):
            table.append((now / 3600, *usage(process)))
            hours, memory, files, threads = table[-1]
            print(f"{hours:6.1f} {memory:6.1f} MB {files:6d} {threads:8d}", flush=True)
        if draw.random() < 0.004:  # the window dies and another takes its place
            client.close()
            client = person.client = RecorderClient.rejoin(order.path)
            rejoined += 1
        elif draw.random() < 0.004:  # the window freezes
            time.sleep(1.0)
            frozen += 1.0
        elif filled and now > args.hours * 1800:
            filled = False
            with contextlib.suppress(OSError), open(disk / "somebody-else", "wb") as other:
                while True:
                    other.write(bytes(1 << 16))
                    other.flush()
        time.sleep(0.05)
    finished = client.finish()
    client.close()
    server.stop()
    raws.look()
    stored = read_run(finished.path)
    books = balance(sent, line, raws.chunks(), stored.traces, stored.journal)
    raws.close()
    verdict = verify(finished.path)
    took = time.monotonic() - began
    print(f"{args.hours:g} h of the bench in {took:.0f} s; closed as {Path(finished.path).name} "
          f"in {Path(finished.path).parent.name}; {finished.trouble or 'no trouble told'}")  # fmt: skip
    print(f"{len(seen.points)} points, stage {seen.stage}")
    print(f"person: {dict(person.done)}; window gone and back {rejoined} times, frozen {frozen:.0f} s")
    for fate, count in books.fates.most_common():
        print(f"{count:9d}  {fate}")
    print(f"{books.holes} stretches missing between readings; {books.refused} frames told as refused; "
          f"notices: {dict(books.told)}")  # fmt: skip
    print(*books.examples, sep="\n")
    print(f"verify: {verdict}")
    settled = [row for row in table if row[0] > args.hours / 4]
    growth = settled[-1][1] - settled[0][1]
    show_figure("endurance: frames unaccounted for", f"{books.bad} of {len(sent)}", "0")
    show_figure(
        "endurance: memory, last against first quarter", f"{growth:+.0f} MB",
        "only the traces themselves grow", f"{2 * 24 * len(sent) * 0.75 / 1e6:.0f} MB of readings came in between",
    )  # fmt: skip
    flat = f"{settled[0][2]}-{settled[-1][2]}, {settled[0][3]}-{settled[-1][3]}"
    show_figure("endurance: open files, threads", flat, "flat")
    return 1 if books.bad else 0


if __name__ == "__main__":
    sys.exit(main())
