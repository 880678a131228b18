"""What is installed is whole: package data, the parts without Qt, the desktop entry and its icon."""

from __future__ import annotations

import configparser
import fnmatch
import subprocess
import sys
import tomllib
from pathlib import Path
from xml.etree import ElementTree

import pytest

ROOT = Path(__file__).parent.parent
SETTINGS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
SETUPTOOLS = SETTINGS["tool"]["setuptools"]
#: Files in the packages that the program itself never reads: texts for people, and the entry of a desktop's menu.
NOT_NEEDED = ("*.md", "*.desktop")


def packages() -> set[str]:
    """What setuptools finds, by its own rules."""
    setuptools = pytest.importorskip("setuptools")
    return set(setuptools.find_packages(str(ROOT), **SETUPTOOLS["packages"]["find"]))


def tracked() -> list[Path]:
    """Files of the four packages, as git knows them; all there are where there is no git."""
    done = subprocess.run(
        ["git", "ls-files", "drivers", "sim", "analysis", "acquire"], cwd=ROOT, capture_output=True, text=True
    )
    if done.returncode == 0 and done.stdout:
        return [Path(line) for line in done.stdout.splitlines() if (ROOT / line).is_file()]
    found = (path for top in ("drivers", "sim", "analysis", "acquire") for path in (ROOT / top).rglob("*.*"))
    return [path.relative_to(ROOT) for path in found if path.is_file() and "__pycache__" not in path.parts]


def installed(file: Path) -> bool:
    """Whether the wheel holds this file: a module of a package, or data that a pattern of its package names."""
    known = packages()
    if file.suffix == ".py":
        return ".".join(file.parent.parts) in known
    for package, patterns in SETUPTOOLS["package-data"].items():
        folder = Path(*package.split("."))
        if file.is_relative_to(folder) and package in known:
            inside = file.relative_to(folder)
            if any(fnmatch.fnmatch(str(inside), one) and len(inside.parts) == one.count("/") + 1 for one in patterns):
                return True
    return False


def test_every_file_of_the_packages_is_in_the_wheel() -> None:
    left_out = [
        str(file)
        for file in tracked()
        if not installed(file) and not any(fnmatch.fnmatch(file.name, one) for one in NOT_NEEDED)
    ]
    assert left_out == []


@pytest.mark.parametrize(
    ("file", "expected"),
    [
        ("drivers/profiles/modbus-registers.toml", True),
        ("sim/scenarios/calm.toml", True),
        ("acquire/report/report.css", True),
        ("acquire/report/deeper/report.css", False),
        ("docs/make_pictures.py", False),
        ("acquire/report/picture.bmp", False),
    ],
)
def test_what_is_installed_is_told_from_what_is_not(file: str, expected: bool) -> None:
    assert installed(Path(file)) is expected


WITHOUT_QT = """
import importlib, sys
from pathlib import Path

class NoQt:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in ("PyQt5", "pyqtgraph", "sip"):
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)

sys.meta_path.insert(0, NoQt())
count = 0
for top in ("drivers", "sim", "analysis", "acquire"):
    for file in sorted(Path(top).rglob("*.py")):
        name = ".".join(file.with_suffix("").parts).removesuffix(".__init__")
        if name.startswith("acquire.window"):
            continue
        importlib.import_module(name)
        count += 1
assert not {"PyQt5", "pyqtgraph"} & set(sys.modules)
print(count)
"""


@pytest.mark.slow
def test_everything_but_the_window_is_imported_without_qt() -> None:
    """Single-board computers have none: there all but the windows must work."""
    done = subprocess.run([sys.executable, "-c", WITHOUT_QT], cwd=ROOT, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 200


def test_without_qt_the_window_is_refused_in_a_sentence(monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    from acquire.commands.main import main

    for name in [name for name in sys.modules if name.partition(".")[0] == "PyQt5"]:
        monkeypatch.setitem(sys.modules, name, None)
    monkeypatch.setitem(sys.modules, "PyQt5", None)
    monkeypatch.setitem(sys.modules, "PyQt5.QtWidgets", None)
    assert main(["bench"]) == 1
    assert "the window needs PyQt5" in capsys.readouterr().err


@pytest.mark.qt
def test_the_entry_points_lead_to_functions() -> None:
    import importlib

    project = SETTINGS["project"]
    for target in (project["scripts"] | project["gui-scripts"]).values():
        module, _, function = target.partition(":")
        assert callable(getattr(importlib.import_module(module), function)), target


def test_the_desktop_entry_starts_a_program_of_ours_with_an_icon_of_ours() -> None:
    """Keys and their order of groups by the Desktop Entry Specification 1.5, freedesktop.org (from memory)."""
    entry = configparser.ConfigParser(interpolation=None, delimiters=("=",))
    entry.optionxform = str  # type: ignore[assignment,method-assign]  # keys keep their capitals
    entry.read(ROOT / "acquire" / "window" / "satline.desktop", encoding="utf-8")
    assert entry.sections() == ["Desktop Entry"]
    values = entry["Desktop Entry"]
    assert values["Type"] == "Application"
    assert values["Exec"] in SETTINGS["project"]["gui-scripts"]
    assert values["Categories"].endswith(";")
    assert (ROOT / "acquire" / "window" / f"{values['Icon']}.svg").is_file()


def test_the_icon_is_a_square_picture_that_loads_nothing() -> None:
    root = ElementTree.parse(ROOT / "acquire" / "window" / "satline.svg").getroot()
    assert root.get("width") == root.get("height")
    assert {element.tag.rpartition("}")[2] for element in root.iter()} <= {"svg", "title", "rect", "path"}
    assert not [key for element in root.iter() for key in element.attrib if "href" in key]
