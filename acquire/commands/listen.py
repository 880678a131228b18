"""`satline listen`: what an unknown device sends, and a profile proposed for it."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("listen", help="listen to an unknown device and propose a profile for it")
    parser.add_argument("port", metavar="PORT", help="for example /dev/ttyACM0, COM5 or socket://host:port")
    parser.add_argument("--baud", type=int, metavar="N", help="listen at this rate only; by default the usual ones")
    parser.add_argument("--seconds", type=float, default=5.0, metavar="S", help="how long at each rate (default 5)")
    parser.add_argument(
        "--ask", default="", metavar="TEXT", help='send this first, for example "*IDN?"; without it nothing is sent'
    )
    parser.add_argument("--save", metavar="FILE", help="save the proposed profile, for example my-board.toml")
    parser.set_defaults(module="listen")


def run(args: argparse.Namespace) -> int:
    import sys
    from pathlib import Path

    from acquire.clocks import RunClock
    from acquire.commands.common import CommandError
    from drivers.listen import listen, propose_profile

    if args.seconds <= 0 or (args.baud is not None and args.baud <= 0):
        raise CommandError("--seconds and --baud are numbers above 0")
    if args.save and Path(args.save).exists():
        raise CommandError(f"{args.save} is already there and is not overwritten; choose another name")
    heard = listen(
        args.port,
        now=RunClock(),
        baud=args.baud,
        seconds=args.seconds,
        ask=args.ask,
        tell=lambda text: print(text, file=sys.stderr),
    )
    _show(heard)
    if args.ask and not heard.columns:
        print("it answers questions; copy the profile text-questions and put in those of its manual")
        return 0
    name = _name_of(args.save)
    text = propose_profile(heard, name)
    if args.save:
        Path(args.save).write_text(text, encoding="utf-8")
        print(f"\nsaved as {args.save}; try  satline check --device {args.save}@{args.port}")
    else:
        print(f"\nproposed profile (--save FILE keeps it):\n\n{text}")
    return 0


def _name_of(save: str | None) -> str:
    import re
    from pathlib import Path

    stem = Path(save).stem.lower() if save else "my-device"
    return re.sub(r"[^a-z0-9-]+", "-", stem).strip("-")[:63] or "my-device"


def _show(heard) -> None:
    print(f"{len(heard.data)} bytes in {heard.seconds:.1f} s at {heard.baud} baud; the first of them:")
    for line in heard.data[:300].splitlines()[:6]:
        print(f"    {line!r}"[:118])
    if heard.stream is None:
        print("no form was recognised")
        return
    for reason in heard.stream.reasons:
        print(f"form: {reason}")
    if not heard.stream.protected:
        print("unprotected: there is no checksum, so a spoilt digit can not be noticed")
    for column in heard.columns:
        unit = f" in {column.unit}" if column.unit else ""
        print(f"field {column.field}: {column.role}{unit}, because it {_because(column.reason)}")


def _because(reason: str) -> str:
    return reason if reason.startswith(("goes", "always")) else f"shows {reason}"
