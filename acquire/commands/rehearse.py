"""`satline rehearse`: a run on a simulated bench or on the traces of a stored run, with a debrief at the end."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

    from acquire.plan import RunPlan
    from acquire.report.debrief_content import DebriefContent


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("rehearse", help="a run on a simulated bench, with a debrief at the end")
    parser.add_argument(
        "scenario", metavar="SCENARIO", help="a scenario (see `satline scenarios`), its TOML file, or a run file"
    )
    parser.add_argument("--speed", type=float, default=1.0, metavar="N", help="run seconds per second")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another bench of the same kind")
    parser.add_argument("--out", metavar="FILE", help="the run file (default: a new one in satline-runs)")
    parser.add_argument("--plan", metavar="FILE", help="what shall differ from its own plan, such as a mark")
    parser.add_argument("--no-window", action="store_true", help="rehearse in the terminal")
    parser.add_argument("--language", metavar="CODE", default="", help="language of the window, for example en or de")
    parser.set_defaults(module="rehearse")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.bench import has_display, require_display, show
    from acquire.commands.common import CommandError
    from acquire.commands.window_services import MachineServices
    from acquire.window.start_state import StartChoice

    if not 1 <= args.speed <= 1000:
        raise CommandError(f"the speed is {args.speed:g}; expected 1 to 1000 run seconds per second")
    device = _device(args.scenario)
    plan, text = _plan(device, args.plan)  # what is wrong is told before a window opens
    if args.no_window or not has_display():
        return _in_terminal(args, device, plan, text)
    require_display()
    return show(
        MachineServices(out=args.out, seed=args.seed, automatic=False),
        StartChoice((device,), "", args.plan or "", args.speed),
        args.language,
    )


def _device(named: str) -> str:
    """The device that stands for a scenario or a run file."""
    from pathlib import Path

    from acquire.live import RECORDED, SIMULATED

    path = Path(named)
    if path.suffix.lower() == ".h5" or (path.is_file() and path.suffix.lower() != ".toml"):
        return f"{RECORDED}{path.resolve()}"
    return f"{SIMULATED}{named}"


def _plan(device: str, given: str | None) -> tuple[RunPlan, str]:
    """The bench's own plan, plateaus left to the person, with what a given plan says laid over it."""
    from acquire.commands.common import plan_or_default
    from acquire.rehearsal_plan import merged_plan, own_plan

    own = own_plan(device, automatic=False)
    if not given:
        return own, ""
    plan, text = plan_or_default(given)
    return merged_plan(own, plan), text


def _in_terminal(args: argparse.Namespace, device: str, plan: RunPlan, text: str) -> int:
    import sys
    from pathlib import Path

    from rich.console import Console

    from acquire.commands.common import header_for, new_run_path, profile_text
    from acquire.commands.keys import HELP, STORED_HELP, terminal_keys
    from acquire.commands.live import enthalpy_text
    from acquire.commands.watch import watch
    from acquire.live import RECORDED, order_for, profiles_of
    from acquire.recorder_setup import RecordedRun
    from acquire.report.debrief_content import debrief_content
    from acquire.report.debrief_page import write_debrief
    from acquire.runfile.reader import read_run

    path = new_run_path(args.out, f"rehearsal-{Path(args.scenario).stem}")
    profiles = {name: profile_text(profile) for name, profile in profiles_of([device]).items()}
    header = header_for(plan, text, profiles, {"device": device}, "")
    order = order_for(path, [device], plan, header, speed=args.speed, seed=args.seed, hands=True, debriefed=True)
    live = RecordedRun(order)
    with terminal_keys(lambda text: print(text, file=sys.stderr)) as keys:
        if keys is not None:
            keys.rehearsed = True
            print(
                f"{STORED_HELP if device.startswith(RECORDED) else HELP} · > faster · < slower · p pause",
                file=sys.stderr,
            )
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
