"""`satline ports`: what is plugged in, what it probably is, and whether it can be opened."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("ports", help="list the serial ports, what each probably is and whether it opens")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(module="ports")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.json_out import print_json
    from acquire.commands.wrapped import say
    from drivers.ports import list_port_reports
    from drivers.profile import list_profiles

    reports = list_port_reports(list_profiles())
    if args.json:
        print_json(reports)
        return 0
    if not reports:
        say(
            "no serial port is present; expected one for each device that is plugged in; check the cable (some only "
            "carry power), then run satline doctor",
            rest="",
        )
        say("to practise without a device, use --device sim:calm")
        return 0
    for report in reports:
        say(f"{report.port}: {report.probably}")
        say("can be opened" if report.can_open else report.why, "    ", "    ")
        if report.profiles:
            names = " or ".join(f"--device {name}@{report.port}" for name in report.profiles)
            say(f"a profile is for it: {names}", "    ")
        for advice in report.advice:
            say(advice, "    ")
    say("satline listen PORT finds out what an unknown device sends")
    say("satline listen PORT --scpi or --modbus asks one that only answers")
    return 0
