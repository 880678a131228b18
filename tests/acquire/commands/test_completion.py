"""The shells complete what the parser knows; bash is asked itself."""

from __future__ import annotations

import shutil
import subprocess

import pytest

from acquire.commands import completion
from acquire.commands.completion import bash_script, commands_of, fish_script, names_of, zsh_script
from acquire.commands.main import build_parser, main


@pytest.fixture(scope="module")
def commands():
    return commands_of(build_parser())


def bash(script: str, *words: str, folder=None) -> list[str]:
    """What bash would offer for the last of these words."""
    line = " ".join(f"'{word}'" for word in words)
    asked = (
        f"{script}\nCOMP_WORDS=({line}); COMP_CWORD={len(words) - 1}; _satline; printf '%s\\n' \"${{COMPREPLY[@]}}\""
    )
    done = subprocess.run(["bash", "-c", asked], capture_output=True, text=True, check=True, cwd=folder, timeout=20)
    assert done.stderr == ""
    return done.stdout.split("\n")[:-1]


needs_bash = pytest.mark.skipif(shutil.which("bash") is None, reason="no bash on this machine")


@needs_bash
def test_bash_offers_commands_options_choices_names_and_files(commands, tmp_path) -> None:
    script = bash_script(commands)
    (tmp_path / "a run.h5").touch()
    (tmp_path / "runs").mkdir()
    assert bash(script, "satline", "si") == ["simulate"]
    assert bash(script, "satline", "fit", "--l") == ["--liquid"]
    assert bash(script, "satline", "export", "--to", "x") == ["xlsx-friendly-csv"]
    assert "wet-hands" in bash(script, "satline", "simulate", "", folder=tmp_path)
    assert bash(script, "satline", "verify", "a", folder=tmp_path) == ["a run.h5"]
    assert bash(script, "satline", "demo", "--out", "", folder=tmp_path) == ["runs"]
    assert bash(script, "satline", "profiles", "--test", "modb", folder=tmp_path) == ["modbus-registers"]
    assert bash(script, "satline", "demo", "--speed", "", folder=tmp_path) == [""]


@needs_bash
def test_no_text_of_ours_is_run_by_the_shell(tmp_path) -> None:
    """A help text with quotes, dollars and brackets stays a text."""
    nasty = 'it\'s $(touch harm) `touch harm` [a:b] "c" \\'
    option = completion.Option(("--say",), nasty, completion.Place(completion.ANYTHING, ("$(touch harm)", "it's")))
    made = (completion.Command("tell", nasty, (option,), ()),)
    bash(bash_script(made), "satline", "tell", "--say", "", folder=tmp_path)
    assert not (tmp_path / "harm").exists()
    assert "it\\'s" in fish_script(made)
    assert "'\\''" in zsh_script(made)


@pytest.mark.skipif(shutil.which("fish") is None, reason="no fish on this machine")
def test_fish_offers_the_same(commands, tmp_path) -> None:
    (tmp_path / "script.fish").write_text(fish_script(commands))
    (tmp_path / "run.h5").touch()
    (tmp_path / "runs").mkdir()

    def offered(line: str) -> list[str]:
        asked = ["fish", "--no-config", "-c", f"source script.fish; complete -C '{line}'"]
        done = subprocess.run(asked, capture_output=True, text=True, check=True, cwd=tmp_path, timeout=30)
        return [row.partition("\t")[0] for row in done.stdout.splitlines()]

    assert offered("satline simu") == ["simulate"]
    assert offered("satline fit --li") == ["--liquid"]
    assert set(offered("satline export --to ")) == {"csv", "json", "xlsx-friendly-csv", "hdf5"}
    assert offered("satline demo --out ru") == ["runs/"]
    assert offered("satline verify run.") == ["run.h5"]
    assert offered("satline simulate wet") == ["wet-hands"]


@pytest.mark.skipif(shutil.which("zsh") is None, reason="no zsh on this machine")
def test_zsh_takes_the_script(commands, tmp_path) -> None:
    """Its syntax; what it offers can only be seen at its prompt."""
    (tmp_path / "_satline").write_text(zsh_script(commands))
    done = subprocess.run(["zsh", "-n", "_satline"], cwd=tmp_path, capture_output=True, text=True, timeout=30)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("write", [zsh_script, fish_script])
def test_every_command_and_long_option_is_in_the_other_scripts_too(write, commands) -> None:
    script = write(commands)
    for command in commands:
        rows = [row for row in script.splitlines() if command.name in row.replace("'", " ").replace(")", " ").split()]
        assert rows, command.name
        for option in command.options:
            name = option.flags[-1] if write is zsh_script else option.flags[-1].lstrip("-")
            assert any(name in row for row in rows), (command.name, name)


def test_names_are_those_of_the_shipped_files() -> None:
    from analysis.liquids import list_liquids
    from drivers.profile import list_profiles
    from sim.scenario import list_scenarios

    assert set(names_of(completion.SCENARIO)) == {scenario.name for scenario in list_scenarios()}
    assert set(names_of(completion.PROFILE)) == {profile.name for profile in list_profiles()}
    assert set(names_of(completion.LIQUID)) == {liquid.name for liquid in list_liquids() if " " not in liquid.name}
    assert "n-heptane" in names_of(completion.LIQUID)


def test_the_command_prints_the_script_and_refuses_other_shells(capsys) -> None:
    assert main(["completion", "fish"]) == 0
    assert "complete -c satline" in capsys.readouterr().out
    with pytest.raises(SystemExit) as refused:
        main(["completion", "no-shell"])
    assert refused.value.code == 2
