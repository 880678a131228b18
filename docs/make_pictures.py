"""Takes the pictures of the window from the program itself, on a simulated bench moved by hand.

    QT_QPA_PLATFORM=offscreen python docs/make_pictures.py [FOLDER]

Every screen in every theme at 1280 x 800 and 1920 x 1080.  The same command gives the same pictures.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

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
from acquire.window.looks import Look
from acquire.window.procedure_state import ANSWER
from acquire.window.start import StartPage
from acquire.window.start_state import Check, Finished
from acquire.window.themes import THEMES, Theme
from analysis.liquids import load_liquid
from sim.scenario import load_scenario

SIZES = ((1280, 800), (1920, 1080))
SEED = 7
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
    for size in SIZES:
        window = BenchWindow(bench.hands, now=lambda: 0.0, finish=lambda: CLOSED)
        window.sound.on = False
        window.resize(*size)
        window.show()
        QApplication.processEvents()
        window.load_plots()
        for theme in THEMES.values():
            window.set_look(Look(theme))
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
    for size in SIZES:
        for theme in THEMES.values():
            page = StartPage(Machine(), Look(theme))
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
        for size in SIZES:
            for theme in THEMES.values():
                window = review_window(records[0], str(paths[0]), "reviewer", Look(theme))
                window.resize(*size)
                window.show()
                while not window.review.history.complete:
                    window.decide_more()
                window.points.point_chosen.emit(4)
                window.tabs.setCurrentIndex(2)
                to_rest(window, window.show_run)
                keep(window, folder, "review", theme)
                window.close()
                beside = CompareWindow(records, Look(theme))
                beside.resize(*size)
                beside.show()
                to_rest(beside, lambda: None)
                keep(beside, folder, "compare", theme)
                beside.close()


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent / "pictures"
    folder.mkdir(parents=True, exist_ok=True)
    qInstallMessageHandler(lambda *_message: None)
    application = QApplication(["satline"])
    application.setStyle("Fusion")
    start_pictures(folder)
    review_pictures(folder)
    begun = PictureBench()
    begun.run.advance(20.0)
    bench_pictures(folder, "set-up", begun)
    easing = PictureBench()
    easing.until(lambda: easing.points == 4 and easing.asks == "warm")
    bench_pictures(folder, "warm-up", easing)
    easing.until(lambda: easing.points == 4 and easing.asks == "wait")
    for _ in range(25):
        easing.run.advance(2.0)
    bench_pictures(folder, "easing", easing, big=True)
    easing.until(lambda: easing.points == 4 and easing.asks == "take")
    bench_pictures(folder, "offer", easing, choose=2)
    warm = PictureBench(limit=273.15 + 38.0)
    warm.until(lambda: warm.points >= 5 and warm.temperature() > 273.15 + 36.2)
    bench_pictures(folder, "caution", warm)
    closed = easing.until(lambda: easing.run.session.run.closed)
    bench_pictures(folder, "closed", closed)


if __name__ == "__main__":
    main()
