"""All files through the workers: bounded in flight, cached, resumable, and never stopped by one bad file."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, wait
from dataclasses import dataclass

from acquire.pool.cache import SummaryCache
from acquire.pool.readers import content_of, summarise
from acquire.pool.settings import PoolError, PoolSettings
from acquire.pool.summary import LEFT_OUT, RunSummary
from acquire.pool.workers import Workers

IN_FLIGHT = 4  # files per worker that are handed out at a time: enough to keep it busy, few enough to forget
ATTEMPTS = 2  # a file that ends its worker twice is left out
MOST_LOST = 5  # files that ended their worker before any other was done: then it is the workers, not the files


@dataclass(frozen=True)
class Progress:
    """How far it is, for whoever shows it."""

    done: int
    from_cache: int
    left_out: int
    total: int | None
    source: str


def analyse(source: str, settings: PoolSettings, cache_folder: str | None) -> tuple[RunSummary, bool]:
    """What a worker does with one file; True where the cache had it."""
    cache = SummaryCache(cache_folder) if cache_folder else None
    if cache is not None:
        known = cache.get(source, content_of(source), settings)
        if known is not None:
            return known, True
    summary = summarise(source, settings)
    if cache is not None:
        cache.put(summary, settings)
    return summary, False


def analyse_all(
    sources: Iterable[str],
    settings: PoolSettings,
    workers: Workers,
    *,
    cache_folder: str | None = None,
    total: int | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    task: Callable[[str, PoolSettings, str | None], tuple[RunSummary, bool]] = analyse,
) -> Iterator[RunSummary]:
    """The summary of every file, in the order in which they get ready.

    Whatever happens to one file, the others go on: its summary is then "left out" with the reason.  When workers die,
    the files they had are given out again, at most `ATTEMPTS` times each.

    Raises
    ------
    PoolError
        The workers end whatever they are given.
    """
    waiting = iter(sources)
    again: deque[str] = deque()
    attempts: Counter[str] = Counter()
    flying: dict[Future, str] = {}
    done = cached = left_out = lost = 0
    room = IN_FLIGHT * workers.count
    alone = False  # after a crash: one at a time, so that the file that did it is known
    while True:
        while len(flying) < (1 if alone else room):
            source = again.popleft() if again else (None if alone else next(waiting, None))
            if source is None:
                break
            try:
                flying[workers.executor().submit(task, source, settings, cache_folder)] = source
            except BrokenExecutor:
                again.appendleft(source)
                workers.replace()
        if not flying:
            if alone:
                alone = False
                continue
            return
        ready, _ = wait(flying, return_when=FIRST_COMPLETED)
        broken = False
        for future in ready:
            source = flying.pop(future)
            summary, hit = _outcome(future, source)
            if summary is None:
                broken = True
                # several were in flight when the first worker died: nobody knows whose fault it was
                attempts[source] += alone
                if attempts[source] < ATTEMPTS:
                    again.append(source)
                    continue
                lost += 1
                if lost == MOST_LOST and lost > done:
                    raise PoolError(
                        f"the worker processes end with every file they are given ({lost} so far); expected them to "
                        "run. Try --workers 0, which does the work without them, or --workers 1 where memory is short"
                    )
                summary = RunSummary(source, status=LEFT_OUT, reason="its analysis ended the worker process")
            done, cached, left_out = done + 1, cached + hit, left_out + (not summary.used)
            if on_progress is not None:
                on_progress(Progress(done, cached, left_out, total, source))
            yield summary
        if broken:
            again.extend(flying.values())
            flying.clear()
            workers.replace()
            alone = True


def _outcome(future: Future, source: str) -> tuple[RunSummary | None, bool]:
    """The summary and whether the cache had it; None where the worker died under it."""
    error = future.exception()
    if error is None:
        return future.result()
    # a cluster says so after retries of its own, with a class of its own
    if isinstance(error, BrokenExecutor) or type(error).__name__ == "KilledWorker":
        return None, False
    reason = f"something unforeseen went wrong ({type(error).__name__}: {error})"
    return RunSummary(source, status=LEFT_OUT, reason=reason), False
