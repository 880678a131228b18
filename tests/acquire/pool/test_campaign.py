import os
import shutil
import sys
from concurrent.futures import BrokenExecutor, Executor, Future
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from acquire.pool.campaign import Progress, analyse, analyse_all
from acquire.pool.settings import PoolError, PoolSettings
from acquire.pool.summary import LEFT_OUT, RunSummary
from acquire.pool.workers import LocalWorkers, open_workers
from tests.acquire.pool.made import write_run
from tests.analysis.pooling.campaigns import bench_run


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("runs")
    rng = np.random.default_rng(5)
    made = [write_run(folder / f"r{i}.h5", bench_run(rng, {}, run=f"r{i}", bench=f"b{i % 2}")) for i in range(4)]
    broken = folder / "broken.h5"
    broken.write_bytes(made[0].read_bytes()[:700])
    return [str(path) for path in [*made, broken]]


def everything(files, workers, **more):
    try:
        return {summary.source: summary for summary in analyse_all(files, PoolSettings(), workers, **more)}
    finally:
        workers.close()


def test_one_bad_file_does_not_stop_the_others(files):
    shown: list[Progress] = []
    found = everything(files, LocalWorkers(0), total=len(files), on_progress=shown.append)
    assert [found[name].used for name in files] == [True] * 4 + [False]
    assert [p.done for p in shown] == [1, 2, 3, 4, 5]
    assert shown[-1].left_out == 1


def test_a_second_time_everything_comes_from_the_cache_and_is_the_same(files, tmp_path):
    cache = str(tmp_path / "cache")
    shown: list[Progress] = []
    first = everything(files, LocalWorkers(0), cache_folder=cache)
    second = everything(files, LocalWorkers(0), cache_folder=cache, on_progress=shown.append)
    # what could not be read is looked at again: a drive may have been away
    assert shown[-1].from_cache == 4
    assert second == first


def test_a_stopped_pooling_goes_on_where_it_was(files, tmp_path):
    cache, workers = str(tmp_path / "cache"), LocalWorkers(0)
    going = analyse_all(files, PoolSettings(), workers, cache_folder=cache)
    next(going), next(going)
    going.close()
    workers.close()
    shown: list[Progress] = []
    everything(files, LocalWorkers(0), cache_folder=cache, on_progress=shown.append)
    assert shown[-1].from_cache >= 2


def test_a_changed_file_and_changed_settings_are_analysed_again(files, tmp_path):
    cache = str(tmp_path / "cache")
    copy = tmp_path / "r.h5"
    shutil.copy(files[0], copy)
    assert analyse(str(copy), PoolSettings(), cache)[1] is False
    assert analyse(str(copy), PoolSettings(), cache)[1] is True
    assert analyse(str(copy), PoolSettings(sharing={"b0": {"cell": "C"}}), cache)[1] is False
    shutil.copy(files[1], copy)
    assert analyse(str(copy), PoolSettings(), cache)[1] is False


def test_a_moved_archive_is_known_again_but_not_a_renamed_run(files, tmp_path):
    cache = str(tmp_path / "cache")
    before = analyse(files[0], PoolSettings(), cache)[0]
    moved = tmp_path / "elsewhere" / Path(files[0]).parent.name / Path(files[0]).name
    moved.parent.mkdir(parents=True)
    shutil.copy(files[0], moved)
    assert analyse(str(moved), PoolSettings(), cache) == (replace(before, source=str(moved)), True)
    renamed = moved.with_name("another.h5")
    shutil.copy(files[0], renamed)
    summary, known = analyse(str(renamed), PoolSettings(), cache)
    assert (summary.run, known) == ("another", False)


def test_a_spoilt_cache_entry_costs_one_analysis_and_no_more(files, tmp_path):
    cache = tmp_path / "cache"
    analyse(files[0], PoolSettings(), str(cache))
    (entry,) = cache.rglob("*.json")
    entry.write_text("{not json")
    assert analyse(files[0], PoolSettings(), str(cache))[1] is False
    assert analyse(files[0], PoolSettings(), str(cache))[1] is True


def unforeseen(source: str, settings: PoolSettings, cache: str | None):
    if source == "b":
        raise ZeroDivisionError("division by zero")
    return RunSummary(source), False


def test_an_unforeseen_error_is_one_file_s_and_is_named():
    workers = LocalWorkers(0)
    found = {s.source: s for s in analyse_all(["a", "b", "c"], PoolSettings(), workers, task=unforeseen)}
    workers.close()
    assert found["a"].used
    assert found["c"].used
    assert found["b"].reason == "something unforeseen went wrong (ZeroDivisionError: division by zero)"


def deadly(source: str, settings: PoolSettings, cache: str | None):
    if source == "deadly":
        os._exit(9)
    return RunSummary(source), False


@pytest.mark.slow
def test_a_file_that_ends_its_worker_is_left_out_and_nothing_else_is_lost():
    names = [f"f{i}" for i in range(9)]
    names.insert(4, "deadly")
    workers = LocalWorkers(2)
    found = {s.source: s for s in analyse_all(names, PoolSettings(), workers, task=deadly)}
    workers.close()
    assert sorted(found) == sorted(names)
    assert found.pop("deadly").status == LEFT_OUT
    assert all(summary.used for summary in found.values())


def test_a_cluster_without_its_library_is_said(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(PoolError, match=r"install it with: pip install 'satline\[cluster\]'"):
        open_workers(None, "tcp://127.0.0.1:8786")


def test_workers_as_asked_for():
    assert open_workers(3, None).count == 3
    assert open_workers(None, None).count >= 1


class Breaking(Executor):
    """The first task it gets breaks it; what it got besides never ends."""

    def __init__(self):
        self.first = True

    def submit(self, fn, /, *args, **kwargs):
        future = Future()
        if self.first:
            future.set_exception(BrokenExecutor("a worker died"))
            self.first = False
        return future


class Inline(Executor):
    def submit(self, fn, /, *args, **kwargs):
        future = Future()
        future.set_result(fn(*args, **kwargs))
        return future


class BreakingOnce:
    count = 2

    def __init__(self):
        self._executor = Breaking()

    def executor(self):
        return self._executor

    def replace(self):
        self._executor = Inline()

    def close(self):
        pass


def test_what_was_in_flight_with_a_dying_worker_is_given_out_again():
    names = [f"f{i}" for i in range(20)]
    found = [s.source for s in analyse_all(names, PoolSettings(), BreakingOnce(), task=deadly)]
    assert sorted(found) == sorted(names)


class AlwaysBreaking(BreakingOnce):
    def replace(self):
        self._executor = Breaking()


def test_workers_that_end_with_everything_are_told_of_instead_of_all_files():
    files = [f"{number}.h5" for number in range(1000)]
    with pytest.raises(PoolError, match=r"end with every file they are given \(5 so far\).*Try --workers 0"):
        list(analyse_all(files, PoolSettings(), AlwaysBreaking(), task=unforeseen))
