"""The parser of the command line: what it refuses is told as everything else is: found, expected, way out."""

from __future__ import annotations

import argparse
import contextlib
import os
import re
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

#: What Python calls a type that it could not make, and what a person calls it.
KINDS = {"float": "a number", "int": "a whole number", "_count": "a whole number from 0"}


def _width() -> int:
    """Columns for help: of the terminal, less two, as everywhere; 78 where there is none."""
    with contextlib.suppress(ValueError):
        if (told := int(os.environ.get("COLUMNS", "0"))) > 0:
            return told - 2
    with contextlib.suppress(AttributeError, ValueError, OSError):  # no terminal
        if (found := os.get_terminal_size(sys.__stdout__.fileno()).columns) > 0:  # type: ignore[union-attr]
            return found - 2
    return 78


class Formatter(argparse.HelpFormatter):
    """Finds its width without a module that nothing else needs before a command is chosen."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=_width())


class Parser(argparse.ArgumentParser):
    """Refuses in sentences, each command under its own name."""

    def __init__(self, **given: Any) -> None:
        super().__init__(formatter_class=Formatter, **given)

    def parse_args(self, args: Sequence[str] | None = None, namespace: argparse.Namespace | None = None):  # type: ignore[override]
        """As of `argparse`; what no command knows is refused by the command that was chosen."""
        found, unknown = self.parse_known_args(args, namespace)
        if unknown:
            self._chosen(found).error(f"unrecognized arguments: {' '.join(unknown)}")
        return found

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and leave with status 2."""
        print(f"{self.prog}: {self._sentence(message)}; `{self.prog} --help` tells more", file=sys.stderr)
        sys.exit(2)

    def _chosen(self, found: argparse.Namespace) -> Parser:
        commands = self._commands()
        return commands.get(getattr(found, "command", None) or "", self)

    def _commands(self) -> dict[str, Parser]:
        return {
            name: parser
            for action in self._actions if isinstance(action, argparse._SubParsersAction)
            for name, parser in action.choices.items()
        }  # fmt: skip

    def _sentence(self, message: str) -> str:
        usage = " ".join(self.format_usage().removeprefix("usage: ").split())
        if match := re.fullmatch(r"the following arguments are required: (.+)", message):
            if match[1] == "COMMAND":
                return f"found no command; expected one of {', '.join(self._commands())}"
            return f"found no {match[1].replace(', ', ' and no ')}; expected {usage}"
        if match := re.fullmatch(r"argument (.+?): invalid choice: '(.*)' \(choose from (.+)\)", message, re.DOTALL):
            choices = [choice.strip().strip("'") for choice in match[3].split(",")]
            what = "" if match[1] == "COMMAND" else f" for {match[1]}"
            return f"found {match[2]!r}{what}; expected one of {', '.join(choices)}{_near(match[2], choices)}"
        if match := re.fullmatch(r"argument (.+?): invalid (\w+) value: '(.*)'", message, re.DOTALL):
            return f"found {match[3]!r} for {match[1]}; expected {KINDS.get(match[2], match[2])}"
        if match := re.fullmatch(r"unrecognized arguments: (.+)", message, re.DOTALL):
            known = [option for action in self._actions for option in action.option_strings]
            return f"found {match[1]!r}; expected {usage}{_near(match[1].split('=')[0], known)}"
        if match := re.fullmatch(r"argument (.+?): expected (one|at least one) argument", message):
            return f"found nothing behind {match[1]}; expected {match[2].replace('argument', 'value')} value"
        return f"{message}; expected {usage}"


def _near(word: str, known: Sequence[str]) -> str:
    import difflib

    near = difflib.get_close_matches(word.split(" ")[0], known, n=1, cutoff=0.7)
    return f" (did you mean {near[0]}?)" if near else ""
