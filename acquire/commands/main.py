"""The entry of the command line; imports only the standard library until a command is chosen."""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Sequence

from acquire.commands.parser import Parser

#: Commands in the order that `--help` lists them; each is a module of this package with `add_parser` and `run`.
COMMANDS = (
    "demo",
    "ports",
    "listen",
    "check",
    "bench",
    "log",
    "simulate",
    "rehearse",
    "serve_bench",
    "review",
    "replay",
    "fit",
    "report",
    "export",
    "verify",
    "pool",
    "study",
    "doctor",
    "liquids",
    "profiles",
    "scenarios",
    "completion",
)

#: Errors that a user can meet: their text is a full sentence (found, expected, way out).  Named, not imported, since
#: importing them would load numpy before `--help` is answered.
USER_ERRORS = frozenset(
    {
        "drivers.errors.DriverError",
        "analysis.refusal.AnalysisError",
        "analysis.plateau.PlateauInputError",
        "analysis.settling.records.SettlingInputError",
        "acquire.runfile.errors.RunFileError",
        "acquire.run.ActRefused",
        "acquire.points_csv.PointsCsvError",
        "acquire.commands.common.CommandError",
        "sim.errors.SimError",
    }
)

DESCRIPTION = (
    "Logs a vapour-pressure run at the bench and gives the enthalpy of vaporisation with an honest interval. "
    "satline controls nothing and is not a safety device; your local rules come first."
)


def build_parser() -> Parser:
    """The parser with every command that is shipped."""
    parser = Parser(prog="satline", description=DESCRIPTION)
    parser.add_argument("--version", action="version", version=f"satline {_version()}")
    subparsers = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in COMMANDS:
        try:
            module = importlib.import_module(f"acquire.commands.{name}")
        except ModuleNotFoundError as error:
            if error.name == f"acquire.commands.{name}":
                continue
            raise
        module.add_parser(subparsers)
    return parser


def _version() -> str:
    from acquire.version import VERSION

    return VERSION


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.  Returns the exit status: 0 done, 1 could not be done, 2 bad usage."""
    args = build_parser().parse_args(argv)
    module = importlib.import_module(f"acquire.commands.{args.module}")
    try:
        return module.run(args)
    except KeyboardInterrupt:
        print("stopped at the keyboard", file=sys.stderr)
        return 1
    except BrokenPipeError:
        # The reader of our output went away (for example `head`): nothing to tell, nobody to tell it to.
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115  (lives until the process ends)
        return 0
    except Exception as error:  # noqa: BLE001  (the last resort: nobody else may catch everything)
        return _explain(error)


def _explain(error: Exception) -> int:
    names = {f"{kind.__module__}.{kind.__qualname__}" for kind in type(error).__mro__}
    if names & USER_ERRORS or isinstance(error, OSError):
        from acquire.finding_words import error_words

        print(f"satline: {error_words(error)}", file=sys.stderr)
    else:
        import tempfile
        import traceback

        with tempfile.NamedTemporaryFile("w", prefix="satline-", suffix=".txt", delete=False) as details:
            traceback.print_exception(error, file=details)
        print(
            f"satline: something unforeseen went wrong ({type(error).__name__}: {error}). "
            f"What was recorded is kept. The details are in {details.name}; please send them with a report.",
            file=sys.stderr,
        )
    return 1


if __name__ == "__main__":
    sys.exit(main())
