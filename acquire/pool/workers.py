"""Where the analyses run: processes of this machine or a cluster, behind the same few words of `concurrent.futures`."""

from __future__ import annotations

import os
import re
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from importlib import import_module
from typing import Protocol

from acquire.pool.settings import PoolError


class Workers(Protocol):
    """What the campaign needs of an executor."""

    count: int

    def executor(self) -> Executor:
        """The executor, made anew after `replace`."""

    def replace(self) -> None:
        """The executor is broken: the next call of `executor` gives a new one."""

    def close(self) -> None: ...


def _one_thread_each() -> None:
    # two workers with two linear-algebra threads each on two cores wait for each other: measured 3 times slower
    os.environ["OPENBLAS_NUM_THREADS"] = "1"


class LocalWorkers:
    """Processes of this machine; `count` 0: a single thread of this process, for a few small files.

    Threads: used from one thread.
    """

    def __init__(self, count: int) -> None:
        self.count = max(count, 1)
        self._inside = count == 0
        self._executor: Executor | None = None

    def executor(self) -> Executor:
        if self._executor is None:
            if self._inside:
                self._executor = ThreadPoolExecutor(1, thread_name_prefix="pool")
            else:
                import multiprocessing

                # inherited by the new interpreters before they load numpy
                _one_thread_each()
                self._executor = ProcessPoolExecutor(self.count, mp_context=multiprocessing.get_context("spawn"))
        return self._executor

    def replace(self) -> None:
        self.close()

    def close(self) -> None:
        if self._executor is not None:
            self._executor.shutdown(wait=True, cancel_futures=True)
            self._executor = None


class ClusterWorkers:
    """Workers of a dask.distributed scheduler; they must see the files under the same paths.

    A task whose worker dies is given to another one by the scheduler.

    Raises
    ------
    PoolError
        The library is not installed, or nobody answers at the address.
    """

    def __init__(self, address: str, *, timeout: float = 10.0) -> None:
        try:
            distributed = import_module("distributed")
        except ImportError as error:
            raise PoolError(
                "the library dask.distributed is not installed; install it with: pip install 'satline[cluster]'"
            ) from error
        if not re.fullmatch(r"(\w+://)?.+:\d+(/.*)?", address):  # the library's own refusal leaves a traceback behind
            raise PoolError(
                f"found {address!r}; expected the address of a scheduler as 'dask scheduler' printed it, for example "
                "tcp://host:8786"
            )
        try:
            self._client = distributed.Client(address, timeout=timeout, set_as_default=False)
        except (OSError, TimeoutError, ValueError) as error:
            raise PoolError(
                f"no scheduler answers at {address!r} ({error}); expected the address that 'dask scheduler' printed, "
                "for example tcp://host:8786"
            ) from error
        self.count = max(1, len(self._client.scheduler_info()["workers"]))
        self._executor: Executor | None = None

    def executor(self) -> Executor:
        if self._executor is None:
            self._executor = self._client.get_executor(pure=False, retries=2)
        return self._executor

    def replace(self) -> None:
        self._executor = None

    def close(self) -> None:
        self._executor = None
        self._client.close()


def open_workers(count: int | None, cluster: str | None) -> Workers:
    """Workers as asked for: a cluster, so many processes, or one process for each core this process may use."""
    if cluster is not None:
        return ClusterWorkers(cluster)
    if count is None:
        count = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1)
    return LocalWorkers(count)
