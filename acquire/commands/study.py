"""`satline study`: what a bench gains from better sensors, more points, longer waiting."""

from __future__ import annotations

import argparse

from acquire.commands.report import LANGUAGES


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("study", help="simulate thousands of runs over a grid of choices and compare them")
    parser.add_argument("plan", nargs="?", metavar="PLAN", help="a study plan (TOML); see --example")
    parser.add_argument("--example", action="store_true", help="print a study plan to start from")
    parser.add_argument("--out", default="satline-study", metavar="DIR", help="where results go (default: %(default)s)")
    parser.add_argument("--runs", type=int, metavar="N", help="runs for each combination, in place of the plan's")
    parser.add_argument("--workers", type=int, metavar="N", help="processes (default: one for each core; 0: none)")
    parser.add_argument("--cluster", metavar="ADDRESS", help="a dask scheduler, for example tcp://host:8786")
    parser.add_argument("--language", choices=LANGUAGES, default="en", help="of the page (default: en)")
    parser.add_argument("--json", action="store_true", help="print the outcome as JSON in SI")
    parser.set_defaults(module="study")


def run(args: argparse.Namespace) -> int:
    from pathlib import Path

    from acquire.commands.common import CommandError, make_folder
    from acquire.commands.json_out import print_json
    from acquire.pool.settings import PoolError
    from acquire.pool.study import run_study, study_document, write_study
    from acquire.pool.study_plan import EXAMPLE, MOST_RUNS, load_study
    from acquire.pool.workers import open_workers

    if args.example:
        print(EXAMPLE, end="")
        return 0
    if args.plan is None:
        raise CommandError("no study plan was given; print one to start from with: satline study --example")
    path = Path(args.plan)
    if not path.is_file():
        raise CommandError(
            f"there is no study plan {args.plan!r}; print one to start from with: satline study --example"
        )
    plan = load_study(path)
    if args.runs is not None:
        if not 20 <= args.runs <= MOST_RUNS:
            raise CommandError(f"--runs {args.runs}; expected 20 to {MOST_RUNS}")
        plan = plan.model_copy(update={"runs": args.runs})
    out = Path(args.out)
    make_folder(out)
    try:
        workers = open_workers(args.workers, args.cluster)
    except PoolError as error:
        raise CommandError(str(error)) from error
    try:
        outcome = run_study(plan, workers, _shower(args.json))
    finally:
        workers.close()
    files = write_study(outcome, out, args.language)
    if args.json:
        print_json(study_document(outcome))
        return 0
    _print(outcome, files)
    return 0


def _shower(quiet: bool):
    """Shows progress on standard error where that is a terminal."""
    import sys

    if quiet or not sys.stderr.isatty():
        return None

    def show(done: int, total: int) -> None:
        print(f"\r{done} of {total} runs", end="\n" if done == total else "", file=sys.stderr, flush=True)

    return show


def _print(outcome, files) -> None:
    from acquire.pool.study_page import NAMES, choice_text

    for gain in outcome.gains:
        sound = f" ({100 * (gain.sound_ratio - 1):+.0f} % where nothing happened)" if gain.sound_ratio > 0 else ""
        print(
            f"{NAMES[gain.factor]} {choice_text(gain.factor, gain.choice)}: error "
            f"{100 * (gain.rms_ratio - 1):+.0f} %{sound}, "
            f"u {gain.mean_u / 1e3:.2f} kJ/mol, covers {100 * gain.coverage:.1f} %, {gain.duration / 60:.0f} min"
        )
    for path in files:
        print(f"wrote {path}")
