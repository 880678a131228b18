"""`satline rehearse`: a run on a simulated bench, in the window or the terminal, with a debrief at the end."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("rehearse", help="a run on a simulated bench, with a debrief at the end")
    parser.add_argument("scenario", metavar="SCENARIO", help="a scenario (see `satline scenarios`) or its TOML file")
    parser.add_argument("--speed", type=float, default=1.0, metavar="N", help="run seconds per second")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another bench of the same kind")
    parser.add_argument("--out", metavar="FILE", help="the run file (default: a new one in satline-runs)")
    parser.add_argument("--no-window", action="store_true", help="rehearse in the terminal")
    parser.add_argument("--language", metavar="CODE", default="", help="language of the window, for example en or de")
    parser.set_defaults(module="rehearse")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.bench import has_display, require_display, show
    from acquire.commands.common import CommandError
    from acquire.commands.window_services import MachineServices
    from acquire.window.start_state import StartChoice
    from sim.scenario import load_scenario

    if not 1 <= args.speed <= 1000:
        raise CommandError(f"the speed is {args.speed:g}; expected 1 to 1000 run seconds per second")
    load_scenario(args.scenario)  # a wrong name is told before a window opens
    if args.no_window or not has_display():
        return _in_terminal(args)
    require_display()
    return show(
        MachineServices(out=args.out, seed=args.seed, debriefed=True),
        StartChoice((f"sim:{args.scenario}",), "", "", args.speed),
        args.language,
    )


def _in_terminal(args: argparse.Namespace) -> int:
    import sys

    from acquire.commands.common import header_for, new_run_path, profile_text
    from acquire.commands.keys import HELP, terminal_keys
    from acquire.commands.live import enthalpy_text
    from acquire.commands.watch import watch
    from acquire.live import order_for
    from acquire.recorder_setup import RecordedRun
    from acquire.rehearsal import plan_of
    from acquire.report.debrief_page import debrief_content, write_debrief
    from acquire.runfile.reader import read_run
    from sim.scenario import load_scenario

    scenario = load_scenario(args.scenario)
    plan = plan_of(scenario, automatic=False)
    path = new_run_path(args.out, f"rehearsal-{scenario.name}")
    device = f"sim:{args.scenario}"
    header = header_for(plan, "", {"device": profile_text(scenario.device.profile)}, {"device": device}, "")
    order = order_for(path, [device], plan, header, speed=args.speed, seed=args.seed, hands=True, debriefed=True)
    live = RecordedRun(order)
    with terminal_keys(lambda text: print(text, file=sys.stderr)) as keys:
        if keys is not None:
            keys.rehearsed = True
            print(f"{HELP} · > faster · < slower · p pause", file=sys.stderr)
        trouble = watch(live, keys).trouble
    if trouble:
        print(f"satline: {trouble}", file=sys.stderr)
        return 1
    record = read_run(path)
    page = write_debrief(record, path.with_name(f"{path.stem}-debrief.html"))
    if live.session.run.result is not None:
        print(enthalpy_text(dict(live.session.run.result)))
    for line in debrief_content(record).lines:
        print(line)
    print(f"run file  {path}")
    print(f"debrief   {page}")
    return 0
