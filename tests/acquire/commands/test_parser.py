"""What the command line refuses is told as found, expected, way out, under the name of the command."""

from __future__ import annotations

import os

import pytest

from acquire.commands.main import main


def refused(capsys, *arguments: str) -> str:
    with pytest.raises(SystemExit) as left:
        main(list(arguments))
    assert left.value.code == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    return told.strip()


@pytest.mark.parametrize(
    ("arguments", "begins", "holds"),
    [
        ([], "satline: found no command; expected one of demo, ports,", "`satline --help` tells more"),
        (["repot"], "satline: found 'repot'; expected one of demo,", "(did you mean report?)"),
        (["verify"], "satline verify: found no FILE; expected satline verify [-h]", "`satline verify --help`"),
        (["simulate", "calm", "--speed", "abc"], "satline simulate: found 'abc' for --speed; expected a number;", ""),
        (["log", "--seed", "1.5"], "satline log: found '1.5' for --seed; expected a whole number;", ""),
        (["log", "--seed"], "satline log: found nothing behind --seed; expected one value;", ""),
        (["doctor", "--nosuch"], "satline doctor: found '--nosuch'; expected satline doctor", "doctor --help`"),
        (["report", "x", "--langage", "de"], "satline report: found '--langage de'", "(did you mean --language?)"),
        (["completion", "tcsh"], "satline completion: found 'tcsh' for shell; expected one of bash, zsh, fish;", ""),
        (["pool", "--workers", "-3"], "satline pool: ", "-3 workers; expected 0 to 1024"),
    ],
)  # fmt: skip
def test_what_was_found_what_was_expected_and_the_way_out(arguments, begins, holds, capsys):
    told = refused(capsys, *arguments)
    assert told.startswith(begins)
    assert holds in told
    assert "did you mean" not in told or "did you mean" in holds


@pytest.mark.parametrize(("columns", "most"), [("60", 58), ("100", 98), ("nonsense", 78), ("", 78)])
def test_help_is_as_wide_as_the_terminal(capsys, monkeypatch, columns, most):
    monkeypatch.setenv("COLUMNS", columns)
    monkeypatch.setattr(os, "get_terminal_size", no_terminal)
    with pytest.raises(SystemExit):
        main(["log", "--help"])
    lines = capsys.readouterr().out.splitlines()
    widest = max(map(len, lines))
    assert most - 12 < widest <= most


def no_terminal(_file):
    raise OSError(25, "Inappropriate ioctl for device")
