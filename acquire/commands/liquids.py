"""`satline liquids`: what is shipped about liquids, with sources."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("liquids", help="list the liquids that are known, with sources")
    parser.add_argument("--show", metavar="NAME", help="print everything known of one liquid")
    parser.add_argument("--json", action="store_true", help="print JSON in SI")
    parser.set_defaults(module="liquids")


def run(args: argparse.Namespace) -> int:
    from dataclasses import asdict

    from acquire.commands.json_out import print_json
    from acquire.own_liquids import known_liquids, own_liquids
    from analysis.liquids import load_liquid

    if args.show:
        liquid = load_liquid(args.show, own_liquids())
        if args.json:
            print_json(liquid)
        else:
            print(_text(asdict(liquid)))
        return 0
    liquids = known_liquids()
    if args.json:
        print_json(liquids)
        return 0
    from rich.console import Console
    from rich.table import Table

    table = Table(title=None, box=None, header_style="bold")
    for heading in ("liquid", "formula", "CAS", "ΔvapH(298.15 K) / kJ/mol", "boiling point / °C"):
        table.add_column(heading)
    for liquid in liquids:
        enthalpy, boiling = liquid.enthalpy_vap, liquid.boiling_point
        table.add_row(
            liquid.name,
            liquid.formula,
            liquid.cas,
            f"{enthalpy.value / 1e3:.2f}" if enthalpy else "",
            f"{boiling.value - 273.15:.1f}" if boiling else "",
        )
    Console().print(table)
    return 0


def _text(fields: dict[str, object], indent: str = "") -> str:
    """Names and values, one a line, records indented."""
    lines = []
    for key, value in fields.items():
        label = key.replace("_", " ")
        if isinstance(value, dict):
            lines.append(f"{indent}{label}:")
            lines.append(_text(value, indent + "    "))
        elif value not in (None, "", ()) and value == value:  # a temperature that was not given is NaN
            lines.append(f"{indent}{label}: {value}")
    return "\n".join(lines)
