"""Takes the pictures of the window from the program itself, on a simulated bench moved by hand.

    QT_QPA_PLATFORM=offscreen python docs/make_pictures.py [--out FOLDER] [--text 2.0] [--size 3840x2160] [SCREEN ...]

Every screen in every theme at 1280 x 800 and 1920 x 1080.  The same command gives the same pictures.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, str(Path(__file__).parent.parent))

import numpy as np
from PyQt5.QtCore import Qt, qInstallMessageHandler
from PyQt5.QtGui import QImage
from PyQt5.QtWidgets import QApplication, QWidget

from acquire.acts import TAKE, Act
from acquire.commands.hands import HandsOnBench
from acquire.commands.review import review_window
from acquire.commands.simulate import simulate
from acquire.commands.window_services import MachineServices
from acquire.rehearsal import plan_of
from acquire.run import Run
from acquire.runfile.reader import read_run
from acquire.simulation import SimulatedRun, simulated_run
from acquire.window.bench import BenchWindow
from acquire.window.compare_window import CompareWindow
from acquire.window.language import load_language, use_language
from acquire.window.looks import Look
from acquire.window.next_act import ANSWER
from acquire.window.start import StartPage
from acquire.window.start_state import Check, Finished
from acquire.window.themes import THEMES, Theme
from analysis.liquids import load_liquid
from sim.scenario import load_scenario

SIZES = ((1280, 800), (1920, 1080))
SEED = 7


@dataclass
class Wanted:
    """How the pictures are to be."""

    text: float = 1.0
    sizes: tuple[tuple[int, int], ...] = SIZES
    themes: tuple[Theme, ...] = tuple(THEMES.values())


WANTED = Wanted()
CLOSED = Finished("", "/runs/bench-3-n-heptane.h5", "/runs/bench-3-n-heptane.html")


class Machine(MachineServices):
    """This machine, without what differs from one machine to the next."""

    def devices(self):
        return tuple(choice for choice in super().devices() if choice.text.startswith("sim:"))

    def checks(self, choice):
        return (
            Check("Device", "good", "a simulated bench, nothing to plug in"),
            Check("Folder", "good", "the run goes to satline-runs"),
            Check("Disk", "good", "120.0 GB free"),
        )


class PictureBench:
    """A run moved on until there is something to see."""

    def __init__(self, limit: float | None = None) -> None:
        scenario = load_scenario("calm")
        plan = plan_of(scenario, automatic=False)
        if limit is not None:
            plan = plan.model_copy(update={"limits": plan.limits.model_copy(update={"temperature": limit})})
        self.run: SimulatedRun = simulated_run(
            scenario, SEED, Run(plan, load_liquid(plan.liquid)), path="/runs/bench-3-n-heptane.h5", operated=False
        )
        self.hands = HandsOnBench(self.run.session, self.run.bench.act)

    def until(self, enough: Callable[[], bool]) -> PictureBench:
        """Do what is asked for until `enough`."""
        while not enough():
            told = self.run.session.snapshot().instruction
            if told.kind == "take":
                self.hands.act(Act(TAKE))
            elif told.kind in ANSWER:
                data = {}
                if told.water_volume:
                    data = {"volume": told.water_volume, "temperature": told.water_temperature}
                self.hands.act(Act(ANSWER[told.kind], data=data))
            else:
                self.run.advance(2.0)
        return self

    @property
    def points(self) -> int:
        return len(self.run.session.run.points)

    @property
    def asks(self) -> str:
        return self.run.session.snapshot().instruction.kind

    def temperature(self) -> float:
        return self.run.session.snapshot().channels["temperature"].value


def to_rest(window: QWidget, again: Callable[[], object]) -> None:
    for _ in range(4):
        again()
        QApplication.processEvents()


def in_its_own_colours(image: QImage) -> QImage:
    """The same picture with its 256 commonest colours: a quarter of the size, and nobody sees it."""
    image = image.convertToFormat(QImage.Format_RGB32)
    bits = image.constBits()
    bits.setsize(image.sizeInBytes())
    colours, counts = np.unique(np.frombuffer(bits, np.uint32), return_counts=True)
    table = [int(colour) for colour in colours[np.argsort(-counts, kind="stable")][:256]]
    return image.convertToFormat(QImage.Format_Indexed8, table, Qt.ThresholdDither | Qt.AvoidDither)


def keep(window: QWidget, folder: Path, name: str, theme: Theme) -> None:
    """Save what the window shows now, in few colours: it has few."""
    path = folder / f"{name}-{theme.name.replace(' ', '-')}-{window.width()}x{window.height()}.png"
    image = in_its_own_colours(window.grab().toImage())
    if not image.save(str(path), "PNG", 0):
        sys.exit(f"{path} could not be written")
    print(path)


def bench_pictures(folder: Path, name: str, bench: PictureBench, *, big: bool = False, choose: int = 0) -> None:
    for size in WANTED.sizes:
        window = BenchWindow(bench.hands, now=lambda: 0.0, finish=lambda: CLOSED)
        window.sound.on = False
        window.resize(*size)
        window.show()
        QApplication.processEvents()
        window.load_plots()
        for theme in WANTED.themes:
            window.set_look(Look(theme, WANTED.text))
            window.choose(choose)
            to_rest(window, window.show_all)
            if window.finished is None and bench.run.session.run.closed and window.link is not None:
                window.link.closing.wait()
                to_rest(window, window.show_all)
            keep(window, folder, name, theme)
            if big:
                window.big.resize(*size)
                window.big.show()
                to_rest(window.big, window.show_all)
                keep(window.big, folder, "big-numbers", theme)
                window.big.hide()
        window.finish_now()
        window.close()


def start_pictures(folder: Path) -> None:
    for size in WANTED.sizes:
        for theme in WANTED.themes:
            page = StartPage(Machine(), Look(theme, WANTED.text))
            page.resize(*size)
            page.show()
            to_rest(page, lambda: None)
            page.look_again()
            to_rest(page, lambda: None)
            keep(page, folder, "start", theme)
            page.close()


def review_pictures(folder: Path) -> None:
    """A stored run under review, and three runs over each other."""
    with tempfile.TemporaryDirectory() as place:
        paths = [Path(place) / f"run-{seed}.h5" for seed in (SEED, SEED + 1, SEED + 2)]
        for seed, path in enumerate(paths, SEED):
            simulate(load_scenario("calm"), seed, path)
        records = [
            replace(read_run(path), start_time=f"2026-03-0{day}T10:00:00.000+01:00")
            for day, path in enumerate(paths, 2)
        ]
        for size in WANTED.sizes:
            for theme in WANTED.themes:
                window = review_window(str(paths[0]), "reviewer", Look(theme, WANTED.text))
                window.resize(*size)
                window.show()
                while not window.review.history.complete:
                    window.decide_more()
                window.points.point_chosen.emit(4)
                window.tabs.setCurrentIndex(2)
                to_rest(window, window.show_run)
                keep(window, folder, "review", theme)
                window.close()
                beside = CompareWindow(records, Look(theme, WANTED.text))
                beside.resize(*size)
                beside.show()
                to_rest(beside, lambda: None)
                keep(beside, folder, "compare", theme)
                beside.close()


def run_pictures(folder: Path, wanted: set[str]) -> None:
    """The bench window along one run, and a second run that gets too warm."""
    steps: tuple[tuple[str, Callable[[PictureBench], object], dict[str, Any]], ...] = (
        ("set-up", lambda bench: bench.run.advance(20.0), {}),
        ("warm-up", lambda bench: bench.until(lambda: bench.points == 4 and bench.asks == "warm"), {}),
        ("easing", ease, {"big": True}),
        ("offer", lambda bench: bench.until(lambda: bench.points == 4 and bench.asks == "take"), {"choose": 2}),
        ("closed", lambda bench: bench.until(lambda: bench.run.session.run.closed), {}),
    )
    bench = PictureBench()
    for name, move, how in steps:
        if wanted & {one for one, *_ in steps}:
            move(bench)
        if name in wanted:
            bench_pictures(folder, name, bench, **how)
    if "caution" in wanted:
        warm = PictureBench(limit=273.15 + 38.0)
        warm.until(lambda: warm.points >= 5 and warm.temperature() > 273.15 + 36.2)
        bench_pictures(folder, "caution", warm)


def ease(bench: PictureBench) -> None:
    """Some time after the water was poured in."""
    bench.until(lambda: bench.points == 4 and bench.asks == "wait")
    for _ in range(25):
        bench.run.advance(2.0)


SCREENS = ("start", "review", "set-up", "warm-up", "easing", "offer", "closed", "caution")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "pictures")
    parser.add_argument("--text", type=float, default=1.0, help="as the text slider stands")
    parser.add_argument("--size", action="append", type=lambda text: tuple(map(int, text.split("x"))))
    parser.add_argument("--theme", action="append", choices=tuple(THEMES))
    parser.add_argument("--language", default="en")
    parser.add_argument("screen", nargs="*", help=f"of {', '.join(SCREENS)}; all where none is named")
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    WANTED.text = given.text
    WANTED.sizes = tuple(given.size or SIZES)
    WANTED.themes = tuple(THEMES[name] for name in given.theme or THEMES)
    use_language(load_language(given.language))
    qInstallMessageHandler(lambda *_message: None)
    application = QApplication(["satline"])
    application.setStyle("Fusion")
    wanted = set(given.screen or SCREENS)
    if "start" in wanted:
        start_pictures(given.out)
    if "review" in wanted:
        review_pictures(given.out)
    run_pictures(given.out, wanted)


if __name__ == "__main__":
    main()
