"""`satline replay`: the decisions again on the stored readings, under the same or other settings."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser(
        "replay", help="decide again on the stored readings, under the same or other settings"
    )
    parser.add_argument("file", metavar="FILE", help="a run file")
    parser.add_argument(
        "--settle",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="another settling setting, for example tolerance=0.05K or mode=raw; answers of people are then left out",
    )
    parser.add_argument("--json", action="store_true", help="print JSON in SI")
    parser.set_defaults(module="replay")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.common import known_liquid, tell_if_moved
    from acquire.commands.json_out import print_json
    from acquire.plan import stored_plan
    from acquire.replay import Replay, differences, with_settings
    from acquire.runfile.reader import read_run

    changes = dict(_pair(text) for text in args.settle)
    tell_if_moved(args.file)
    record = read_run(args.file)
    plan = stored_plan(record.plan)
    if changes:
        plan = with_settings(plan, changes)
        plan = plan.model_copy(update={"settle": plan.settle.model_copy(update={"automatic": True})})
    replay = Replay(record, known_liquid(plan.liquid), plan=plan, take_given=not changes)
    again = replay.to()
    found = differences(record, again)
    if args.json:
        print_json(
            {
                "same": not found,
                "differences": len(found),
                "points": again.points,
                "stored_points": record.points,
                "result": again.result,
                "stored_result": record.results[-1] if record.results else None,
                "refused": replay.refused,
            }
        )
        return 0
    _print(record, again, found, bool(changes), replay.refused)
    return 0


def _pair(text: str) -> tuple[str, str]:
    from acquire.commands.common import CommandError

    key, equals, value = text.partition("=")
    if not equals or not key.strip() or not value.strip():
        raise CommandError(f"--settle {text!r} is not KEY=VALUE; expected for example tolerance=0.05K")
    return key.strip(), value.strip()


def _print(record, again, found, changed: bool, refused: list[str]) -> None:
    from acquire.commands.live import enthalpy_text, entry_text

    if not changed:
        same = "the same journal, entry by entry" if not found else f"{len(found)} journal entries differ"
        print(f"replayed {len(again.blocks)} s of readings: {same}")
        for difference in found[:5]:
            for label, entry in (("stored", difference.stored), ("replayed", difference.replayed)):
                print(f"  {difference.number} {label}: {entry_text(entry) if entry else '—'}")
    for label, points, result in (
        ("stored", record.points, record.results[-1] if record.results else None),
        ("replayed", again.points, again.result),
    ):
        outcome = enthalpy_text(result) if result else "no result"
        print(f"{label + ':':9} {sum(p.used for p in points)} points, {outcome}")
    for text in refused:
        print(f"not possible under these settings: {text}")
