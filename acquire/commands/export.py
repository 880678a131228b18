"""`satline export`: a run as tables and documents for other programs."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

FORMS = ("csv", "json", "xlsx-friendly-csv", "hdf5")


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("export", help="tables of a run for other programs")
    parser.add_argument("file", metavar="FILE", help="a run file")
    parser.add_argument(
        "--to",
        choices=FORMS,
        default="csv",
        help="csv (default); xlsx-friendly-csv: the same as spreadsheets like it; json: one document; "
        "hdf5: plain columns without journal and seal",
    )
    parser.add_argument(
        "--out", metavar="PLACE", help="folder for tables, file for json and hdf5 (default: beside the run file)"
    )
    parser.add_argument(
        "--decimal", choices=("point", "comma"), default="point", help="decimal sign of xlsx-friendly-csv"
    )
    parser.set_defaults(module="export")


def run(args: argparse.Namespace) -> int:
    from pathlib import Path

    from acquire.commands.common import CommandError, tell_if_moved
    from acquire.runfile.export import Dialect, export_csv, export_hdf5, export_json

    path = Path(args.file)
    if args.decimal == "comma" and args.to != "xlsx-friendly-csv":
        raise CommandError(f"--decimal comma goes with --to xlsx-friendly-csv; found --to {args.to}")
    tell_if_moved(path)
    if args.to.endswith("csv"):
        dialect = Dialect(friendly=args.to != "csv", decimal_comma=args.decimal == "comma")
        written = export_csv(path, args.out or path.parent, dialect)
    elif args.to == "json":
        written = [export_json(path, args.out or path.with_suffix(".json"))]
    else:
        written = [export_hdf5(path, args.out or path.with_name(f"{path.stem}-plain.h5"))]
    for file in written:
        print(file)
    if args.to.endswith("csv"):
        print(_how_to_fit(written), file=sys.stderr)
    return 0


def _how_to_fit(written: Sequence[Path]) -> str:
    """The command that fits the exported points as the run's own were fitted."""
    points, plan, baselines = (
        next(str(path) for path in written if path.name.endswith(end))
        for end in ("-points.csv", "-plan.json", "-baselines.csv")
    )
    return f"fit these points as the run itself with: satline fit {points} --plan {plan} --baselines {baselines}"
