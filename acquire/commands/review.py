"""`satline review`: the review window; several files are compared."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

    from acquire.runfile.opened import OpenRun


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("review", help="look at a stored run second by second, judge and edit its points")
    parser.add_argument("files", metavar="FILE", nargs="+", help="a run file; several are compared")
    parser.add_argument("--name", default="reviewer", metavar="NAME", help="who the edits are by")
    parser.set_defaults(module="review")


def run(args: argparse.Namespace) -> int:
    from pathlib import Path

    from acquire.commands.bench import require_display
    from acquire.commands.common import CommandError, tell_if_moved

    for name in args.files:
        if not Path(name).is_file():
            tell_if_moved(name)
            raise CommandError(f"there is no file {name!r}; expected a run file")
    require_display("use `satline report` for a page with all results, or `satline fit`")
    from acquire.window.application import choose_language, make_application, show_large
    from acquire.window.preferences import load_preferences

    application = make_application(["satline"])
    preferences = load_preferences()
    choose_language(application, preferences.language)
    look = preferences.look
    if len(args.files) == 1:
        window: Any = review_window(args.files[0], args.name, look)
    else:
        from acquire.runfile.reader import read_run
        from acquire.window.compare_window import CompareWindow

        window = CompareWindow([read_run(name) for name in args.files], look)
    show_large(window)
    return application.exec_()


def review_window(path: str, name: str, look=None):
    """The window on one run; its readings stay in the file, which stays open until the window is closed."""
    from acquire.commands.common import known_liquid
    from acquire.plan import stored_plan
    from acquire.review.editor import Review
    from acquire.runfile.opened import OpenRun
    from acquire.window.borrowed import file_text
    from acquire.window.review_window import ReviewWindow

    opened = OpenRun(path)
    liquid = known_liquid(stored_plan(opened.record.plan).liquid)
    review = Review(opened.record, liquid, reviewer=name, growing=opened.live)
    window = ReviewWindow(review, services_for(opened, liquid), look)

    told = ""

    def tell_if_moved(decided: bool = False) -> None:
        """Once when it is seen, and again behind what is said when the run was decided again."""
        nonlocal told
        words = file_text(opened.moved_words)
        if words and (decided or words != told) and not window.reason.entry.isVisible():
            told = words
            before = window.reason.words.text().replace(words, "").strip()
            window.reason.say(f"{before} {words}".strip())

    tell_if_moved()
    window.work.looked.connect(tell_if_moved)
    window.work.decided.connect(tell_if_moved)
    return window


def services_for(opened: OpenRun, liquid):
    """What the window asks of this machine."""

    from acquire.clocks import wall_clock_iso
    from acquire.plan import stored_plan
    from acquire.replay import with_settings
    from acquire.review.trial import Trial
    from acquire.runfile.editing import append_to_closed
    from acquire.runfile.reader import read_run
    from acquire.window.language import current_language
    from acquire.window.review_services import ReviewServices

    path = opened.path

    def store(entries, results) -> None:
        opened.close()  # some systems do not let a file be replaced while it is open
        try:
            append_to_closed(path, entries, results, sealed_at=wall_clock_iso())
        finally:
            opened.reopen()

    def report() -> Path:
        from acquire.report.page import write_report

        return write_report(read_run(path), path.with_suffix(".html"), current_language().code)

    def figures() -> list[Path]:
        from acquire.report.export import KINDS, export_figures

        folder = path.with_name(f"{path.stem}-figures")
        return export_figures(read_run(path), folder, KINDS, current_language().code)

    def decide_again(tolerance: float, mode: str):
        plan = with_settings(stored_plan(opened.record.plan), {"tolerance": f"{tolerance} K", "mode": mode})
        plan = plan.model_copy(update={"settle": plan.settle.model_copy(update={"automatic": True})})
        return Trial(opened.record, liquid, plan)

    return ReviewServices(
        store, report, figures, decide_again, Check(path), opened, lambda: opened.record, opened.close,
    )  # fmt: skip


class Check:
    """`satline verify` in a process of its own: it reads every byte, which takes long for a long run."""

    def __init__(self, path: Path) -> None:
        self.command = (sys.executable, "-m", "acquire.commands.main", "verify", str(path), "--json")

    @staticmethod
    def words(printed: str) -> str:
        import json

        from acquire.report import language as pages
        from acquire.report.provenance import STATES
        from acquire.window.borrowed import file_text
        from acquire.window.language import current_language, tr

        try:
            found = json.loads(printed)
        except ValueError:
            return tr("the file could not be checked")
        state = str(found["state"])
        with pages.spoken(current_language().code):
            state = pages.tr(STATES.get(state, state))
        return state + (f": {file_text(found['faults'][0]['text'])}" if found.get("faults") else "")
