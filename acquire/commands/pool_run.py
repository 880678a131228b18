"""The work behind `satline pool`: files in, progress on standard error, results in a folder."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TaskProgressColumn, TextColumn, TimeRemainingColumn
from rich.progress import Progress as Bar

from acquire.commands.common import CommandError, known_liquid, make_folder, plan_or_default
from acquire.pool.campaign import Progress
from acquire.pool.job import PoolOrder, PoolResult, pool
from acquire.pool.settings import PoolSettings, read_sharing
from acquire.pool.workers import open_workers

RESULTS = "satline-pool"


def pool_files(args: argparse.Namespace) -> PoolResult:
    """Analyse, pool and write everything that `args` ask for."""
    out = Path(args.out or RESULTS)
    order = PoolOrder(tuple(args.files), out, pool_settings(args), args.one_room, args.parquet, args.language)
    make_folder(order.out)
    workers = open_workers(args.workers, args.cluster)
    try:
        with _ProgressBar(quiet=args.json) as show:
            return pool(order, workers, show)
    finally:
        workers.close()


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


class _ProgressBar:
    """A bar on standard error where that is a terminal; called with each `Progress`."""

    def __init__(self, *, quiet: bool) -> None:
        self._bar = Bar(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            TaskProgressColumn(),
            TimeRemainingColumn(),
            console=Console(stderr=True),
            disable=quiet or not sys.stderr.isatty(),
        )
        self._task = self._bar.add_task("runs", total=None)

    def __enter__(self) -> _ProgressBar:
        self._bar.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._bar.stop()

    def __call__(self, progress: Progress) -> None:
        self._bar.update(
            self._task,
            completed=progress.done,
            total=progress.total,
            description=f"runs ({progress.from_cache} known, {progress.left_out} left out)",
        )
