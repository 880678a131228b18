"""The entry: fast help, exit statuses, and sentences instead of tracebacks."""

from __future__ import annotations

import importlib
import subprocess
import sys
from pathlib import Path

import pytest

from acquire.commands import main as entry

HEAVY = (
    "dataclasses",
    "tempfile",
    "difflib",
    "numpy",
    "scipy",
    "h5py",
    "PyQt5",
    "pyqtgraph",
    "pydantic",
    "matplotlib",
    "rich",
    "serial",
)


def test_help_lists_every_shipped_command_and_imports_nothing_heavy() -> None:
    done = subprocess.run(
        [
            sys.executable, "-c",
            "import sys\n"
            "from acquire.commands.main import build_parser\n"
            "print(build_parser().format_help())\n"
            f"print('HEAVY', [m for m in {HEAVY!r} if m in sys.modules])",
        ],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert "HEAVY []" in done.stdout
    for command in ("demo", "simulate", "log", "fit", "report", "liquids", "profiles", "scenarios"):
        assert f"\n    {command} " in done.stdout


def test_help_does_without_what_only_paths_and_copying_need() -> None:
    root = Path(entry.__file__).parents[2]
    code = (
        f"import sys; sys.path.insert(0, {str(root)!r})\n"
        "from acquire.commands.main import build_parser\n"
        "build_parser().format_help()\n"
        "print([m for m in ('shutil', 'pathlib', 'urllib.parse', 'dataclasses', 'shlex') if m in sys.modules])"
    )
    # Without what an editable install itself brings in.
    done = subprocess.run([sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("name", sorted(entry.USER_ERRORS))
def test_every_named_user_error_exists(name: str) -> None:
    module, _, kind = name.rpartition(".")
    assert issubclass(getattr(importlib.import_module(module), kind), Exception)


def test_bad_usage_is_status_two(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        entry.main(["no-such-command"])
    assert left.value.code == 2
    assert "no-such-command" in capsys.readouterr().err


def test_what_nobody_foresaw_is_one_line_with_the_details_kept(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    module = importlib.import_module("acquire.commands.scenarios")

    def fail(args: object) -> int:
        raise ZeroDivisionError("the bench vanished")

    monkeypatch.setattr(module, "run", fail)
    assert entry.main(["scenarios"]) == 1
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "ZeroDivisionError: the bench vanished" in told
    path = told.split("The details are in ")[1].split(";")[0]
    with open(path, encoding="utf-8") as details:
        assert "Traceback" in details.read()
