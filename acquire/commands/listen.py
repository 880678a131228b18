"""`satline listen`: what an unknown device sends or answers, and a profile proposed for it."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser(
        "listen",
        help="listen to an unknown device and propose a profile for it",
        description="Listen to an unknown device and propose a profile for it. Nothing is written to the device, "
        "unless one of --ask, --modbus and --scpi says so.",
    )
    parser.add_argument("port", metavar="PORT", help="for example /dev/ttyACM0, COM5 or socket://host:port")
    parser.add_argument("--baud", type=int, metavar="N", help="at this rate only; by default the usual ones")
    parser.add_argument("--seconds", type=float, default=5.0, metavar="S", help="how long at each rate (default 5)")
    asking = parser.add_mutually_exclusive_group()
    asking.add_argument("--ask", default="", metavar="TEXT", help='send this first and show the answer: "*IDN?"')
    asking.add_argument(
        "--scpi", action="store_true", help="ask for its name and for measurements, as instruments answer (SCPI)"
    )
    asking.add_argument(
        "--modbus", action="store_true", help="ask for registers, as transmitters answer (Modbus); only reads them"
    )
    parser.add_argument("--units", default="1-16", metavar="N-M", help="with --modbus: units to ask (default 1-16)")
    parser.add_argument(
        "--registers", default="0-99", metavar="N-M", help="with --modbus: registers, counted from 0 (default 0-99)"
    )
    parser.add_argument("--save", metavar="FILE", help="save the proposed profile, for example my-board.toml")
    parser.set_defaults(module="listen")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.common import CommandError, new_file

    if args.seconds <= 0 or (args.baud is not None and args.baud <= 0):
        raise CommandError("--seconds and --baud are numbers above 0")
    if args.save:
        new_file(args.save, "--save")
    if args.modbus:
        return _ask_modbus(args)
    return _ask_scpi(args) if args.scpi else _listen(args)


def _listen(args: argparse.Namespace) -> int:
    from acquire.clocks import RunClock
    from acquire.commands.wrapped import say
    from drivers.listen import listen, propose_profile

    heard = listen(args.port, now=RunClock(), baud=args.baud, seconds=args.seconds, ask=args.ask, tell=_tell)
    _show(heard)
    if args.ask and not heard.columns:
        say(
            "it answers questions: --scpi asks the usual ones and proposes a profile; or copy the profile "
            "text-questions and put in those of its manual"
        )
        return 0
    return _propose(args, propose_profile(heard, _name_of(args.save)))


def _ask_modbus(args: argparse.Namespace) -> int:
    from acquire.clocks import RunClock, wait
    from drivers.modbus_listening import BAUD_RATES, ModbusBounds, find_modbus, propose_modbus_profile, spelled_place

    bounds = ModbusBounds(
        units=_span(args.units, "--units", 247, 1),
        registers=_span(args.registers, "--registers", 65535, 0),
        bauds=(args.baud,) if args.baud else BAUD_RATES,
    )
    _tell("this writes to the device: requests that read registers, and no others")
    heard = find_modbus(args.port, now=RunClock(), wait=wait, bounds=bounds, seconds=args.seconds, tell=_tell)
    print(spelled_place(heard))
    if len(heard.units) > 1:
        others = ", ".join(map(str, heard.units[1:]))
        print(f"answering too: unit {others}; --units N looks at another one")
    _show_registers(heard)
    return _propose(args, propose_modbus_profile(heard, _name_of(args.save)))


def _ask_scpi(args: argparse.Namespace) -> int:
    from acquire.clocks import RunClock, wait
    from acquire.commands.wrapped import say
    from drivers.scpi_listening import BAUD_RATES, find_scpi, propose_scpi_profile

    _tell("this writes to the device: *IDN?, *CLS, SYST:ERR? and the usual questions for a measurement")
    bauds = (args.baud,) if args.baud else BAUD_RATES
    heard = find_scpi(args.port, now=RunClock(), wait=wait, bauds=bauds, seconds=args.seconds, tell=_tell)
    say(f"it says at {heard.baud} baud that it is {heard.identity}")
    for question, answers in heard.answers.items():
        say(f"{question} is answered with {answers[-1]}")
    for column in heard.columns:
        unit = f" in {column.unit}" if column.unit else ""
        say(f"{column.field}: {column.role}{unit}, because {_because(column.reason)}")
    return _propose(args, propose_scpi_profile(heard, _name_of(args.save)))


def _propose(args: argparse.Namespace, text: str) -> int:
    from pathlib import Path

    from acquire.commands.wrapped import say

    if args.save:
        Path(args.save).write_text(text, encoding="utf-8")
        print()
        say(f"saved as {args.save}; try  satline check --device {args.save}@{args.port}")
    else:
        print(f"\nproposed profile (--save FILE keeps it):\n\n{text}")
    return 0


def _tell(text: str) -> None:
    import sys

    from acquire.commands.wrapped import say

    say(text, to=sys.stderr)


def _span(text: str, option: str, highest: int, lowest: int) -> range:
    """A range as people write it: `3` or `1-16`, both ends meant."""
    import re

    from acquire.commands.common import CommandError

    match = re.fullmatch(r"(\d{1,5})(?:-(\d{1,5}))?", text.strip())
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, -1)
    if not lowest <= first <= last <= highest:
        raise CommandError(f"{option} is {text!r}; expected one number or N-M, from {lowest} to {highest}")
    if last - first >= 1000:
        raise CommandError(f"{option} is {text!r}, {last - first + 1} of them; expected at most 1000 at a time")
    return range(first, last + 1)


def _name_of(save: str | None) -> str:
    import re
    from pathlib import Path

    stem = Path(save).stem.lower() if save else "my-device"
    return re.sub(r"[^a-z0-9-]+", "-", stem).strip("-")[:63] or "my-device"


def _show(heard) -> None:
    from acquire.commands.wrapped import say

    print(f"{len(heard.data)} bytes in {heard.seconds:.1f} s at {heard.baud} baud; the first of them:")
    for line in _first_bytes(heard.data):
        print(f"    {line}")
    if heard.stream is None:
        print("no form was recognised")
        return
    for reason in heard.stream.reasons:
        say(f"form: {reason}")
    if not heard.stream.protected:
        say("unprotected: there is no checksum, so a spoilt digit can not be noticed")
    for column in heard.columns:
        unit = f" in {column.unit}" if column.unit else ""
        say(f"field {column.field}: {column.role}{unit}, because {_because(column.reason)}")


def _first_bytes(data: bytes) -> list[str]:
    """Text as it stands, anything else in hex."""
    head = data[:300]
    lines = [line for line in head.decode("utf-8", "replace").splitlines() if line]
    if lines and sum(line.isprintable() or "\t" in line for line in lines) > 0.7 * len(lines):
        return [line[:74] if line.isprintable() else ascii(line)[1:75] for line in lines[:6]]
    return [head[n : n + 24].hex(" ") for n in range(0, 96, 24) if head[n:]]


def _show_registers(heard) -> None:
    from acquire.commands.wrapped import say
    from drivers.register_guess import in_every_order

    for name in sorted({place[0] for place in heard.rounds}):
        addresses = [address for table, address in heard.rounds if table == name]
        say(f"{len(addresses)} {name} registers can be read: {_runs(addresses)}")
    for guess in heard.chosen:
        say(f"{_register(guess)}: {guess.role} in {guess.unit}, as {guess.form}, because {guess.reason}")
        orders = in_every_order(guess, heard.rounds)
        if orders:
            say("in the four orders: " + ", ".join(f"{key} {value:.6g}" for key, value in orders.items()), "    ")
    for guess in heard.others:
        say(f"also possible: {_register(guess)}: {guess.role}, as {guess.form}, because {guess.reason}")


def _register(guess) -> str:
    last = max(address for _, address in guess.places)
    span = f"{guess.address}" + (f" and {last}" if last > guess.address else "")
    manual = guess.address + (30001 if guess.table == "input" else 40001)
    return f"{guess.table} {span} (in manuals {manual})"


def _runs(addresses: list[int]) -> str:
    runs: list[list[int]] = []
    for address in sorted(addresses):
        if runs and runs[-1][1] == address - 1:
            runs[-1][1] = address
        else:
            runs.append([address, address])
    return ", ".join(f"{first}-{last}" if last > first else str(first) for first, last in runs)


def _because(reason: str) -> str:
    return f"it {reason}" if reason.startswith(("goes", "always")) else reason
