"""`satline scenarios`: the simulated benches that are shipped."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("scenarios", help="list the simulated benches that are shipped")
    parser.add_argument("--show", metavar="NAME", help="print one scenario with its aims")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(module="scenarios")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.json_out import print_json
    from sim.scenario import list_scenarios, load_scenario

    if args.show:
        scenario = load_scenario(args.show)
        if args.json:
            print(scenario.model_dump_json(indent=2))
            return 0
        print(f"{scenario.name}: {scenario.title}")
        if scenario.summary:
            print(scenario.summary)
        for aim in scenario.aims:
            print(f"  - {aim}")
        return 0
    scenarios = list_scenarios()
    if args.json:
        print_json([{"name": s.name, "title": s.title, "aims": s.aims} for s in scenarios])
        return 0
    width = max(len(s.name) for s in scenarios)
    for scenario in scenarios:
        print(f"{scenario.name:<{width}}  {scenario.title}")
    return 0
