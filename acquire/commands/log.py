"""`satline log`: a run without a window, on any device, over ssh or on a single-board computer."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("log", help="record a run without a window")
    parser.add_argument(
        "--device",
        action="append",
        metavar="PROFILE@PORT",
        help="where readings come from; twice for two boxes; sim:SCENARIO for a simulated one",
    )
    parser.add_argument("--plan", metavar="FILE", help="the run plan (TOML)")
    parser.add_argument("--out", metavar="FILE", help="the run file (default: a new one in satline-runs)")
    parser.add_argument("--auto", action="store_true", help="begin at once and take each plateau as it is ready")
    parser.add_argument("--speed", type=float, default=1.0, metavar="N", help="simulated devices only: run faster")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="simulated devices only")
    parser.add_argument(
        "--give-up-after",
        type=float,
        default=60.0,
        metavar="SECONDS",
        help="end the run when a lost device stays away this long (default 60)",
    )
    parser.set_defaults(module="log")


def run(args: argparse.Namespace) -> int:
    import sys
    from pathlib import Path

    from acquire.commands.common import (
        CommandError,
        header_for,
        known_liquid,
        new_run_path,
        profile_text,
        warn_of_folder,
    )
    from acquire.commands.keys import HELP, terminal_keys
    from acquire.commands.watch import watch
    from acquire.live import SIMULATED, order_for, profiles_of
    from acquire.recorder_setup import RecordedRun

    devices = args.device or []
    if not devices:
        raise CommandError(
            "no device was named; expected --device PROFILE@PORT (see `satline ports` and `satline profiles`), "
            "or --device sim:calm for a simulated bench"
        )
    simulated = [device for device in devices if device.startswith(SIMULATED)]
    if args.speed != 1.0 and len(simulated) != len(devices):
        raise CommandError("a real device cannot be run faster; leave --speed out")
    plan, plan_text = _plan(args, simulated)
    profiles = profiles_of(devices)
    texts = {name: profile_text(profile) for name, profile in profiles.items()}
    known_liquid(plan.liquid)  # a wrong name is told before a file is made
    path = new_run_path(args.out, plan.liquid.replace(" ", "-"))
    header = header_for(plan, plan_text, texts, dict(zip(profiles, devices, strict=True)), "")
    order = order_for(
        path,
        devices,
        plan,
        header,
        speed=args.speed,
        seed=args.seed,
        operated=bool(simulated) and args.auto,
        hands=bool(simulated) and not args.auto,
        begin=args.auto and not simulated,
        give_up_after=args.give_up_after,
    )
    warn_of_folder(path.parent, profiles.values())
    live = RecordedRun(order)
    with terminal_keys(lambda text: print(text, file=sys.stderr)) as keys:
        if keys is not None:
            print(HELP, file=sys.stderr)
        finished = watch(live, keys)
    _tell(live, finished.path, finished.trouble)
    # a warning on the way is no failure: the run is closed, where it was wanted
    return 1 if finished.trouble and Path(finished.path) != path.resolve() else 0


def _plan(args: argparse.Namespace, simulated: list[str]):
    """The plan asked for; that of the scenario where a simulated bench is used without one."""
    from acquire.commands.common import plan_or_default
    from acquire.live import SIMULATED
    from acquire.rehearsal import plan_of
    from sim.scenario import load_scenario

    plan, text = plan_or_default(args.plan)
    if args.plan is None and simulated:
        plan = plan_of(load_scenario(simulated[0][len(SIMULATED) :]))
    settle = plan.settle.model_copy(update={"automatic": plan.settle.automatic and args.auto})
    return plan.model_copy(update={"settle": settle}), text


def _tell(live, path, trouble: str) -> None:
    import sys

    from acquire.commands.live import enthalpy_text

    session = live.session
    counts = {channel: session.store.count(channel) for channel in session.store.channels}
    kept = ", ".join(f"{count} {channel} readings" for channel, count in counts.items()) or "no readings"
    print(f"{kept}; {len(session.run.points)} points; run file {path}")
    if session.run.result is not None:
        print(enthalpy_text(dict(session.run.result)))
    if trouble:
        print(f"satline: {trouble}", file=sys.stderr)
