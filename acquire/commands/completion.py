"""`satline completion`: what a shell needs to complete our commands, options and names; made from the parser itself."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import NamedTuple

SHELLS = ("bash", "zsh", "fish")

# What can stand at a place of the command line.
NOTHING, ANYTHING, FILE, FOLDER, SCENARIO, PROFILE = "nothing", "anything", "file", "folder", "scenario", "profile"
LIQUID = "liquid"
BY_METAVAR = {
    "FILE": FILE, "FILE.html": FILE, "FILE.csv": FILE, "PLAN": FILE, "PLACE": FILE, "DIR": FOLDER,
    "SCENARIO": SCENARIO, "P": PROFILE,
}  # fmt: skip
#: Options whose NAME is the name of something shipped.
BY_OPTION = {
    ("profiles", "show"): PROFILE,
    ("profiles", "test"): PROFILE,
    ("profiles", "calibrate"): PROFILE,
    ("scenarios", "show"): SCENARIO,
    ("liquids", "show"): LIQUID,
    ("fit", "liquid"): LIQUID,
    ("pool", "liquid"): LIQUID,
    ("bench", "liquid"): LIQUID,
}
FOLDERS = {SCENARIO: ("sim", "scenarios"), PROFILE: ("drivers", "profiles")}


class Place(NamedTuple):
    """What an option takes, or a positional argument is: one of `words`, or what `kind` says."""

    kind: str
    words: tuple[str, ...] = ()

    @property
    def choices(self) -> tuple[str, ...]:
        """Words to offer."""
        return self.words or names_of(self.kind)

    @property
    def files(self) -> bool:
        """Whether files are offered too: a scenario or a profile may be a file of one's own."""
        return self.kind in (FILE, SCENARIO, PROFILE)


class Option(NamedTuple):
    flags: tuple[str, ...]
    help: str
    takes: Place


class Command(NamedTuple):
    name: str
    help: str
    options: tuple[Option, ...]
    arguments: tuple[Place, ...]


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("completion", help="what your shell needs to complete satline's commands")
    parser.add_argument("shell", choices=SHELLS, help="the script is printed; docs/first-run.md says where it goes")
    parser.set_defaults(module="completion")


def run(args: argparse.Namespace) -> int:
    from acquire.commands.main import build_parser

    print(SCRIPTS[args.shell](commands_of(build_parser())), end="")
    return 0


def names_of(kind: str) -> tuple[str, ...]:
    """Names of what is shipped, without reading it: `--help` and completion must not wait for numpy."""
    from importlib import resources

    if kind == LIQUID:
        import tomllib

        table = tomllib.loads(resources.files("analysis").joinpath("liquids.toml").read_text(encoding="utf-8"))
        # a name of two words would be two to some shells
        return tuple(sorted(liquid["name"] for liquid in table["liquid"] if " " not in liquid["name"]))
    if kind not in FOLDERS:
        return ()
    package, folder = FOLDERS[kind]
    files = resources.files(package).joinpath(folder).iterdir()
    return tuple(sorted(file.name.removesuffix(".toml") for file in files if file.name.endswith(".toml")))


