"""`satline demo`: the main job on the embedded simulated bench, with no questions asked."""

from __future__ import annotations

import argparse

#: Run seconds per real second: a run of half an hour in about 25 s, and the driver still sees half an hour.
DEMO_SPEED = 80.0
SCENARIO = "calm"
SEED = 7


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("demo", help="the main job on a simulated bench: no device, no questions")
    parser.add_argument("--out", metavar="DIR", help="folder for the run file and the report (default: a new one here)")
    parser.add_argument("--no-window", action="store_true", help="stay in the terminal")
    parser.add_argument("--speed", type=float, default=DEMO_SPEED, metavar="N", help="run seconds per second")
    parser.set_defaults(module="demo")


def run(args: argparse.Namespace) -> int:
    from pathlib import Path

    from acquire.clocks import wall_clock_iso
    from acquire.commands.common import DEFAULT_FOLDER, CommandError, make_folder

    if not 1 <= args.speed <= 1000:
        raise CommandError(f"the speed is {args.speed:g}; expected 1 to 1000 run seconds per second")
    started = wall_clock_iso()[:19].replace(":", "").replace("T", "-")
    folder = Path(args.out) if args.out else Path(DEFAULT_FOLDER) / f"demo-{started}"
    make_folder(folder)
    path = _free_name(folder, "demo-run", ".h5")
    if not args.no_window and _can_show():
        from acquire.commands.bench import show
        from acquire.commands.window_services import MachineServices
        from acquire.window.start_state import StartChoice

        machine = MachineServices(out=str(path), seed=SEED, operated=True)
        return show(machine, StartChoice((f"sim:{SCENARIO}",), "", "", args.speed))
    return _in_terminal(path, args.speed)


def _can_show() -> bool:
    """Whether there is a display and a Qt to draw on it; where not, the terminal does."""
    import importlib.util

    from acquire.commands.bench import has_display

    return has_display() and importlib.util.find_spec("PyQt5") is not None


def _free_name(folder, stem: str, ending: str):
    """A name in the folder that is not taken yet."""
    number = 1
    while (path := folder / (f"{stem}{ending}" if number == 1 else f"{stem}-{number}{ending}")).exists():
        number += 1
    return path


def _in_terminal(path, speed: float) -> int:
    from acquire.commands.common import header_for, profile_text
    from acquire.commands.live import enthalpy_text
    from acquire.commands.watch import watch
    from acquire.live import order_for
    from acquire.recorder_setup import RecordedRun
    from acquire.rehearsal import plan_of
    from acquire.report.page import write_report
    from acquire.runfile.reader import read_run
    from sim.scenario import load_scenario

    scenario = load_scenario(SCENARIO)
    plan = plan_of(scenario)
    device = f"sim:{SCENARIO}"
    header = header_for(plan, "", {"device": profile_text(scenario.device.profile)}, {"device": device}, "")
    live = RecordedRun(order_for(path, [device], plan, header, speed=speed, seed=SEED, operated=True))
    trouble = watch(live).trouble
    snapshot = live.snapshot()
    if trouble:
        print(f"satline: {trouble}")
    record = read_run(path)
    report = write_report(record, path.with_suffix(".html"))
    used = sum(point.used for point in snapshot.points)
    if snapshot.result is None:
        print(f"no enthalpy came out of {used} points; the run file says why: {path}")
        return 1
    print(enthalpy_text(snapshot.result))
    print(f"{used} points, {sum(p.branch == 'return' for p in snapshot.points)} of them a return point")
    print(f"run file  {path}")
    print(f"report    {report}")
    return 0
