"""`satline serve-bench`: a simulated bench on a line that any serial program can open."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("serve-bench", help="a simulated bench that any serial program can talk to")
    parser.add_argument("scenario", metavar="SCENARIO", help="a shipped scenario, or a TOML file")
    line = parser.add_mutually_exclusive_group()
    line.add_argument("--pty", action="store_true", help="on a pseudo-terminal (the default; not on Windows)")
    line.add_argument("--tcp", type=int, metavar="PORT", help="on this TCP port of this machine; 0 takes a free one")
    parser.add_argument("--profile", default="", metavar="P", help="speak the wire form of this profile")
    parser.add_argument("--speed", type=float, default=1.0, metavar="N", help="bench seconds per second, 1 to 1000")
    parser.add_argument("--seed", type=int, default=0, metavar="N", help="another bench of the same kind")
    parser.add_argument("--unattended", action="store_true", help="nobody works at the bench: nothing is ever poured")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen at (default: this machine only)")
    parser.add_argument("--open-to-network", action="store_true", help="allow a --host that others can reach")
    parser.set_defaults(module="serve_bench")


def run(args: argparse.Namespace) -> int:
    import os

    from acquire.clocks import RunClock, wait
    from acquire.commands.common import CommandError
    from sim.scenario import load_scenario
    from sim.serve import BenchServer, checked_time_factor

    if args.tcp is not None and not 0 <= args.tcp <= 65535:
        raise CommandError(f"the port is {args.tcp}; expected 1 to 65535, or 0 for a free one")
    kind = "tcp" if args.tcp is not None or (os.name == "nt" and not args.pty) else "pty"
    server = BenchServer(
        load_scenario(args.scenario),
        RunClock(checked_time_factor(args.speed)),
        seed=args.seed,
        profile=args.profile,
        kind=kind,
        host=args.host,
        tcp_port=args.tcp or 0,
        open_to_network=args.open_to_network,
        attended=not args.unattended,
    )
    server.start()
    try:
        for line in server.announcement():
            print(line, flush=True)
        print("Ctrl+C ends it.", flush=True)
        while not server.finished:
            wait(0.2)
        print("the procedure is over; the bench goes on until Ctrl+C", flush=True)
        while True:
            wait(0.5)
    except KeyboardInterrupt:
        return 0
    finally:
        server.stop()
