"""`satline fit`: the fit on a run file, or on a table of points measured elsewhere."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

    from acquire.points_csv import PointsTable
    from acquire.record import Baseline

AIR_HELP = (
    "none: the pressures are of pure vapour (evacuated cell); "
    "'sealed=21.4 degC,100.9 kPa': air shut in at that temperature and pressure; "
    "corrected: the air was subtracted already.  A run file knows its own."
)


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("fit", help="the enthalpy of vaporisation from a run file or a table of points")
    parser.add_argument(
        "file",
        metavar="FILE",
        nargs="?",
        help="a run file (.h5), or a CSV of points: temperature/degC,pressure/kPa; without it, a window to type points",
    )
    parser.add_argument("--liquid", metavar="NAME", help="the liquid (see `satline liquids`), or 'unknown'")
    parser.add_argument("--air", metavar="MODE", help=AIR_HELP)
    parser.add_argument("--plan", metavar="FILE", help="a run plan with cell, room and sensor uncertainties, for a CSV")
    parser.add_argument(
        "--baselines", metavar="FILE.csv", help="for a CSV, the baselines that `satline export` wrote; needs --plan"
    )
    parser.add_argument("--report", metavar="FILE.html", help="write a report of the fit of a CSV too")
    parser.add_argument("--json", action="store_true", help="print the whole fit as JSON in SI")
    parser.set_defaults(module="fit")


def run(args: argparse.Namespace) -> int:
    from pathlib import Path

    from acquire.commands.common import CommandError, tell_if_moved
    from acquire.commands.json_out import print_json

    if args.file is None:
        return _by_hand(args)
    path = Path(args.file)
    if not path.is_file():
        tell_if_moved(args.file)
        raise CommandError(f"there is no file {args.file!r}; expected a run file or a CSV of points")
    fit = _fit_run(path, args) if is_hdf5(path) else _fit_table(path, args)
    if args.json:
        print_json(fit)
    else:
        _print(fit)
    return 0


def is_hdf5(path) -> bool:
    """By its first bytes, whatever its name."""
    with path.open("rb") as file:
        return file.read(8) == b"\x89HDF\r\n\x1a\n"


def _fit_run(path, args: argparse.Namespace) -> dict[str, Any]:
    """The fit of a run file's points, with the inputs it holds."""
    from acquire.commands.common import CommandError, known_liquid, plan_or_default, tell_if_moved
    from acquire.fitting import fit_points
    from acquire.plan import stored_plan
    from acquire.runfile.reader import read_run
    from acquire.trace_findings import stored_trace_findings

    if args.baselines:
        raise CommandError("--baselines is for tables of points; a run file has its own")
    if args.report:
        raise CommandError("--report is for tables of points; for a run file use `satline report FILE`")
    tell_if_moved(path)
    record = read_run(path)
    plan = plan_or_default(args.plan)[0] if args.plan else stored_plan(record.plan)
    if args.air is not None:
        mode = args.air.partition("=")[0]
        if args.air not in ("sealed", "none", "corrected"):
            raise CommandError(f"--air {args.air!r} does not fit a run file; expected sealed, none or corrected")
        plan = plan.model_copy(update={"air": plan.air.model_copy(update={"mode": mode})})
    liquid = known_liquid(args.liquid or plan.liquid)
    found, leak = stored_trace_findings(record, plan, liquid, record.points)
    outcome = fit_points(plan, liquid, record.baselines, record.points, run_findings=found, trace_leak=leak)
    if outcome.document is None:
        raise CommandError(outcome.refused)
    return outcome.document


def _fit_table(path, args: argparse.Namespace) -> dict[str, Any]:
    """The fit of a table of points; what the table cannot know is asked for, never guessed."""
    from acquire.commands.common import CommandError
    from acquire.points_csv import read_baselines, read_points

    points = read_points(path)
    if args.baselines and not args.plan:
        raise CommandError("--baselines needs the plan of the same run; give --plan FILE")
    baselines = read_baselines(args.baselines) if args.baselines else []
    if args.air is None and not args.baselines:
        raise CommandError(f"a table does not say how its air was treated; give --air. {AIR_HELP}")
    if args.liquid is None and args.plan is None:
        raise CommandError("a table does not say what was measured; give --liquid NAME, or --liquid unknown")
    document = fit_table(points, args.air, args.liquid, args.plan, baselines)
    if args.report:
        from acquire.report.page import write_points_report

        print(f"report {write_points_report(document, points, args.report, source=path.name)}")
    return document


