"""`satline report`: the report of a run, its worksheet, its figures; for a folder, the marker's page."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

LANGUAGES = ("en", "de")  # as `acquire.report.language` has them, which is too slow to import for a parser


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("report", help="the report of a run, or of every run in a folder")
    parser.add_argument("file", metavar="FILE", nargs="+", help="a run file, several to compare, or a folder of runs")
    parser.add_argument("--out", metavar="FILE.html", help="where to write (default: beside the run file)")
    parser.add_argument(
        "--worksheet", action="store_true", help="a sheet with blank fields, to compute the run by hand"
    )
    parser.add_argument("--answers", action="store_true", help="the same sheet filled in, for whoever marks it")
    parser.add_argument("--figures", metavar="DIR", help="write the figures as files of their own")
    parser.add_argument(
        "--as",
        dest="kinds",
        metavar="KINDS",
        default="svg,png,pdf",
        help="kinds of files (default: svg,png,pdf)",
    )
    parser.add_argument("--language", choices=LANGUAGES, default="en", help="of the page and figures (default: en)")
    parser.set_defaults(module="report")


def run(args: argparse.Namespace) -> int:
    from pathlib import Path

    from acquire.commands.common import CommandError
    from acquire.report.errors import ReportError

    paths = [Path(name) for name in args.file]
    for path in paths:
        if not path.exists():
            raise CommandError(f"there is no {str(path)!r}; expected a run file or a folder of run files")
    try:
        if len(paths) > 1:
            written = _several(paths, args)
        else:
            written = _folder(paths[0], args) if paths[0].is_dir() else _file(paths[0], args)
    except ReportError as error:
        raise CommandError(str(error)) from error
    for file in written:
        print(file)
    return 0


def _file(path: Path, args: argparse.Namespace) -> list[Path]:
    """What was asked for of one run; the report itself when nothing else was."""
    from pathlib import Path

    from acquire.commands.common import tell_if_moved
    from acquire.report.export import export_figures, kinds_of
    from acquire.report.page import write_report
    from acquire.report.worksheet import write_worksheet
    from acquire.runfile.reader import read_run

    tell_if_moved(path)
    record = read_run(path)
    if args.figures:
        return export_figures(record, Path(args.figures), kinds_of(args.kinds), args.language)
    if args.worksheet or args.answers:
        ending = "-answers.html" if args.answers else "-worksheet.html"
        out = Path(args.out) if args.out else path.with_name(path.stem + ending)
        return [write_worksheet(record, out, filled=args.answers, language=args.language)]
    return [write_report(record, Path(args.out) if args.out else path.with_suffix(".html"), args.language)]


def _several(paths: list[Path], args: argparse.Namespace) -> list[Path]:
    """The page that compares some runs."""
    from pathlib import Path

    from acquire.report.compare_page import write_compare_page
    from acquire.runfile.reader import read_run

    _only_for_one(args)
    records = [read_run(path) for path in paths]
    out = Path(args.out) if args.out else paths[0].with_name("compared.html")
    return [write_compare_page(records, out, args.language)]


def _only_for_one(args: argparse.Namespace) -> None:
    from acquire.commands.common import CommandError

    if args.worksheet or args.answers or args.figures:
        raise CommandError("--worksheet, --answers and --figures are for one run; name one run file")


def _folder(path: Path, args: argparse.Namespace) -> list[Path]:
    """The marker's page, with a report beside every run."""
    from pathlib import Path

    from acquire.report.marker import write_marker_page

    _only_for_one(args)
    return [write_marker_page(path, Path(args.out) if args.out else path / "runs.html", args.language)]
