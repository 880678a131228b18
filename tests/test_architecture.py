"""Who may import whom, and how long a module may be; with tests that a breach is noticed."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MAX_LINES = 400
OURS = {"drivers", "sim", "analysis", "acquire"}

# Folder -> (ours it may import, outside packages that only it, or only some folders, may import).
# The most specific folder decides.
GUARDED = {"PyQt5", "pyqtgraph", "h5py", "serial", "jinja2", "matplotlib", "rich", "time", "pydantic", "pymodbus"}
RULES: dict[str, tuple[set[str], set[str]]] = {
    "drivers": ({"drivers"}, {"serial", "pydantic"}),
    "drivers/modbus": ({"drivers"}, {"serial", "pydantic", "pymodbus"}),
    "sim": ({"sim", "drivers"}, {"pydantic"}),
    "analysis": ({"analysis"}, set()),
    "acquire": ({"acquire", "drivers", "analysis", "sim"}, {"pydantic"}),
    "acquire/clocks": (set(), {"time"}),
    "acquire/runfile": ({"acquire", "drivers", "analysis"}, {"h5py"}),
    "acquire/report": ({"acquire", "drivers", "analysis"}, {"jinja2", "matplotlib"}),
    "acquire/commands": ({"acquire", "drivers", "analysis", "sim"}, {"rich"}),
    "acquire/window": ({"acquire", "analysis"}, {"PyQt5", "pyqtgraph"}),
}
# What `drivers` lends to the simulator: profile data, and the one strict TOML reader.
SIM_MAY_IMPORT_FROM_DRIVERS = {
    "drivers", "drivers.profile", "drivers.tomlfile", "drivers.errors", "drivers.checksums", "drivers.profile_parts",
}  # fmt: skip
OUTSIDE_FOR_ANALYSIS = {"numpy", "scipy"}


def rule_for(path: str) -> tuple[set[str], set[str]]:
    """The rule of the longest folder or module prefix."""
    stem = path.removesuffix(".py")
    best = max((key for key in RULES if stem == key or stem.startswith((key + "/", key + "_"))), key=len)
    return RULES[best]


def imported(source: str) -> set[str]:
    """Dotted names that a module imports, at its top or inside functions."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide the folder that is imported"
            names.add(node.module or "")
    return names


def breaches(path: str, source: str) -> list[str]:
    """Sentences, one for each way in which this module breaks the table."""
    allowed_ours, allowed_outside = rule_for(path)
    found = []
    for name in sorted(imported(source)):
        top = name.split(".")[0]
        if top in OURS and top not in allowed_ours:
            found.append(f"{path} imports {name}")
        if top in GUARDED and top not in allowed_outside:
            found.append(f"{path} imports {top}")
        if path.startswith("sim/") and top == "drivers" and name not in SIM_MAY_IMPORT_FROM_DRIVERS:
            found.append(f"{path} imports {name}: the simulator may only see profile data")
        if name.startswith("acquire.window") and not path.startswith(("acquire/window/", "acquire/commands/")):
            found.append(f"{path} imports {name}: only commands open windows")
        if path.startswith("analysis/") and top not in OURS | OUTSIDE_FOR_ANALYSIS | _standard_library():
            found.append(f"{path} imports {top}")
        if path.startswith("analysis/") and top in {"threading", "socket", "random", "subprocess", "datetime"}:
            found.append(f"{path} imports {top}: analysis has no threads, clocks or randomness of its own")
    for node in ast.walk(ast.parse(source)):
        if (
            isinstance(node, ast.ExceptHandler)
            and (
                node.type is None
                or (isinstance(node.type, ast.Name) and node.type.id in {"Exception", "BaseException"})
            )
            and path not in LAST_RESORTS
        ):
            found.append(f"{path}:{node.lineno} catches everything")
    lines = source.count("\n") + 1
    if lines > MAX_LINES:
        found.append(f"{path} has {lines} lines; split it by idea (at most {MAX_LINES})")
    return found


# Where the unforeseen is caught once, the run file closed and the person told.
LAST_RESORTS = {
    "acquire/commands/main.py",
    "acquire/window/crash.py",
    "acquire/recorder_process.py",
    "drivers/source.py",  # a mistake in reading must not end the recording of what still comes
}


def _standard_library() -> set[str]:
    import sys

    return set(sys.stdlib_module_names) | {"__future__"}


def our_modules() -> list[str]:
    return sorted(
        str(path.relative_to(ROOT)) for folder in OURS for path in (ROOT / folder).rglob("*.py") if path.is_file()
    )


@pytest.mark.parametrize("path", our_modules())
def test_a_module_keeps_to_its_folder_and_stays_small(path: str) -> None:
    assert breaches(path, (ROOT / path).read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", sorted(str(p.relative_to(ROOT)) for p in (ROOT / "tests").rglob("*.py")))
def test_a_test_module_stays_small(path: str) -> None:
    assert (ROOT / path).read_text(encoding="utf-8").count("\n") < MAX_LINES


@pytest.mark.parametrize(
    ("path", "source"),
    [
        ("drivers/ports.py", "from analysis import rounding"),
        ("drivers/ports.py", "import PyQt5.QtCore"),
        ("drivers/conversion.py", "import pymodbus"),
        ("sim/bath.py", "import analysis.liquids"),
        ("sim/bath.py", "from drivers.source import ReadingSource"),
        ("analysis/line_fit.py", "import time"),
        ("analysis/line_fit.py", "import pandas"),
        ("analysis/line_fit.py", "from acquire.run import Run"),
        ("acquire/run.py", "import h5py"),
        ("acquire/run.py", "def f():\n    import time"),
        ("acquire/run.py", "from acquire.window.bench import Bench"),
        ("acquire/window/bench.py", "import h5py"),
        ("acquire/window/bench.py", "from drivers.units import to_si"),
        ("acquire/report/page.py", "import rich"),
        ("acquire/run.py", "try:\n    f()\nexcept Exception:\n    pass"),
        ("acquire/run.py", "try:\n    f()\nexcept:\n    pass"),
        ("acquire/run.py", "x = 1\n" * 401),
    ],
)
def test_a_breach_is_noticed(path: str, source: str) -> None:
    assert breaches(path, source) != []


@pytest.mark.parametrize(
    ("path", "source"),
    [
        ("drivers/modbus.py", "import pymodbus"),
        ("acquire/clocks.py", "import time"),
        ("acquire/runfile/writer.py", "import h5py"),
        ("acquire/window/bench.py", "from acquire.snapshot import Snapshot"),
        ("sim/device.py", "from drivers.profile import load_profile"),
    ],
)
def test_what_the_table_allows_is_allowed(path: str, source: str) -> None:
    assert breaches(path, source) == []
