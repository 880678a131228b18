"""`satline check`: the sensors against the room, valve open; and a leak check of a closed cell."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("check", help="check the sensors against the room, and the cell for leaks")
    parser.add_argument("--device", action="append", metavar="PROFILE@PORT", help="once for each device, or sim:calm")
    parser.add_argument("--seconds", type=float, default=20.0, metavar="S", help="how long to read (default 20)")
    parser.add_argument("--barometer", metavar="VALUE", help='the air pressure by another instrument: "98.2 kPa"')
    parser.add_argument(
        "--leak", metavar="VALUE", help='leak check instead: the closed cell against this room pressure, "98.2 kPa"'
    )
    parser.add_argument("--json", action="store_true", help="print JSON in SI")
    parser.set_defaults(module="check")


def run(args: argparse.Namespace) -> int:
    import sys

    from acquire.commands.common import CommandError
    from acquire.commands.json_out import print_json
    from drivers.profile_check import check_samples
    from drivers.room_check import check_room

    if not args.device:
        raise CommandError(
            "no device was named; expected --device PROFILE@PORT (see satline ports and satline profiles), or sim:calm"
        )
    if not 1 <= args.seconds <= 3600:
        raise CommandError(f"--seconds is {args.seconds:g}; expected 1 to 3600")
    barometer = _pressure(args.barometer, "--barometer")
    room = _pressure(args.leak, "--leak")
    print(f"reading for {args.seconds:g} s", file=sys.stderr)
    read = _read(args.device, args.seconds)
    for _, profile, _ in read:
        for fault in check_samples(profile):
            print(f"profile {profile.name}: {fault}", file=sys.stderr)
    if room is not None:
        return _leak(read, room, args.json)
    results = {name: check_room(profile, events, barometer=barometer) for name, profile, events in read}
    if args.json:
        print_json(results)
    else:
        for (name, _, events), found in zip(read, results.values(), strict=True):
            _print(name, events, found)
    return 1 if any(one.severity == "bad" for found in results.values() for one in found) else 0


def _pressure(text: str | None, option: str) -> float | None:
    from acquire.commands.common import CommandError
    from drivers.units import parse_quantity

    if text is None:
        return None
    value, quantity = parse_quantity(text)
    if quantity != "pressure":
        raise CommandError(f"{option} is {text!r}, a {quantity}; expected a pressure such as '98.2 kPa'")
    return value


def _read(devices: list[str], seconds: float) -> list:
    """(name, profile, events) of each device after some seconds; every port is closed again."""
    from acquire.clocks import RunClock, wait

    clock = RunClock()
    simulated: list = []
    sources: list = []
    try:
        for text in devices:
            profile, url = _resolve(text, clock, simulated)
            source = _source(profile, url, clock)
            source.start()
            sources.append((text, profile, source))
        events: list[list] = [[] for _ in sources]
        began = clock()
        while clock() - began < seconds:
            wait(0.1)
            for (_, _, source), kept in zip(sources, events, strict=True):
                kept.extend(_taken(source.events))
    finally:
        for _, _, source in sources:
            source.stop()
        for port in simulated:
            port.stop()
    for (_, _, source), kept in zip(sources, events, strict=True):
        kept.extend(_taken(source.events))
    return [(text, profile, kept) for (text, profile, _), kept in zip(sources, events, strict=True)]


def _source(profile, url: str, clock):
    from drivers.source import ReadingSource

    return ReadingSource(profile, url, now=clock)


def _resolve(text: str, clock, simulated: list) -> tuple:
    from acquire.live import SIMULATED
    from drivers.device_name import parse_device
    from drivers.profile import load_profile

    if not text.startswith(SIMULATED):
        name, url = parse_device(text)
        return load_profile(name), url
    from sim.device import SimulatedBench
    from sim.scenario import load_scenario
    from sim.virtual_port import VirtualPort

    bench = SimulatedBench(load_scenario(text[len(SIMULATED) :]))
    port = VirtualPort(bench, clock)
    port.start()
    simulated.append(port)
    return load_profile(bench.profile), port.url


def _taken(events) -> list:
    import queue

    taken = []
    while True:
        try:
            taken.append(events.get_nowait())
        except queue.Empty:
            return taken


def _print(name: str, events: list, results: list) -> None:
    from acquire.commands.wrapped import say
    from drivers.readings import DeviceNotice

    marks = {"good": "  ", "note": "* ", "bad": "! "}
    print(name)
    for result in results:
        say(result.text, f"  {marks[result.severity]}", "      ")
        if result.advice:
            say(result.advice, "      ", "      ")
    for event in events:
        if isinstance(event, DeviceNotice) and event.kind not in ("opened", "closed"):
            say(event.text, "  * ", "      ")


def _leak(read: list, room: float, as_json: bool) -> int:
    import math

    import numpy as np

    from acquire.commands.common import CommandError
    from acquire.commands.json_out import print_json
    from drivers.leak_check import check_leak
    from drivers.room_check import gather

    found = {}
    for _, profile, events in read:
        for channel in profile.channel:
            found[channel.channel] = gather(channel, events)
    if not {"temperature", "pressure"} <= found.keys():
        raise CommandError("a leak check needs a temperature and a pressure; name a device for each with --device")
    hot, high = found["temperature"], found["pressure"]
    keep = high.good
    if not np.any(hot.good) or not np.any(keep):
        raise CommandError("no readings of temperature or pressure arrived; expected both; run satline check first")
    temperature = np.interp(high.time[keep], hot.time[hot.good], hot.value[hot.good])
    result = check_leak(high.time[keep], high.value[keep], temperature, room)
    if as_json:
        print_json(result)
    else:
        print(result.text)
    return 0 if math.isinf(result.time_constant) else 1
