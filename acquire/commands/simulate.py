"""`satline simulate`: a whole simulated run, as fast as possible unless a speed is given."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from acquire.session import Session
    from acquire.snapshot import Snapshot


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("simulate", help="make a whole simulated run, as fast as possible")
    parser.add_argument("scenario", metavar="SCENARIO", help="a shipped scenario, or a TOML file")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="which of the many equal benches (default 0)")
    parser.add_argument("--out", metavar="FILE", help="the run file (default: a new one in satline-runs)")
    parser.add_argument("--no-file", action="store_true", help="keep nothing, only say what came out")
    parser.add_argument("--speed", type=float, metavar="N", help="run seconds per second (default: as fast as it goes)")
    parser.add_argument("--json", action="store_true", help="print the fit as JSON in SI")
    parser.set_defaults(module="simulate")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.common import CommandError, new_run_path
    from sim.scenario import load_scenario

    scenario = load_scenario(args.scenario)
    if args.seed < 0:
        raise CommandError(f"the seed is {args.seed}; expected a whole number from 0")
    path = None if args.no_file else new_run_path(args.out, f"{scenario.name}-{args.seed}")
    outcome = simulate(scenario, args.seed, path, args.speed)
    return report_outcome(outcome, path, as_json=args.json)


def simulate(scenario, seed: int, path: Path | None, speed: float | None = None) -> Snapshot:
    """Make the run, leave a run file at `path`, and return the last snapshot."""
    import sys

    from acquire.clocks import real_seconds, wait, wall_clock_iso
    from acquire.commands.common import header_for, known_liquid, profile_text
    from acquire.guidance import forming_since
    from acquire.long_wait import LONG_WAIT, LongWaitHint
    from acquire.rehearsal import plan_of
    from acquire.run import Run
    from acquire.runfile.writer import RunFileWriter
    from acquire.simulation import DEVICE, simulated_run

    plan = plan_of(scenario)
    simulated_device = {DEVICE: f"sim:{scenario.name}?seed={seed}"}
    header = header_for(plan, "", {DEVICE: profile_text(scenario.device.profile)}, simulated_device, wall_clock_iso())
    writer = RunFileWriter(path, header) if path is not None else None
    run = Run(plan, known_liquid(plan.liquid))
    simulated = simulated_run(scenario, seed, run, sink=writer, path=str(path or ""))
    begun = real_seconds()

    hint = LongWaitHint()

    def pace(session: Session) -> None:
        # A snapshot costs as much as some steps: it is taken where there may be something to say.
        if run.time - forming_since(run) > LONG_WAIT and (words := hint.new(session.snapshot())):
            print(f"satline: at {run.time / 60:.0f} min of the run: {words}", file=sys.stderr)
        if speed is not None:
            wait(max(simulated.clock() / speed - (real_seconds() - begun), 0.0))

    simulated.until_closed(pace)
    if writer is not None:
        results = [run.result] if run.result is not None else []
        truth = simulated.bench.truth.as_dict()
        writer.close(wall_clock_iso(), run.points, run.baselines, results, truth)
    return simulated.session.snapshot()


def report_outcome(snapshot: Snapshot, path: Path | None, *, as_json: bool) -> int:
    """Say what came out and where it is; exit status 1 when there is no result."""
    import sys

    from acquire.commands.json_out import print_json
    from acquire.commands.live import enthalpy_text

    if snapshot.result is None:
        why = snapshot.refused or f"{len(snapshot.points)} points were taken; three are needed"
        print(f"satline: no enthalpy came out: {why}", file=sys.stderr)
    elif as_json:
        print_json(snapshot.result)
    else:
        print(enthalpy_text(snapshot.result))
    if path is not None and not as_json:
        print(f"{len(snapshot.points)} points; run file {path}")
    return 0 if snapshot.result is not None else 1