def fit_table(
    points: PointsTable,
    air: str | None,
    liquid: str | None,
    plan_file: str | None = None,
    baselines: Sequence[Baseline] = (),
) -> dict[str, Any]:
    """The document of the fit of these points; `air` as after --air, or None: as plan and baselines say."""
    from acquire.commands.common import known_liquid, plan_or_default
    from acquire.finding_words import with_words
    from acquire.fitting import cell_setup, sealed_baseline, sensor_priors
    from analysis.enthalpy import fit_enthalpy
    from analysis.fit_input import SensorPriors

    plan, _ = plan_or_default(plan_file)
    mode, baseline = air_of(air) if air else (plan.air.mode, sealed_baseline(baselines))
    fit = fit_enthalpy(
        points,
        baseline=baseline,
        setup=cell_setup(plan, baselines),
        # A table that states its uncertainties has said all; else its sensors are taken to be those of the plan.
        sensors=SensorPriors.none() if points.stated and not plan_file else sensor_priors(plan),
        liquid=known_liquid(liquid or plan.liquid),
        air=mode,
    )
    return with_words(fit.as_dict())


def _by_hand(args: argparse.Namespace) -> int:
    """The window to type or paste points in."""
    from acquire.commands.bench import require_display
    from acquire.commands.common import CommandError

    if args.json or args.report:
        raise CommandError("there is no table of points; name the file, or leave --json and --report out for a window")
    require_display("name a run file or a CSV of points")
    from acquire.window.application import choose_language, make_application
    from acquire.window.preferences import load_preferences

    application = make_application(["satline"])
    choose_language(application, load_preferences().language)
    window = points_window(args.liquid, args.plan)
    window.show()
    return application.exec_()


def points_window(liquid: str | None = None, plan: str | None = None):
    """The window, with the fit and the report of a table behind it."""
    from pathlib import Path

    from acquire.commands.common import CommandError
    from acquire.points_csv import PointsCsvError, parse_points
    from acquire.report.errors import ReportError
    from acquire.window.borrowed import error_text, file_text
    from acquire.window.language import current_language
    from acquire.window.points_entry import PointsServices, PointsWindow
    from acquire.window.points_entry_state import EntryError
    from acquire.window.preferences import load_preferences
    from analysis.refusal import AnalysisError
    from drivers.units import UnitError

    def fit(text: str, air: str, name: str):
        try:
            points = parse_points(text)
            return points, fit_table(points, air, name, plan)
        except PointsCsvError as error:
            row = error.line - 1  # of the table in the window: the first line has the names
            raise EntryError(file_text(f"Row {row}: {error.found}; expected {error.expected}")) from error
        except (AnalysisError, CommandError, UnitError) as error:
            raise EntryError(error_text(error)) from error

    def report(points, document, path: str) -> Path:
        from acquire.report.page import write_points_report
        from acquire.report.points_page import BY_HAND

        try:
            code = current_language().code
            return write_points_report(document, points, path, source=BY_HAND, language=code)
        except ReportError as error:
            raise EntryError(error_text(error)) from error

    def save(text: str, path: str) -> Path:
        try:
            Path(path).write_text(text, encoding="utf-8")
        except OSError as error:
            told = f"{path} cannot be written: {error.strerror or error}; choose another folder"
            raise EntryError(file_text(told)) from error
        return Path(path)

    return PointsWindow(PointsServices(fit, report, save), load_preferences().look, liquid or "")


def air_of(text: str):
    """Mode and sealed baseline from the text of --air.

    Raises
    ------
    CommandError
        Another form.
    """
    from acquire.commands.common import CommandError
    from analysis.trapped_air import SealedBaseline
    from drivers.units import parse_quantity

    mode, equals, values = text.partition("=")
    if mode in ("none", "corrected") and not equals:
        return mode, None
    parts = [part.strip() for part in values.split(",")]
    if mode == "sealed" and len(parts) == 2:
        found = {quantity: value for value, quantity in map(parse_quantity, parts)}
        if set(found) == {"temperature", "pressure"}:
            return mode, SealedBaseline(found["temperature"], found["pressure"])
    raise CommandError(f"--air is {text!r}; expected one of: {AIR_HELP}")


def _print(fit: dict[str, Any]) -> None:
    from acquire.commands.live import enthalpy_text, line_text

    print(enthalpy_text(fit))
    print(line_text(fit))
    print("where the uncertainty comes from:")
    for part in fit["budget"][:6]:
        print(f"  {100 * part['share']:3.0f} %  {part['source']}")
    for finding in fit["findings"]:
        print(f"{finding['severity']}: {finding['text']} {finding['advice']}")