def commands_of(parser: argparse.ArgumentParser) -> tuple[Command, ...]:
    """Every command of a parser.  argparse has no public way to look into a parser, so its lists are read."""
    chooser = next(a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    helps = {action.dest: action.help or "" for action in chooser._choices_actions}
    return tuple(_command(name, helps.get(name, ""), inner) for name, inner in chooser.choices.items())


def _command(name: str, text: str, parser: argparse.ArgumentParser) -> Command:
    options, arguments = [], []
    for action in parser._actions:
        place = _place(name, action)
        if action.option_strings:
            options.append(Option(tuple(action.option_strings), _plain(action, parser), place))
        else:
            arguments.append(place)
    return Command(name, text, tuple(options), tuple(arguments))


def _plain(action: argparse.Action, parser: argparse.ArgumentParser) -> str:
    """Its help with `%(default)s` and the like filled in, on one line."""
    text = (action.help or "") % {**vars(action), "prog": parser.prog}
    return " ".join(text.split())


def _place(command: str, action: argparse.Action) -> Place:
    if action.nargs == 0:
        return Place(NOTHING)
    if action.choices:
        return Place(ANYTHING, tuple(str(choice) for choice in action.choices))
    metavar = action.metavar if isinstance(action.metavar, str) else action.dest.upper()
    return Place(BY_OPTION.get((command, action.dest)) or BY_METAVAR.get(metavar, ANYTHING))


def _quoted(text: str) -> str:
    """For sh, bash and zsh."""
    return "'" + text.replace("'", "'\\''") + "'"


def bash_script(commands: tuple[Command, ...]) -> str:
    """For bash 3.2 and later."""
    by_value, by_dash, by_argument = [], [], []
    for command in commands:
        for option in command.options:
            if option.takes.kind == NOTHING:
                continue
            cases = "|".join(_quoted(f"{command.name} {flag}") for flag in option.flags)
            by_value.append(f"    {cases}) {_bash_reply(option.takes)}; return ;;")
        flags = tuple(flag for option in command.options for flag in option.flags if flag.startswith("--"))
        by_dash.append(f"      {command.name}) {_bash_words(flags)} ;;")
        if command.arguments:
            by_argument.append(f"    {command.name}) {_bash_reply(command.arguments[0])} ;;")
    return "\n".join(
        [
            "# Completion of satline for bash.",
            "_satline() {",
            "  local IFS=$'\\n' word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}",
            "  local command=${COMP_WORDS[1]}",
            "  COMPREPLY=()",
            "  if (( COMP_CWORD == 1 )); then",
            f"    {_bash_words(('--help', '--version', *(command.name for command in commands)))}",
            "    return",
            "  fi",
            '  case "$command $before" in',
            *by_value,
            "  esac",
            '  if [[ $word == -* ]]; then case "$command" in',
            *by_dash,
            "    esac",
            "    return",
            "  fi",
            '  case "$command" in',
            *by_argument,
            "  esac",
            "}",
            "complete -o filenames -F _satline satline",
            "",
        ]
    )


def _bash_words(words: tuple[str, ...]) -> str:
    import shlex

    # `compgen -W` expands its words once more, so each is quoted by itself.
    listed = "\n".join(shlex.quote(word) for word in words)
    return f'COMPREPLY+=( $(compgen -W {_quoted(listed)} -- "$word") )'


def _bash_reply(place: Place) -> str:
    steps = []
    if place.choices:
        steps.append(_bash_words(place.choices))
    if place.kind == FOLDER or place.files:
        steps.append(f'COMPREPLY+=( $(compgen -{"d" if place.kind == FOLDER else "f"} -- "$word") )')
    return "; ".join(steps) or ":"


def zsh_script(commands: tuple[Command, ...]) -> str:
    """For zsh with its own completion system (compinit)."""
    lines = [
        "#compdef satline",
        "# Completion of satline for zsh.",
        "_satline() {",
        "  local -a commands",
        "  commands=(",
    ]
    lines += [f"    {_quoted(f'{one.name}:{one.help}')}" for one in commands]
    lines += [
        "  )",
        "  if (( CURRENT == 2 )); then _describe command commands; return; fi",
        "  local command=$words[2]",
        "  shift words; (( CURRENT-- ))",
        "  case $command in",
    ]
    for command in commands:
        specs = []
        for option in command.options:
            tail = "" if option.takes.kind == NOTHING else f":value:{_zsh_action(option.takes)}"
            specs += [_quoted(f"{flag}[{_zsh_text(option.help)}]{tail}") for flag in option.flags]
        specs += [_quoted(f"*:argument:{_zsh_action(place)}") for place in command.arguments[:1]]
        lines.append(f"    {command.name}) _arguments {' '.join(specs)} ;;")
    lines += [
        "  esac",
        "}",
        'if [[ $funcstack[1] == _satline ]]; then _satline "$@"; else compdef _satline satline; fi',
        "",
    ]
    return "\n".join(lines)


def _zsh_text(text: str) -> str:
    """A text inside the brackets of an argument."""
    for sign in "\\[]:":
        text = text.replace(sign, "\\" + sign)
    return text


def _zsh_action(place: Place) -> str:
    if place.files and place.choices:
        return f'{{_alternative "names:name:({" ".join(place.choices)})" "files:file:_files"}}'
    if place.choices:
        return f"({' '.join(place.choices)})"
    return {FILE: "_files", FOLDER: "_files -/"}.get(place.kind, " ")


def fish_script(commands: tuple[Command, ...]) -> str:
    """For fish 3 and later."""
    lines = ["# Completion of satline for fish.", "complete -c satline -f"]
    for command in commands:
        lines.append(f"complete -c satline -n __fish_use_subcommand -a {command.name} -d {_fish_text(command.help)}")
        here = f"complete -c satline -n '__fish_seen_subcommand_from {command.name}'"
        for option in command.options:
            flags = " ".join(f"-l {f[2:]}" if f.startswith("--") else f"-s {f[1:]}" for f in option.flags)
            lines.append(f"{here} {flags}{_fish_place(option.takes, option=True)} -d {_fish_text(option.help)}")
        lines += [f"{here}{_fish_place(place, option=False)}" for place in command.arguments[:1]]
    return "\n".join([*lines, ""])


def _fish_text(text: str) -> str:
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"


def _fish_place(place: Place, *, option: bool) -> str:
    if place.kind == NOTHING:
        return ""
    words = f" -a {_fish_text(' '.join(place.choices))}" if place.choices else ""
    if place.kind == FOLDER:
        words = " -a '(__fish_complete_directories)'"
    needs = "" if not option else " -r" if place.files else " -x"  # -x: a value, and no file for it
    return f"{needs}{' -F' if place.files else ''}{words}"


SCRIPTS: dict[str, Callable[[tuple[Command, ...]], str]] = {"bash": bash_script, "zsh": zsh_script, "fish": fish_script}
