"""`satline verify`: is a run file intact, altered or incomplete; with `--repair`, mend a copy of it."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("verify", help="is a run file intact and complete; mend a copy after a crash")
    parser.add_argument("file", metavar="FILE", help="a run file")
    parser.add_argument("--repair", action="store_true", help="write a mended copy beside it; FILE is not touched")
    parser.add_argument("--json", action="store_true", help="print what was found as JSON")
    parser.set_defaults(module="verify")


def run(args: argparse.Namespace) -> int:
    """Status 0 for a file that is intact, or of which a mended copy was made; 1 for anything else."""
    from acquire.commands.common import tell_if_moved
    from acquire.commands.json_out import print_json
    from acquire.runfile.apart import verify_apart
    from acquire.runfile.errors import NotARunFileError

    try:
        report = verify_apart(args.file)
    except NotARunFileError:
        # the raw journal may be all that there is
        if not (args.repair and _has_raw_journal(args.file)):
            tell_if_moved(args.file)
            raise
        return _repair_lost(args)
    document = report.as_dict()
    mended = _mended(args, report) if args.repair else None
    if mended is not None:
        document["mended"] = mended.as_dict()
    if args.json:
        print_json(document)
    else:
        _tell(report)
        if mended is not None:
            print(f"\nThe mended copy is {mended.path}:")
            _tell(mended, advise=False)
            _tell_what_is_left(args.file)
    return 0 if report.intact or mended is not None else 1


def _has_raw_journal(file: str) -> bool:
    from acquire.raw_journal import raw_journal_path

    return raw_journal_path(file).exists()


def _tell_what_is_left(file: str) -> None:
    """A killed program leaves files behind; which of them are still worth something."""
    from pathlib import Path

    from acquire.raw_journal import raw_journal_path
    from acquire.recorder_room import reserve_path

    kept = [path for path in (Path(file), raw_journal_path(file)) if path.exists()]
    print(f"  Not touched: {', '.join(map(str, kept))}; keep them until you have looked at the copy.")
    if reserve_path(file).exists():
        print(f"  {reserve_path(file)} only kept room on the disk free; delete it.")


def _repair_lost(args: argparse.Namespace) -> int:
    from acquire.clocks import wall_clock_iso
    from acquire.commands.json_out import print_json
    from acquire.runfile.apart import repair_apart, verify_apart

    mended = verify_apart(repair_apart(args.file, now_iso=wall_clock_iso()))
    if args.json:
        print_json({"path": args.file, "state": "unreadable", "mended": mended.as_dict()})
    else:
        print(f"{args.file} is not there any more or empty; {mended.path} was made from the raw journal:")
        _tell(mended, advise=False)
    return 0


def _mended(args: argparse.Namespace, report):
    """The report on the mended copy; None where there was nothing to mend."""
    from acquire.clocks import wall_clock_iso
    from acquire.runfile.apart import repair_apart, verify_apart
    from acquire.runfile.checks import ALTERED

    if report.intact or report.state == ALTERED:
        return None
    return verify_apart(repair_apart(args.file, now_iso=wall_clock_iso()))


WORDS = {
    "intact": "intact: complete, and nothing was changed since it was sealed",
    "altered": "altered: it was changed after it was written",
    "damaged": "damaged: a part of it cannot be read",
    "incomplete": "incomplete",
    "unreadable": "unreadable",
    "being recorded": "being recorded at the moment by another program",
}
SHOWN = 20  # faults listed one by one


def _tell(report, *, advise: bool = True) -> None:
    print(f"{report.path} is {WORDS[report.state]}.")
    for fault in report.faults[:SHOWN]:
        print(f"  - {fault.text}")
    if len(report.faults) > SHOWN:
        print(f"  - and {len(report.faults) - SHOWN} more (--json lists them all)")
    if report.readings:
        counts = ", ".join(f"{count} {channel}" for channel, count in report.readings.items())
        print(f"  readings: {counts}; journal entries: {report.entries}")
    if report.content:
        print(f"  sealed {report.sealed_at}, SHA-256 {report.content}")
        print("  The seal shows accidents and casual edits, not a forger who seals again.")
    if advise and report.advice:
        print(f"  {report.advice}")
