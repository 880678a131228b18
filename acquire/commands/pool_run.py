"""The work behind `satline pool`: files in, progress on standard error, results in a folder."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TaskProgressColumn, TextColumn, TimeRemainingColumn
from rich.progress import Progress as Bar

from acquire.commands.common import CommandError, known_liquid, make_folder, plan_or_default
from acquire.pool.campaign import Progress, analyse_all
from acquire.pool.document import pool_document
from acquire.pool.gather import Rooms
from acquire.pool.outcome import PoolOutcome, pooled
from acquire.pool.page import write_pool_page
from acquire.pool.settings import PoolError, PoolSettings, read_sharing
from acquire.pool.store import SummaryStore, is_table, write_parquet, written_to_table
from acquire.pool.summary import RunSummary
from acquire.pool.together import Together
from acquire.pool.workers import open_workers

SUFFIXES = (".h5", ".hdf5", ".csv")


def pool_files(args: argparse.Namespace) -> tuple[PoolOutcome, list[Path]]:
    """Analyse, pool and write everything that `args` ask for."""
    settings = pool_settings(args)
    out = Path(args.out)
    make_folder(out)
    tables, sources = _sorted_out(args.files, out)
    if any(path.resolve() == (out / "runs.csv").resolve() for path in tables):
        raise CommandError(f"{out / 'runs.csv'} is to be read and would be written; give another folder with --out")
    named = {who: labels["room air"] for who, labels in settings.sharing.items() if "room air" in labels}
    rooms = Rooms(args.one_room, named)
    together = Together(settings.liquid, rooms)
    store = SummaryStore(out / "summaries.jsonl", tables)
    for summary in store:
        together.count(summary)

    def counted(summaries: Iterator[RunSummary]) -> Iterator[RunSummary]:
        for summary in summaries:
            together.count(summary)
            yield summary

    workers = open_workers(args.workers, args.cluster)
    try:
        with _ProgressBar(len(sources), quiet=args.json) as show:
            analysed = analyse_all(
                sources, settings, workers, cache_folder=str(out / "cache"), total=len(sources), on_progress=show
            )
            store.extend(counted(analysed))
    finally:
        workers.close()
    if together.choice is None:
        reasons = sorted({summary.reason for summary in store})
        store.path.unlink()
        raise PoolError(f"none of the {store.count} files can be used: {'; '.join(reasons[:3])}")
    liquid, air, simulated = together.choice
    table = out / "runs.csv"
    passes = 0

    def judged() -> Iterator[RunSummary]:
        nonlocal passes
        passes += 1
        found = together.judged(store)
        return written_to_table(found, table) if passes == 1 else found

    outcome = pooled(judged, liquid=known_liquid(liquid), air=air, simulated=simulated, rooms=rooms, look=together.look)
    files = [write_pool_page(outcome, out / "pool.html"), table, _write_json(outcome, out / "pool.json")]
    if args.parquet:
        files.append(write_parquet(table, out / "runs.parquet"))
    store.path.unlink()
    return outcome, files


def pool_settings(args: argparse.Namespace) -> PoolSettings:
    """The common settings that the options ask for."""
    plan: dict[str, Any] | None = None
    if args.plan:
        plan = plan_or_default(args.plan)[0].model_dump(mode="json")
    if args.settle and not args.from_traces:
        raise CommandError("--settle changes decisions; give --from-traces with it, or leave it out")
    settle = {}
    for text in args.settle:
        key, equals, value = text.partition("=")
        if not equals:
            raise CommandError(f"--settle {text!r} is not KEY=VALUE; expected for example tolerance=0.05K")
        settle[key.strip()] = value.strip()
    liquid = known_liquid(args.liquid) if args.liquid else None
    return PoolSettings(
        from_traces=args.from_traces,
        settle=settle,
        plan=plan,
        liquid=(liquid.name if liquid else "unknown") if args.liquid else None,
        air=args.air,
        sharing=read_sharing(args.shared) if args.shared else {},
    )


def _sorted_out(files: list[str], out: Path) -> tuple[list[Path], list[str]]:
    """Tables of runs, and files to analyse; folders stand for what is in them, our own results left out."""
    tables, sources = [], []
    for name in files:
        path = Path(name)
        if path.is_dir():
            inside = sorted(p for p in path.rglob("*") if p.suffix.lower() in SUFFIXES and p.is_file())
            found = [p for p in inside if out.resolve() not in p.resolve().parents]
            if not found:
                raise CommandError(f"the folder {name!r} holds no run file and no CSV table")
        else:
            found = [path]
        for one in found:
            if one.suffix.lower() == ".csv" and is_table(one):
                if not path.is_dir():  # within a folder it is somebody's result, not a run
                    tables.append(one)
            else:
                sources.append(str(one))
    return tables, sources


def _write_json(outcome: PoolOutcome, path: Path) -> Path:
    path.write_text(json.dumps(pool_document(outcome), indent=2, allow_nan=False), encoding="utf-8")
    return path


class _ProgressBar:
    """A bar on standard error where that is a terminal; called with each `Progress`."""

    def __init__(self, total: int, *, quiet: bool) -> None:
        self._shown = not quiet and sys.stderr.isatty() and total > 1
        self._bar = Bar(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            TaskProgressColumn(),
            TimeRemainingColumn(),
            console=Console(stderr=True),
            disable=not self._shown,
        )
        self._task = self._bar.add_task("runs", total=total or None)

    def __enter__(self) -> _ProgressBar:
        self._bar.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._bar.stop()

    def __call__(self, progress: Progress) -> None:
        self._bar.update(
            self._task,
            completed=progress.done,
            description=f"runs ({progress.from_cache} known, {progress.left_out} left out)",
        )
