"""A whole pooling: files in, results in a folder; the command and the window both do it by this."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar

from acquire.own_liquids import find_liquid, own_table
from acquire.pool.campaign import Progress, analyse_all
from acquire.pool.columns import RunColumns
from acquire.pool.document import pool_document
from acquire.pool.gather import Rooms
from acquire.pool.outcome import PoolOutcome, pooled
from acquire.pool.page import write_pool_page
from acquire.pool.readers import RUN_FILES
from acquire.pool.settings import PoolError, PoolSettings
from acquire.pool.store import SummaryStore, is_table, read_table, write_parquet, written_to_table
from acquire.pool.summary import RunSummary
from acquire.pool.together import Together
from acquire.pool.workers import Workers

SUFFIXES = (*RUN_FILES, ".csv")
T = TypeVar("T")
TABLE, PAGE, DOCUMENT, PARQUET = "runs.csv", "pool.html", "pool.json", "runs.parquet"


class PoolStopped(Exception):
    """The person stopped it; what was analysed is in the cache, and the next pooling goes on from there."""


@dataclass(frozen=True)
class PoolOrder:
    """What is to be pooled, how, and where the results go."""

    files: tuple[str, ...]
    out: Path
    settings: PoolSettings = field(default_factory=PoolSettings)
    one_room: bool = False
    parquet: bool = False
    language: str = "en"  # of the page

    @property
    def rooms(self) -> Rooms:
        named = {who: labels["room air"] for who, labels in self.settings.sharing.items() if "room air" in labels}
        return Rooms(self.one_room, named)


@dataclass(frozen=True)
class PoolResult:
    """What came out, and the files that were written."""

    outcome: PoolOutcome
    files: tuple[Path, ...]


def pool(
    order: PoolOrder,
    workers: Workers,
    on_progress: Callable[[Progress], None] | None = None,
    stopped: Callable[[], bool] = lambda: False,
) -> PoolResult:
    """Analyse, pool and write everything that the order asks for; its folder exists.

    Raises
    ------
    PoolError
        Nothing can be pooled.
    PoolStopped
        `stopped` said so.
    """
    out, settings = order.out, replace(order.settings, own_liquids=own_table_hash())
    tables, sources = sorted_out(order.files, out)
    if any(path.resolve() == (out / TABLE).resolve() for path in tables):
        raise PoolError(f"{out / TABLE} is to be read and would be written; give another folder for the results")
    together = Together(settings.liquid, order.rooms)
    store = SummaryStore(out / "summaries.jsonl", tables)
    try:
        for some in _until_stopped(store, stopped):
            together.count(some)
        analysed = analyse_all(
            sources, settings, workers,
            cache_folder=str(out / "cache"), total=len(sources), on_progress=on_progress,
        )  # fmt: skip
        store.extend(_counted(_until_stopped(analysed, stopped), together))
        return _concluded(order, store, together)
    finally:
        store.path.unlink(missing_ok=True)


def own_table_hash() -> str:
    """SHA-256 of the person's own table of liquids, empty without one: summaries depend on it."""
    path = own_table()
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""


def _counted(summaries: Iterable[RunSummary], together: Together) -> Iterator[RunSummary]:
    for summary in summaries:
        together.count(RunColumns.of([summary]))
        yield summary


def _until_stopped(found: Iterable[T], stopped: Callable[[], bool]) -> Iterator[T]:
    for one in found:
        if stopped():
            raise PoolStopped
        yield one


def _concluded(order: PoolOrder, store: SummaryStore, together: Together) -> PoolResult:
    if together.choice is None:
        reasons = sorted({reason for some in store for reason in some.reason})
        raise PoolError(f"none of the {store.count} files can be used: {'; '.join(reasons[:3])}")
    name, air, simulated = together.choice
    table, passes = order.out / TABLE, 0

    def judged() -> Iterator[RunColumns]:
        nonlocal passes
        passes += 1
        found = together.judged(store)
        return written_to_table(found, table) if passes == 1 else found

    outcome = pooled(
        judged, liquid=find_liquid(name), air=air, simulated=simulated, rooms=order.rooms, look=together.look
    )
    document = order.out / DOCUMENT
    document.write_text(json.dumps(pool_document(outcome), indent=2, allow_nan=False), encoding="utf-8")
    page = write_pool_page(outcome, order.out / PAGE, read_table(table), order.language)
    files = [page, table, document]
    if order.parquet:
        files.append(write_parquet(table, order.out / PARQUET))
    return PoolResult(outcome, tuple(files))


def sorted_out(files: Iterable[str], out: Path) -> tuple[list[Path], list[str]]:
    """Tables of runs, and files to analyse; folders stand for what is in them, our own results left out.

    Raises
    ------
    PoolError
        A folder with nothing to read.
    """
    tables, sources = [], []
    for name in files:
        path = Path(name)
        if path.is_dir():
            inside = sorted(p for p in path.rglob("*") if p.suffix.lower() in SUFFIXES and p.is_file())
            found = [p for p in inside if out.resolve() not in p.resolve().parents]
            if not found:
                raise PoolError(f"the folder {name!r} holds no run file and no CSV table; choose one that does")
        else:
            found = [path]
        for one in found:
            if one.suffix.lower() == ".csv" and is_table(one):
                if not path.is_dir():  # within a folder it is somebody's result, not a run
                    tables.append(one)
            else:
                sources.append(str(one))
    return tables, sources


def runs_of_bench(table: Path, bench: str, most: int) -> list[RunSummary]:
    """The first `most` runs of a bench in the table of runs, in order of time."""
    found: list[RunSummary] = []
    for summary in read_table(table):
        if summary.used and summary.bench == bench:
            found.append(summary)
            if len(found) == most:
                break
    return sorted(found, key=lambda summary: (summary.start != summary.start, summary.start, summary.run))


def left_out(table: Path, most: int) -> list[RunSummary]:
    """The first `most` files of the table of runs that were left out, with their reasons."""
    found: list[RunSummary] = []
    for summary in read_table(table):
        if not summary.used:
            found.append(summary)
            if len(found) == most:
                break
    return found
