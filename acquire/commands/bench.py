"""`satline bench`: the bench window, on the devices named or from its start page."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from acquire.commands.window_services import MachineServices


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("bench", help="the bench window")
    parser.add_argument(
        "--device",
        action="append",
        metavar="PROFILE@PORT",
        help="where readings come from; twice for two boxes; sim:SCENARIO for a simulated one; "
        "without it the start page asks",
    )
    parser.add_argument("--plan", metavar="FILE", help="the run plan (TOML)")
    parser.add_argument("--liquid", metavar="NAME", default="", help="the liquid, where no plan names it")
    parser.add_argument("--out", metavar="FILE", help="the run file (default: a new one in satline-runs)")
    parser.add_argument("--rejoin", metavar="FILE", help="show a run again that is being recorded into this file")
    parser.add_argument("--speed", type=float, default=1.0, metavar="N", help="simulated devices only: run faster")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="simulated devices only")
    parser.add_argument("--language", metavar="CODE", default="", help="language of the window, for example en or de")
    parser.set_defaults(module="bench")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.window_services import MachineServices
    from acquire.window.start_state import StartChoice, is_simulated

    devices = tuple(args.device or ())
    require_display()
    choice = None
    if args.rejoin:
        choice = StartChoice((), "", rejoin=args.rejoin)
    elif devices:
        if args.speed != 1.0 and not all(is_simulated(device) for device in devices):
            from acquire.commands.common import CommandError

            raise CommandError("a real device cannot be run faster; leave --speed out")
        choice = StartChoice(devices, args.liquid, args.plan or "", args.speed)
    return show(MachineServices(out=args.out, seed=args.seed), choice, args.language)


def require_display(instead: str = "use `satline log` in the terminal") -> None:
    """Refuse where no window can be shown, and say what does the same without one.

    Raises
    ------
    CommandError
    """
    from acquire.commands.common import CommandError
    from acquire.window.availability import window_trouble

    if trouble := window_trouble(instead):
        raise CommandError(trouble)


def has_display() -> bool:
    """Whether a window could be shown."""
    from acquire.window import availability

    return availability.has_display()


def services() -> MachineServices:
    """The machine, with nothing chosen beforehand."""
    from acquire.commands.window_services import MachineServices

    return MachineServices()


def show(machine: MachineServices, choice, language: str = "") -> int:
    """Show the window until it is left, then say in the terminal where everything is."""
    import sys

    from acquire.commands.common import CommandError
    from acquire.window.language import available_languages
    from acquire.window.launch import run_window

    if language and language not in available_languages():
        raise CommandError(
            f"the language is {language!r}; expected one of {', '.join(available_languages())}. "
            "Leave --language out to go by the language of the machine."
        )

    program = run_window(machine, choice, language)
    status = program.end()
    for text in filter(None, (program.refused, program.finished.trouble if program.finished else "")):
        print(f"satline: {text}", file=sys.stderr)
    if program.finished is not None and program.finished.path:
        print(f"run file  {program.finished.path}")
        if program.finished.report:
            print(f"report    {program.finished.report}")
    return status
