"""What the program leans on: every package that is imported is declared, pinned and free to be passed on with it."""

from __future__ import annotations

import ast
import importlib.metadata
import re
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
OURS = {"drivers", "sim", "analysis", "acquire"}
#: Name of an import -> name of the package that brings it, where the two differ.
BROUGHT_BY = {
    "serial": "pyserial",
    "PyQt5": "pyqt5",
    "sip": "pyqt5-sip",
    # parts of one project
    "markupsafe": "jinja2",
    "pydantic_core": "pydantic",
}
#: Imported by their names, and only where somebody asks for what they do.
BY_NAME = ("distributed", "pyarrow")
#: What may go together with a program under GPL 3.0 or later, by the list of licences of the Free Software Foundation
#: (from memory): permissive ones, weak copyleft, and the GPL itself.
FREE = re.compile(r"MIT|BSD|Apache|PSF|Python Software|ISC|MPL|LGPL|GPL|Zlib|Unlicense|HPND|matplotlib|0BSD", re.I)


def normal(name: str) -> str:
    """A package's name as PEP 503 writes it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def declared(*extras: str) -> set[str]:
    lines = list(PROJECT["dependencies"])
    for extra in extras:
        lines += PROJECT["optional-dependencies"][extra]
    return {normal(re.match(r"[A-Za-z0-9._-]+", line)[0]) for line in lines}  # type: ignore[index]


def imported() -> dict[str, set[str]]:
    """Package -> modules of ours that import it, wherever in the file."""
    found: dict[str, set[str]] = {}
    for top in sorted(OURS):
        for file in (ROOT / top).rglob("*.py"):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Import):
                    names = [alias.name for alias in node.names]
                elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                    names = [node.module]
                elif isinstance(node, ast.Constant) and node.value in BY_NAME:  # import_module, only when asked for
                    names = [node.value]
                else:
                    continue
                for name in names:
                    first = name.partition(".")[0]
                    if first not in OURS and first not in sys.stdlib_module_names:
                        found.setdefault(normal(BROUGHT_BY.get(first, first)), set()).add(str(file.relative_to(ROOT)))
    return found


def test_every_import_is_a_declared_dependency() -> None:
    known = declared("modbus", "cluster", "parquet")
    # The simulator's tables are made by scripts that are not part of a run.
    scripts = {"sim/tabulate.py", "sim/tabulate_thermocouples.py"}
    unknown = {name: files for name, files in imported().items() if name not in known and not files <= scripts}
    assert unknown == {}


def test_every_declared_dependency_is_imported() -> None:
    # Qt's own libraries are a package of their own only to say which release fits.
    assert declared("modbus", "cluster", "parquet") - set(imported()) - {"pyqt5-qt5"} == set()


def pinned() -> dict[str, str]:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    return {normal(line.split("==")[0]): line for line in lines if "==" in line}


def test_every_dependency_is_pinned_and_the_pins_are_exact() -> None:
    known = pinned()
    assert declared("modbus", "cluster", "parquet", "test") - set(known) == set()
    assert [line for line in known.values() if not re.fullmatch(r"[a-z0-9.-]+==[0-9][^ ,]*( ; .+)?", line)] == []


@pytest.mark.parametrize("name", sorted(declared("modbus", "cluster", "parquet")))
def test_the_licence_lets_it_go_together_with_ours(name: str) -> None:
    try:
        about = importlib.metadata.metadata(name)
    except importlib.metadata.PackageNotFoundError:
        pytest.skip(f"{name} is not installed here")
    said = [about.get("License-Expression") or "", about.get("License") or ""]
    said += [line for line in about.get_all("Classifier") or [] if line.startswith("License ::")]
    assert FREE.search(" ".join(said)), said
