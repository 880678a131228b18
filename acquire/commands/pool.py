"""`satline pool`: many runs together."""

from __future__ import annotations

import argparse

from acquire.commands.report import LANGUAGES


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser(
        "pool", help="many runs together: consensus, precision of the method, benches that stand out"
    )
    parser.add_argument(
        "files",
        nargs="*",
        metavar="FILE",
        help="run files, CSV tables of points, folders of them, or a runs.csv of an earlier pooling",
    )
    parser.add_argument(
        "--out", metavar="DIR", help="where the results go (default: satline-pool here; with --window in the folder)"
    )
    parser.add_argument("--liquid", metavar="NAME", help="pool this liquid (default: the one most runs have)")
    parser.add_argument("--air", metavar="MODE", help="how the air of CSV tables was treated, as for `satline fit`")
    parser.add_argument("--plan", metavar="FILE", help="a run plan whose uncertainties are applied to all runs")
    parser.add_argument(
        "--from-traces", action="store_true", help="decide every run again on its traces, answers of people left out"
    )
    parser.add_argument(
        "--settle", action="append", default=[], metavar="KEY=VALUE", help="a settling setting, with --from-traces"
    )
    parser.add_argument(
        "--shared", metavar="FILE.csv", help="who shares what: bench,pressure sensor,thermometer,cell,room air"
    )
    parser.add_argument(
        "--one-room", action="store_true", help="all benches stand in one room: compare their barometers"
    )
    parser.add_argument("--workers", type=_count, metavar="N", help="processes (default: one for each core; 0: none)")
    parser.add_argument("--cluster", metavar="ADDRESS", help="a dask scheduler, for example tcp://host:8786")
    parser.add_argument("--parquet", action="store_true", help="write the table of runs as Parquet too (needs pyarrow)")
    parser.add_argument("--language", choices=LANGUAGES, default="en", help="of the page (default: en)")
    parser.add_argument("--window", action="store_true", help="show it in a window, with a link to every run")
    parser.add_argument("--json", action="store_true", help="print the outcome as JSON in SI")
    parser.set_defaults(module="pool")


def _count(text: str) -> int:
    value = int(text)
    if not 0 <= value <= 1024:
        raise argparse.ArgumentTypeError(f"{text} workers; expected 0 to 1024")
    return value


def run(args: argparse.Namespace) -> int:
    from acquire.commands.common import CommandError
    from acquire.commands.json_out import print_json
    from acquire.commands.pool_run import pool_files, pool_settings
    from acquire.pool.document import pool_document
    from acquire.pool.settings import PoolError

    if not args.files and not args.window:
        raise CommandError("no run file was given; give run files or a folder of them, or --window to choose one")
    try:
        if args.window:
            from acquire.commands.pool_window import show_pool_window

            return show_pool_window(args, pool_settings(args))
        result = pool_files(args)
    except PoolError as error:
        raise CommandError(str(error)) from error
    if args.json:
        print_json(pool_document(result.outcome))
        return 0
    _print(result.outcome, result.files)
    return 0


def _print(outcome, files) -> None:
    from acquire.report.text import quantity

    found = outcome.consensus
    low, high = (x / 1e3 for x in found.interval_95)
    left = sum(count for _, count in outcome.left_out)
    benches = len(outcome.benches)
    print(f"{outcome.runs} runs on {benches} bench{'es' * (benches != 1)}, {left} file{'s' * (left != 1)} left out")
    print(
        f"ΔvapH(298.15 K) = {quantity(found.value, found.standard_uncertainty, 'kJ/mol')}, "
        f"95 % interval {low:.2f} to {high:.2f} kJ/mol"
    )
    print(
        f"weighed by what runs do not share; {found.common / 1e3:.2f} kJ/mol of the uncertainty would stay after "
        "endless runs on these benches"
    )
    print(f"a plain average would say {quantity(outcome.average, outcome.average_u, 'kJ/mol')}")
    if outcome.precision:
        r, big = outcome.precision.repeatability / 1e3, outcome.precision.reproducibility / 1e3
        print(f"repeatability {r:.2f} kJ/mol, reproducibility {big:.2f} kJ/mol (standard deviations)")
    for one in outcome.outlying:
        print(f"stands out: {one.text} {one.advice}")
    for reason, count in outcome.left_out[:5]:
        print(f"left out: {count} x {reason}")
    for path in files:
        print(f"wrote {path}")
