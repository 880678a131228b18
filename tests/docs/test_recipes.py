"""What DEVELOPERS.md says about adding things, followed to the letter: profile, scenario, liquid, finding, command."""

from __future__ import annotations

import argparse
import json
import math
import re
import sys
import types
from pathlib import Path

import numpy as np
import pytest

import acquire.commands.main as entry
import analysis.enthalpy
from acquire.commands.main import main
from acquire.finding_words import with_words
from acquire.finding_words_en import FINDINGS_EN
from analysis.enthalpy import fit_enthalpy
from analysis.fit_input import FitPoint
from analysis.liquids import load_liquid
from drivers.profile import SHIPPED, list_profiles, user_folder

ROOT = Path(__file__).parents[2]


def recipe(name: str) -> str:
    """The paragraph of DEVELOPERS.md that begins with this name in bold."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(rf"^\*\*{re.escape(name)}\*\*(.*?)\n\n", text + "\n\n", re.MULTILINE | re.DOTALL)
    assert found, name
    return found.group(1)


def own_profile(sample: str = '"1200;22.31;100.95\\n"') -> str:
    """The nearest shipped file with name, framing, decoding and samples changed."""
    text = (SHIPPED / "delimited-text.toml").read_text(encoding="utf-8")
    text = text[: text.index("[[sample]]")]
    for old, new in (
        ('name = "delimited-text"', 'name = "cupboard-box"'),
        ('separator = ","', 'separator = ";"'),
        ("field = 2", "field = 3"),
        ("field = 1", "field = 2"),
    ):
        assert old in text
        text = text.replace(old, new)
    samples = f'[[sample]]\ntext = {sample}\nreadings = {{ temperature = "22.31 degC", pressure = "100.95 kPa" }}\n'
    return text + samples


def test_a_profile(capsys: pytest.CaptureFixture[str]) -> None:
    assert "drivers/profiles/" in recipe("A device profile.")
    user_folder().mkdir(parents=True)
    (user_folder() / "cupboard-box.toml").write_text(own_profile(), encoding="utf-8")
    assert "cupboard-box" in {profile.name for profile in list_profiles()}
    assert main(["profiles", "--test", "cupboard-box"]) == 0
    assert "1 samples mean what they say" in capsys.readouterr().out


def test_a_profile_whose_sample_says_something_else(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "cupboard-box.toml"
    file.write_text(own_profile('"1200;22.31;10.095\\n"'), encoding="utf-8")
    assert main(["profiles", "--test", str(file)]) == 1
    assert "expected 100.95 kPa" in capsys.readouterr().err


@pytest.mark.slow
def test_a_scenario(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "sim/scenarios/" in recipe("A scenario.")
    text = (ROOT / "sim" / "scenarios" / "calm.toml").read_text(encoding="utf-8")
    for old, new in (
        ('name = "calm"', 'name = "short"'),
        ("[25, 28, 31, 34, 37]", "[26, 31]"),
        ("return_degC = 29", ""),
    ):
        assert old in text
        text = text.replace(old, new)
    file = tmp_path / "short.toml"
    file.write_text(text + '\n[[mishaps]]\nkind = "cable_pulled"\nwhen = "pour"\nafter_s = 30\nfor_s = 5\n')
    assert main(["scenarios", "--show", str(file)]) == 0
    assert capsys.readouterr().out.startswith("short: ")
    assert main(["simulate", str(file), "--no-file", "--json"]) == 0
    assert '"enthalpy_vap"' in capsys.readouterr().out


OWN_LIQUID = """
format = 1

