"""`satline review`: the review window; several files are compared."""

from __future__ import annotations

import argparse
from typing import Any


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("review", help="look at a stored run second by second, judge and edit its points")
    parser.add_argument("files", metavar="FILE", nargs="+", help="a run file; several are compared")
    parser.add_argument("--name", default="reviewer", metavar="NAME", help="who the edits are by")
    parser.set_defaults(module="review")


def run(args: argparse.Namespace) -> int:
    from pathlib import Path

    from acquire.commands.bench import require_display
    from acquire.commands.common import CommandError

    for name in args.files:
        if not Path(name).is_file():
            raise CommandError(f"there is no file {name!r}; expected a run file")
    require_display()
    from acquire.runfile.reader import read_run

    records = [read_run(name) for name in args.files]
    from acquire.window.launch import make_application
    from acquire.window.preferences import load_preferences

    application = make_application(["satline"])
    look = load_preferences().look
    if len(records) == 1:
        window: Any = review_window(records[0], args.files[0], args.name, look)
    else:
        from acquire.window.compare_window import CompareWindow

        window = CompareWindow(records, look)
    window.showMaximized()
    return application.exec_()


def review_window(record, path: str, name: str, look=None):
    """The window on one run."""
    from acquire.commands.common import known_liquid
    from acquire.plan import stored_plan
    from acquire.review.editor import Review
    from acquire.window.review_window import ReviewWindow

    liquid = known_liquid(stored_plan(record.plan).liquid)
    return ReviewWindow(Review(record, liquid, reviewer=name), services_for(record, path, liquid), look, _badge(path))


def services_for(record, path: str, liquid):
    """What the window asks of this machine."""
    from pathlib import Path

    from acquire.clocks import wall_clock_iso
    from acquire.plan import stored_plan
    from acquire.replay import Replay, with_settings
    from acquire.report.page import write_report
    from acquire.runfile.editing import append_to_closed
    from acquire.runfile.reader import read_run
    from acquire.window.review_window import ReviewServices

    def store(entries, results) -> None:
        append_to_closed(path, entries, results, sealed_at=wall_clock_iso())

    def report() -> Path:
        return write_report(read_run(path), Path(path).with_suffix(".html"))

    def decide_again(tolerance: float, mode: str):
        plan = with_settings(stored_plan(record.plan), {"tolerance": f"{tolerance} K", "mode": mode})
        plan = plan.model_copy(update={"settle": plan.settle.model_copy(update={"automatic": True})})
        run = Replay(record, liquid, plan=plan, take_given=False).to()
        return run.result, sum(point.used for point in run.points)

    return ReviewServices(store, report, decide_again)


def _badge(path: str) -> str:
    from acquire.runfile.integrity import verify

    found = verify(path)
    return f"{found.state}" + (f": {found.faults[0].text}" if found.faults else "")
