"""The pages for people say what the program does: commands run, links lead somewhere, keys and defaults hold."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest

from acquire.commands.completion import commands_of
from acquire.commands.main import COMMANDS, build_parser, main

ROOT = Path(__file__).parents[2]
PAGES = ("README.md", "DEVELOPERS.md", *sorted(str(p.relative_to(ROOT)) for p in (ROOT / "docs").glob("*.md")))
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def text_of(page: str) -> str:
    return (ROOT / page).read_text(encoding="utf-8")


def blocks(page: str, kind: str) -> list[str]:
    """Fenced blocks of one kind, in order."""
    return [body for found, body in FENCE.findall(text_of(page)) if found == kind]


def our_commands(page: str) -> list[list[str]]:
    """Arguments of every satline command in the blocks of a page."""
    lines = [line for kind in ("sh", "console") for body in blocks(page, kind) for line in body.splitlines()]
    lines += [found for line in lines for found in re.findall(r"\$\((satline [^)]*)\)", line)]
    lines += re.findall(r"^    (satline .*?)(?:  .*)?$", text_of(page), re.MULTILINE)
    return [shlex.split(line)[1:] for line in lines if line.startswith("satline ")]


def mentioned(page: str) -> list[list[str]]:
    """Arguments of every satline command inside the sentences of a page; they may be cut short."""
    codes = re.findall(r"`([^`\n]+)`", FENCE.sub("", text_of(page)))
    return [shlex.split(code)[1:] for code in codes if code.startswith("satline ")]


@pytest.mark.parametrize("page", PAGES)
def test_every_command_of_a_page_is_one_that_the_program_takes(page: str, capsys: pytest.CaptureFixture[str]) -> None:
    parser = build_parser()
    for arguments in our_commands(page):
        try:
            parser.parse_args(arguments)
        except SystemExit:
            told = capsys.readouterr().err
            pytest.fail(f"{page}: satline {shlex.join(arguments)}: {told}")


@pytest.mark.parametrize("page", PAGES)
def test_every_command_and_option_in_a_sentence_exists(page: str) -> None:
    known = {one.name: {flag for option in one.options for flag in option.flags} for one in commands_of(build_parser())}
    for name, *rest in mentioned(page):
        assert name in known, f"{page}: satline {name}"
        assert {word for word in rest if word.startswith("-")} <= known[name], f"{page}: satline {name} {rest}"


@pytest.mark.slow
@pytest.mark.parametrize("page", [page for page in PAGES if blocks(page, "sh")])
def test_blocks_that_need_neither_bench_nor_person_run_from_top_to_bottom(
    page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    for body in blocks(page, "sh"):
        for line in body.splitlines():
            program, *arguments = shlex.split(line)
            assert program == "satline", f"{page}: {line!r} is run by nobody; such a block is for satline alone"
            status = main(arguments)
            told = capsys.readouterr()
            if arguments[0] == "doctor":  # judges the machine the tests run on; that it answers is what counts
                assert "satline" in told.out
                continue
            assert status == 0, f"{page}: {line}: {told.err}"
            assert told.out.strip(), line


def test_the_pages_hold_many_commands() -> None:
    """The tests above would pass on pages without commands."""
    named = {arguments[0].replace("-", "_") for page in PAGES for arguments in (*our_commands(page), *mentioned(page))}
    assert named >= set(COMMANDS), sorted(set(COMMANDS) - named)


@pytest.mark.parametrize("page", PAGES)
def test_links_and_pictures_lead_to_files_of_the_project(page: str) -> None:
    for target in re.findall(r"\]\(([^)\s]+)\)", text_of(page)):
        assert "://" not in target, f"{page}: {target} is not in the project"
        assert (ROOT / page).parent.joinpath(target.partition("#")[0]).is_file(), f"{page}: {target}"


def test_every_page_is_in_the_index() -> None:
    index = text_of("docs/README.md")
    missing = [page for page in PAGES if page.startswith("docs/") and f"({Path(page).name})" not in index]
    assert missing == ["docs/README.md"]  # the index itself


def test_the_plan_of_the_page_has_every_key_with_its_default() -> None:
    from acquire.plan import RunPlan
    from drivers.tomlfile import load_model

    (example,) = blocks("docs/plans.md", "toml")
    plan = load_model(example, RunPlan).model_dump()
    default = RunPlan().model_dump()
    plan["title"] = default["title"]
    assert plan["room"].pop("humidity") == 0.45
    default["room"].pop("humidity")
    assert (plan.pop("mark"), default.pop("mark")) == (None, None), "no mark unless somebody sets a scale"
    missing = [key for key in keys_of(default) if key not in keys_of(tomllib.loads(example))]
    assert missing == []
    for (key, shown), (_, held) in zip(keys_of(plan).items(), keys_of(default).items(), strict=True):
        assert shown == pytest.approx(held) if isinstance(held, float) else str(shown) == str(held), key


def keys_of(table: dict, before: str = "") -> dict[str, object]:
    """Dotted keys of nested tables with their values."""
    found: dict[str, object] = {}
    for key, value in table.items():
        found |= keys_of(value, f"{before}{key}.") if isinstance(value, dict) else {before + key: value}
    return found


def test_the_plan_for_a_class_is_one() -> None:
    from acquire.plan import RunPlan
    from drivers.tomlfile import load_model

    (example,) = blocks("docs/class.md", "toml")
    assert load_model(example, RunPlan).bench == "bench 7"


def test_the_scenario_of_the_page_is_played(tmp_path: Path) -> None:
    from sim.device import SimulatedBench
    from sim.mishap_records import mishap_classes
    from sim.scenario import list_scenarios, load_scenario

    (example,) = blocks("docs/scenarios.md", "toml")
    file = tmp_path / "draughty-corner.toml"
    file.write_text(example, encoding="utf-8")
    scenario = load_scenario(file)
    assert len(SimulatedBench(scenario, seed=1).advance(3.0).splitlines()) > 20
    page = text_of("docs/scenarios.md")
    for mishap in mishap_classes():
        assert f"`{mishap.kind_name()}`" in page, mishap.kind_name()
    for shipped in list_scenarios():
        assert f"`{shipped.name}`" in page or shipped.name.startswith("blind-"), shipped.name


def test_every_settling_setting_is_on_its_page_with_its_default() -> None:
    from acquire.plan import Settle
    from drivers.units import parse_quantity

    rows = dict(re.findall(r"^\| `(\w+)` \| ([^|]*) \|", text_of("docs/settings.md"), re.MULTILINE))
    default = Settle()
    assert set(rows) == set(Settle.model_fields)
    for name, shown in rows.items():
        value, shown = getattr(default, name), shown.strip(" `")
        if isinstance(value, bool | str):
            assert shown == str(value).lower(), name
        elif shown.endswith(" s"):
            assert parse_quantity(shown)[0] == value, name
        else:
            assert shown == f"{value:g} K", name


def test_keys_in_the_bench_guide_are_those_of_window_and_terminal() -> None:
    from acquire import acts
    from acquire.commands.keys import KEYS
    from acquire.window.acts_state import ANSWER_KEY, LABELS

    names = {
        "begin": [acts.BEGIN],
        "take the plateau": [acts.TAKE],
        "set aside": [acts.SET_ASIDE],
        "valve shut, valve open": [acts.VALVE_CLOSED, acts.VALVE_OPENED],
        "liquid is in": [acts.CHARGED],
        "warm water, cold water is in": [acts.WARMED, acts.COOLED],
        "next step": [acts.NEXT],
        "undo, redo": [acts.UNDO, acts.REDO],
        "vented": [acts.VENTED],
        "finish the run": [acts.FINISH],
    }
    rows = re.findall(r"^\| ([^|]*) \| (`[^|]*) \|([^|]*)\|$", text_of("docs/bench-guide.md"), re.MULTILINE)
    shown = {act: (re.findall(r"`([^`]+)`", window), re.findall(r"`([^`]+)`", tty)) for act, window, tty in rows}
    assert shown["done, whatever is asked for"][0] == [ANSWER_KEY]
    by_name = {"Space": " ", "Backspace": "\x7f"}
    for words, wanted in names.items():
        window, terminal = shown[words]
        assert window == [LABELS[act][1] for act in wanted], words
        assert [KEYS[by_name.get(key, key)] for key in terminal] == wanted, words


@pytest.mark.qt
def test_switches_in_the_bench_guide_are_those_of_the_window() -> None:
    from acquire.window.bench_keys import SWITCHES

    page = text_of("docs/bench-guide.md")
    for name in ("big numbers", "theme", "larger", "smaller", "mute", "cautions"):
        assert f"`{SWITCHES[name][1][0]}`" in page, name


def test_the_table_of_the_page_is_fitted_and_holds_the_calorimetric_value(tmp_path: Path, capsys) -> None:
    """36.57 kJ/mol at 298.15 K: CRC Handbook tables, as shipped in the package `chemicals`."""
    (table,) = blocks("docs/tables.md", "csv")
    (tmp_path / "points.csv").write_text(table, encoding="utf-8")
    assert main(["fit", str(tmp_path / "points.csv"), "--liquid", "n-heptane", "--air", "none", "--json"]) == 0
    low, high = json.loads(capsys.readouterr().out)["enthalpy_vap"]["at_298_15"]["interval_95"]
    assert low < 36570.0 < high


def test_every_column_branch_and_unit_of_the_tables_page_is_one() -> None:
    from acquire.points_csv import BRANCHES, COLUMNS
    from drivers.units import quantity_of

    page = text_of("docs/tables.md")
    assert all(f"`{name}`" in page for name in (*COLUMNS, *BRANCHES))
    units = re.search(r"any unit of the program \((.*?)\)", page)
    assert units
    assert {quantity_of(unit) for unit in re.findall(r"`(\w+)`", units.group(1))} == {"temperature", "pressure"}


@pytest.mark.skipif(shutil.which("cc") is None, reason="no C compiler on this machine")
def test_the_program_for_a_board_prints_what_its_profile_reads(tmp_path: Path) -> None:
    """The sketch of the page, compiled; its line is the sample of the shipped profile."""
    from drivers.profile import load_profile

    (sketch,) = blocks("docs/devices.md", "c")
    assert len(sketch.splitlines()) <= 16
    source = "#include <stdint.h>\n#include <stdio.h>\n" + sketch
    source += "int main(void) { print_reading(1200, 21.84, 101.32); return 0; }\n"
    (tmp_path / "board.c").write_text(source)
    subprocess.run(["cc", "-o", "board", "board.c"], cwd=tmp_path, check=True, timeout=60)
    line = subprocess.run([str(tmp_path / "board")], capture_output=True, text=True, check=True, timeout=10).stdout
    assert line == load_profile("text-with-checksum").sample[0].text


def test_the_asked_devices_of_the_page_are_the_shipped_profiles() -> None:
    from drivers.profile import SHIPPED

    for example, name in zip(blocks("docs/devices.md", "toml"), ("text-questions", "modbus-registers"), strict=True):
        shipped = tomllib.loads((SHIPPED / f"{name}.toml").read_text(encoding="utf-8"))
        assert tomllib.loads(example)["decoding"] == shipped["decoding"]


def test_the_two_commands_of_the_readme_stand_between_their_marks() -> None:
    """Machines read them there."""
    for mark, words in (("demo", "satline demo"), ("tests", "pytest")):
        (found,) = re.findall(rf"<!-- {mark} -->\n```\n(.*)\n```\n<!-- end -->", text_of("README.md"))
        assert found.startswith("python3 -m venv .venv && .venv/bin/pip install ")
        assert words in found


#: Codes of what the doctor looks at -> words of its row on the page.
DOCTOR_ROWS = {
    "package": "is not installed",
    "serial": "the wrong package is called serial",
    "ports": "no serial port is present",
    "port": "a port cannot be opened",
    "folder": "the folder cannot be written",
    "disk": "little room on the disk",
    "network_disk": "a network disk",
    "display": "there is no display",
    "pauses": "long pauses",
    "date": "a date before 2024",
}


def test_everything_the_doctor_may_complain_of_has_a_row() -> None:
    source = (ROOT / "acquire" / "commands" / "doctor.py").read_text(encoding="utf-8")
    codes = set(re.findall(r'Symptom\(\s*"(\w+)"', source)) - {"version", "packages"}  # those two only tell
    assert codes == set(DOCTOR_ROWS)
    page = text_of("docs/troubleshooting.md")
    for code, words in DOCTOR_ROWS.items():
        assert re.search(rf"^\| [^|]*{words}[^|]* \|", page, re.MULTILINE), code