[[liquid]]
name = "bench spirit"
aliases = ["spirit of the workshop"]
molar_mass = 0.1
saturation = { coefficients = [22.0, -4000.0, 0.0, 0.0], range = [273.15, 333.15], u_relative = 0.01, source = "ours" }
dz = { coefficients = [-60.0, 0.0, 0.0], range = [273.15, 333.15], u = 0.003, source = "made up: an ideal vapour" }
"""


def test_a_liquid_in_a_table_of_ones_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its enthalpy is 4000 K times the gas constant, by Clapeyron's equation for an ideal vapour."""
    assert "acquire/own_liquids.py" in recipe("A liquid.")
    user_folder().mkdir(parents=True)
    (user_folder().parent / "liquids.toml").write_text(OWN_LIQUID, encoding="utf-8")
    assert main(["liquids", "--show", "spirit of the workshop"]) == 0
    assert "bench spirit" in capsys.readouterr().out
    rows = [f"{t},{math.exp(22.0 - 4000.0 / t):.3f},0.02,20" for t in np.linspace(293.15, 313.15, 6)]
    table = tmp_path / "points.csv"
    table.write_text("\n".join(["temperature/K,pressure/Pa,u_temperature/K,u_pressure/Pa", *rows]), encoding="utf-8")
    assert main(["fit", str(table), "--liquid", "bench spirit", "--air", "none", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["enthalpy_vap"]
    low, high = found["interval_95"]
    assert low < 4000.0 * 8.314462618 < high
    assert found["value"] == pytest.approx(4000.0 * 8.314462618, abs=2 * found["standard_uncertainty"])


NEW_FINDING = """

def _four_points(e: Evidence) -> list[Finding]:
    if len(e.used) != 4:
        return []
    return [Finding("four-points", "note", 4.0, 5.0, facts={"points": 4.0})]
"""


def test_a_finding(monkeypatch: pytest.MonkeyPatch) -> None:
    """A function in the module that sees what it needs, its name in that module's list, and its sentences."""
    assert "findings_*.py" in recipe("A finding.")
    assert "acquire/finding_words_en.py" in recipe("A finding.")
    monkeypatch.setitem(FINDINGS_EN, "four-points", {"": ("There are {points:1.0} points.", "Take one more.")})
    source = (ROOT / "analysis" / "findings_points.py").read_text(encoding="utf-8")
    assert source.count("_level, _enthalpy, _pulls,\n") == 1
    changed = source.replace("_level, _enthalpy, _pulls,\n", "_level, _enthalpy, _pulls, _four_points,\n") + NEW_FINDING
    module = types.ModuleType("analysis.findings_points_changed")
    monkeypatch.setitem(sys.modules, module.__name__, module)
    exec(compile(changed, "findings_points.py", "exec"), module.__dict__)
    monkeypatch.setattr(analysis.enthalpy, "point_findings", module.point_findings)
    liquid = load_liquid("n-heptane")
    temperatures = np.linspace(293.15, 308.15, 4)
    points = [FitPoint(float(t), float(liquid.saturation_pressure(t)), 0.02, 20.0) for t in temperatures]
    for count, expected in ((4, True), (3, False)):
        document = with_words(fit_enthalpy(points[:count], liquid=liquid, air="none").as_dict())
        said = {found["code"]: (found["text"], found["advice"]) for found in document["findings"]}
        assert (said.get("four-points") == ("There are 4 points.", "Take one more.")) is expected


def test_a_command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """A module with `add_parser` and `run`, and its name in the list of commands; completion knows it by itself."""
    assert "COMMANDS" in recipe("A command.")

    def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
        parser = subparsers.add_parser("wave", help="say good day")
        parser.add_argument("--twice", action="store_true")
        parser.set_defaults(module="wave")

    def run(args: argparse.Namespace) -> int:
        print("good day" * (1 + args.twice))
        return 0

    module = types.ModuleType("acquire.commands.wave")
    module.__dict__.update(add_parser=add_parser, run=run)
    monkeypatch.setitem(sys.modules, module.__name__, module)
    monkeypatch.setattr(entry, "COMMANDS", (*entry.COMMANDS, "wave"))
    assert main(["wave", "--twice"]) == 0
    assert capsys.readouterr().out == "good daygood day\n"
    assert main(["completion", "bash"]) == 0
    assert "--twice" in capsys.readouterr().out
