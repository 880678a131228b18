"""Pooling on a local cluster of two workers, one of which dies on the way."""

import os
from pathlib import Path

import numpy as np
import pytest

from acquire.pool.campaign import analyse, analyse_all
from acquire.pool.settings import PoolError, PoolSettings
from acquire.pool.workers import ClusterWorkers
from tests.acquire.pool.made import write_run
from tests.analysis.pooling.campaigns import bench_run

distributed = pytest.importorskip("distributed")
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::ResourceWarning")]


@pytest.fixture(scope="module")
def cluster():
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as made:
        yield made


def once_deadly(source: str, settings: PoolSettings, cache: str | None):
    """Ends the worker the first time a file with a mark beside it is met."""
    mark = Path(source).with_suffix(".deadly")
    if mark.exists():
        mark.unlink()
        os._exit(7)
    return analyse(source, settings, cache)


def test_a_dying_worker_loses_nothing(cluster, tmp_path):
    rng = np.random.default_rng(6)
    files = [str(write_run(tmp_path / f"r{i}.h5", bench_run(rng, {}, run=f"r{i}", bench="b"))) for i in range(8)]
    (tmp_path / "r3.deadly").touch()
    workers = ClusterWorkers(cluster.scheduler_address)
    try:
        assert workers.count == 2
        found = {s.source: s for s in analyse_all(files, PoolSettings(), workers, task=once_deadly)}
    finally:
        workers.close()
    assert sorted(found) == sorted(files)
    assert [s.reason for s in found.values()] == [""] * 8
    assert not (tmp_path / "r3.deadly").exists()
    direct = analyse(files[0], PoolSettings(), None)[0]
    assert found[files[0]] == direct


def test_nobody_at_the_address_is_said_in_words():
    with pytest.raises(PoolError, match=r"no scheduler answers at 'tcp://127.0.0.1:1'.*for example tcp://host:8786"):
        ClusterWorkers("tcp://127.0.0.1:1", timeout=0.3)
