"""The window of many runs: a folder is pooled, one looks at benches and at single runs, and it can be stopped."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

pytest.importorskip("PyQt5.QtWidgets", exc_type=ImportError)

from acquire.pool.campaign import Progress
from acquire.pool.columns import in_columns
from acquire.pool.outcome import pooled
from acquire.pool.store import write_table
from acquire.window.looks import Look
from acquire.window.pool_state import PoolChoice, PoolFound, PoolServices
from acquire.window.pool_window import PoolWindow
from acquire.window.themes import THEMES
from analysis.liquids import load_liquid
from tests.acquire.pool.made import summaries
from tests.analysis.pooling.campaigns import Fault


@pytest.fixture(scope="module")
def found(tmp_path_factory) -> PoolFound:
    runs = summaries(4, benches=6, runs=2, faults={2: Fault(leak_rate=1 / 2e4)})
    folder = tmp_path_factory.mktemp("pool")
    outcome = pooled(lambda: in_columns(runs), liquid=load_liquid("n-heptane"), air="sealed", simulated=False)
    return PoolFound(outcome, folder / "pool.html", write_table(runs, folder / "runs.csv"))


class Machine:
    """Services whose work waits until the test lets it go on."""

    def __init__(self, found: PoolFound) -> None:
        from acquire.pool.job import left_out, runs_of_bench

        self.found, self.go_on, self.noted = found, threading.Event(), threading.Event()
        self.choices: list[PoolChoice] = []
        self.opened: list[str] = []
        self.stopped = False
        self.services = PoolServices(self.pool, runs_of_bench, left_out, self.open_run)

    def pool(self, choice, note, stopped):
        self.choices.append(choice)
        note(Progress(3, 1, 0, 12, "x"))
        self.noted.set()
        assert self.go_on.wait(10.0)
        self.stopped = stopped()
        return PoolFound(refused="Stopped.") if self.stopped else self.found

    def open_run(self, path: str) -> object:
        if "05" in path:
            raise ValueError(f"{path} is damaged")
        self.opened.append(path)
        return object()


@pytest.fixture
def machine(found):
    return Machine(found)


@pytest.fixture
def window(qtbot, machine):
    made = PoolWindow(machine.services, Look(), open_url=lambda url: machine.opened.append(url.toLocalFile()))
    qtbot.addWidget(made)
    made.show()
    return made


def pool(window, machine, qtbot) -> None:
    machine.go_on.set()
    with qtbot.waitSignal(window.pooled, timeout=10_000):
        window.use_folder(Path("/runs"))


def test_a_folder_is_pooled_with_progress_and_shown(window, machine, qtbot):
    window.one_room.setChecked(True)
    window.use_folder(Path("/runs"))
    assert machine.noted.wait(10.0)
    window.look_at_work()
    assert window.page.words.text() == "3 of 12 files, 1 known from before"
    assert window.page.bar.share == pytest.approx(0.25)
    assert not window.choose.isEnabled()
    machine.go_on.set()
    qtbot.waitUntil(lambda: not window.busy, timeout=10_000)
    assert machine.choices == [PoolChoice(Path("/runs"), False, True)]
    assert window.page.consensus.text() == window.state.consensus
    assert window.benches.rowCount() == 6
    assert window.choose.isEnabled()


def test_the_bench_that_stands_out_is_shown_first_and_its_runs_are_listed(window, machine, qtbot):
    pool(window, machine, qtbot)
    assert window.page.bench_name.text() == "bench 03"
    assert window.runs.rowCount() == 2
    assert window.tabs.tabText(0) == "Stand out (1)"
    window.plot.bench_chosen.emit(0)
    assert window.page.bench_name.text() == window.state.marks[0].bench
    assert window.tabs.currentIndex() == 2


def test_a_run_is_opened_in_a_window_of_its_own(window, machine, qtbot):
    pool(window, machine, qtbot)
    window.runs.selectRow(1)
    window.open_run.click()
    assert machine.opened == [window.runs.item(1, 0).toolTip()]


def test_a_run_that_cannot_be_shown_is_said(window, machine, qtbot):
    pool(window, machine, qtbot)
    window.choose_bench([mark.bench for mark in window.state.marks].index("bench 05"))
    window.show_run(0)
    assert window.page.words.text().endswith("is damaged")
    assert machine.opened == []


def test_the_report_is_opened(window, machine, qtbot, found):
    assert not window.report.isEnabled()
    pool(window, machine, qtbot)
    window.report.click()
    assert machine.opened == [str(found.page)]


def test_work_can_be_stopped_and_says_so(window, machine, qtbot):
    window.use_folder(Path("/runs"))
    assert machine.noted.wait(10.0)
    window.stop.click()
    assert "Stopping" in window.page.words.text()
    machine.go_on.set()
    qtbot.waitUntil(lambda: not window.busy, timeout=10_000)
    assert machine.stopped
    assert window.page.words.text() == "Stopped."
    assert window.state is None


def test_closing_the_window_ends_the_work_first(window, machine, qtbot):
    before = set(threading.enumerate())
    window.use_folder(Path("/runs"))
    assert machine.noted.wait(10.0)
    machine.go_on.set()
    window.close()
    assert not window.busy
    assert not [thread for thread in threading.enumerate() if thread not in before]


@pytest.mark.parametrize("theme", list(THEMES))
def test_it_takes_every_theme_and_small_screens(window, machine, qtbot, theme):
    pool(window, machine, qtbot)
    window.set_look(Look(THEMES[theme]))
    window.resize(1000, 640)
    assert window.minimumSizeHint().width() <= 1000
    assert THEMES[theme].paper in window.styleSheet()


def test_the_machine_pools_a_real_folder_and_refuses_an_empty_one(tmp_path):
    import numpy as np

    from acquire.commands.pool_window import pool_services
    from acquire.pool.settings import PoolSettings
    from tests.acquire.pool.made import write_run
    from tests.analysis.pooling.campaigns import campaign

    runs, _ = campaign(np.random.default_rng(2), benches=2, runs=1)
    for run in runs:
        write_run(tmp_path / f"{run.run}.h5", run)
    services = pool_services(PoolSettings(), Look(), workers=0)
    noted: list[Progress] = []
    found = services.pool(PoolChoice(tmp_path), noted.append, lambda: False)
    assert found.outcome.runs == 2
    assert found.page == tmp_path / "satline-pool" / "pool.html"
    assert found.page.is_file()
    assert [p.done for p in noted] == [1, 2]
    stopped = services.pool(PoolChoice(tmp_path), noted.append, lambda: True)
    assert stopped.outcome is None
    assert "goes on from there" in stopped.refused
    (tmp_path / "empty").mkdir()
    refused = services.pool(PoolChoice(tmp_path / "empty"), noted.append, lambda: False)
    assert "holds no run file" in refused.refused
    with pytest.raises(ValueError, match="table of points"):
        services.open_run("points.csv")
