"""`satline rehearse`: the bench window on a simulated bench; the person's acts are carried out there."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("rehearse", help="the bench window on a simulated bench")
    parser.add_argument("scenario", metavar="SCENARIO", help="a scenario (see `satline scenarios`) or its TOML file")
    parser.add_argument("--speed", type=float, default=1.0, metavar="N", help="run seconds per second")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another bench of the same kind")
    parser.add_argument("--out", metavar="FILE", help="the run file (default: a new one in satline-runs)")
    parser.add_argument("--language", metavar="CODE", default="", help="language of the window, for example en or de")
    parser.set_defaults(module="rehearse")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.bench import require_display, show
    from acquire.commands.common import CommandError
    from acquire.commands.window_services import MachineServices
    from acquire.window.start_state import StartChoice
    from sim.scenario import load_scenario

    if not 1 <= args.speed <= 1000:
        raise CommandError(f"the speed is {args.speed:g}; expected 1 to 1000 run seconds per second")
    load_scenario(args.scenario)  # a wrong name is told before a window opens
    require_display()
    return show(
        MachineServices(out=args.out, seed=args.seed), StartChoice((f"sim:{args.scenario}",), "", "", args.speed),
        args.language,
    )  # fmt: skip
