"""`satline rehearse`: a run on a simulated bench, in the window or the terminal, with a debrief at the end."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

    from acquire.report.debrief_content import DebriefContent


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("rehearse", help="a run on a simulated bench, with a debrief at the end")
    parser.add_argument("scenario", metavar="SCENARIO", help="a scenario (see `satline scenarios`) or its TOML file")
    parser.add_argument("--speed", type=float, default=1.0, metavar="N", help="run seconds per second")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another bench of the same kind")
    parser.add_argument("--out", metavar="FILE", help="the run file (default: a new one in satline-runs)")
    parser.add_argument("--plan", metavar="FILE", help="a run plan for it, for example with a mark")
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
        MachineServices(out=args.out, seed=args.seed, debriefed=True, automatic=None if args.plan else False),
        StartChoice((f"sim:{args.scenario}",), "", args.plan or "", args.speed),
        args.language,
    )


def _in_terminal(args: argparse.Namespace) -> int:
    import sys

    from rich.console import Console

    from acquire.commands.common import header_for, new_run_path, plan_or_default, profile_text
    from acquire.commands.keys import HELP, terminal_keys
    from acquire.commands.live import enthalpy_text
    from acquire.commands.watch import watch
    from acquire.live import order_for
    from acquire.recorder_setup import RecordedRun
    from acquire.rehearsal import plan_of
    from acquire.report.debrief_content import debrief_content
    from acquire.report.debrief_page import write_debrief
    from acquire.runfile.reader import read_run
    from sim.scenario import load_scenario

    scenario = load_scenario(args.scenario)
    plan, text = plan_of(scenario, automatic=False), ""
    if args.plan:
        plan, text = plan_or_default(args.plan)
    path = new_run_path(args.out, f"rehearsal-{scenario.name}")
    device = f"sim:{args.scenario}"
    header = header_for(plan, text, {"device": profile_text(scenario.device.profile)}, {"device": device}, "")
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
    show_debrief(debrief_content(record), Console())
    print(f"run file  {path}")
    print(f"debrief   {page}")
    return 0


def show_debrief(content: DebriefContent, console: Console) -> None:
    """The debrief in a terminal: the same sentences and tables as in the window."""
    from rich.table import Table
    from rich.text import Text

    console.print()
    console.print(Text(content.title, style="bold"))
    console.print(Text(f"{content.subtitle} · {content.banner}", style="dim"))
    for line in content.lines:
        console.print(Text(f"• {line}"))
    results = Table(box=None, show_header=False, pad_edge=False)
    for name, value in content.results:
        results.add_row(Text(name, style="dim"), Text(value))
    console.print(results)
    for part in content.tables:
        console.print()
        console.print(Text(part.heading, style="bold"))
        if not part.rows:
            console.print(Text(part.empty))
            continue
        table = Table(box=None, header_style="dim", pad_edge=False)
        for header in part.headers:
            table.add_column(Text(header))
        for row in part.rows:
            table.add_row(*(Text(cell) for cell in row))
        console.print(table)
        if part.note:
            console.print(Text(part.note, style="dim"))
    console.print()
