"""`satline profiles`: the device profiles that are shipped and one's own, their samples, their calibration."""

from __future__ import annotations

import argparse


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("profiles", help="list the device profiles; print, test or calibrate one")
    parser.add_argument("--show", metavar="NAME", help="print one profile (a name, or the path of a .toml file)")
    parser.add_argument("--test", metavar="NAME", help="decode the sample lines of one profile")
    parser.add_argument("--calibrate", metavar="NAME", help="fit a calibration and put it into a copy of this profile")
    parser.add_argument("--channel", metavar="CHANNEL", help="with --calibrate: temperature, pressure, ...")
    parser.add_argument(
        "--pairs", nargs="+", metavar="SHOWN=REFERENCE", help="with --calibrate: in the channel's unit, two or more"
    )
    parser.add_argument(
        "--u-reference", type=float, default=0.0, metavar="U", help="standard uncertainty of the reference"
    )
    parser.add_argument("--reference", default="", metavar="TEXT", help="with --calibrate: what was compared with")
    parser.add_argument("--save", metavar="FILE", help="with --calibrate: where the new profile goes")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(module="profiles")


def run(args: argparse.Namespace) -> int:
    if args.calibrate:
        return _calibrate(args)
    if args.test:
        return _test(args.test)
    if args.show:
        return _show(args.show, args.json)
    return _list(args.json)


def _list(as_json: bool) -> int:
    import sys

    from acquire.commands.json_out import print_json
    from drivers.profile import faulty_profiles, list_profiles, user_folder

    profiles = list_profiles()
    if as_json:
        print_json(
            [
                {"name": one.name, "title": one.title, "source": one.source, "asks": one.asks}
                | {"protected": one.protected}
                | {"channels": [{"channel": c.channel, "unit": c.unit} for c in one.channel]}
                for one in profiles
            ]
        )
    else:
        width = max(len(one.name) for one in profiles)
        for one in profiles:
            print(f"{one.name:<{width}}  {one.title}{'' if one.protected else ' (unprotected)'}")
        print("unprotected: no checksum vouches for a line, so a spoilt digit cannot be noticed")
        print(f"Your own go into {user_folder()}")
    for _, error in faulty_profiles():
        print(f"left out: {error}", file=sys.stderr)
    return 0


def _show(name: str, as_json: bool) -> int:
    from acquire.commands.common import profile_text
    from drivers.profile import load_profile

    profile = load_profile(name)
    print(profile.model_dump_json(indent=2) if as_json else profile_text(name).rstrip("\n"))
    return 0


def _test(name: str) -> int:
    import sys

    from drivers.profile import load_profile
    from drivers.profile_check import check_samples

    profile = load_profile(name)
    faults = check_samples(profile)
    for fault in faults:
        print(f"{profile.name}: {fault}", file=sys.stderr)
    if not profile.sample:
        print(f"{profile.name} has no samples; expected [[sample]] tables with lines from the device", file=sys.stderr)
        return 1
    if not faults:
        print(f"{profile.name}: {len(profile.sample)} samples mean what they say")
    return 1 if faults else 0


def _calibrate(args: argparse.Namespace) -> int:
    from pathlib import Path

    from acquire.clocks import wall_clock_iso
    from acquire.commands.common import CommandError, new_file, profile_text
    from drivers.calibration import fit_calibration, with_calibration
    from drivers.profile import load_profile

    if not (args.channel and args.pairs and args.save):
        raise CommandError(
            "--calibrate needs --channel, --pairs and --save; for example  satline profiles --calibrate delimited-text "
            "--channel temperature --pairs 0.12=0.00 25.31=25.05 49.87=49.90 --save my-probe.toml"
        )
    new_file(args.save, "--save")
    load_profile(args.calibrate)
    pairs = [_pair(text) for text in args.pairs]
    fit = fit_calibration(
        [shown for shown, _ in pairs],
        [reference for _, reference in pairs],
        u_reference=args.u_reference,
        date=wall_clock_iso()[:10],
        name=args.reference,
    )
    text = with_calibration(profile_text(args.calibrate), args.channel, fit.calibration)
    Path(args.save).write_text(text, encoding="utf-8")
    print(f"correction by {len(pairs)} pairs, {fit.dof} degrees of freedom:")
    for shown, _ in pairs:
        value, u = fit.correction(shown)
        print(f"    at {shown:g}: {value:+.4g}, standard uncertainty {u:.2g}")
    print(f"saved as {args.save}")
    return 0


def _pair(text: str) -> tuple[float, float]:
    from acquire.commands.common import CommandError

    shown, equals, reference = text.partition("=")
    try:
        if not equals:
            raise ValueError
        return float(shown), float(reference)
    except ValueError:
        raise CommandError(f"pair {text!r}; expected SHOWN=REFERENCE, two numbers, for example 25.31=25.05") from None
