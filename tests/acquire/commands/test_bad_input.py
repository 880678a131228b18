"""What a person can get wrong: each a clear sentence, exit status 1, nothing lost and nothing half made."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from acquire.commands.main import main

POINTS = """\
temperature/degC,pressure/kPa
20,4.7222
30,7.777
40,12.3264
"""  # n-heptane, CoolProp 8.0.0


def say(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run the command, which must fail; what it said."""
    assert main(list(arguments)) == 1
    told = capsys.readouterr()
    assert "Traceback" not in told.err + told.out
    return told.err


def table(folder: Path, text: str) -> str:
    path = folder / "points.csv"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_missing_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert "there is no file 'nowhere.h5'; expected a run file or a CSV of points" in say(capsys, "fit", "nowhere.h5")


def test_a_table_without_units(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = say(capsys, "fit", table(tmp_path, "temperature,pressure\n20,4.7\n"), "--air", "none", "--liquid", "water")
    assert "points.csv:1: the column 'temperature' without a unit; expected a header such as" in told


def test_a_table_whose_air_is_not_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = say(capsys, "fit", table(tmp_path, POINTS), "--liquid", "n-heptane")
    assert "a table does not say how its air was treated; give --air" in told


def test_two_points_only(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = "".join(POINTS.splitlines(keepends=True)[:3])
    told = say(capsys, "fit", table(tmp_path, text), "--air", "none", "--liquid", "n-heptane")
    assert "2 usable points; expected at least 3" in told


def test_a_file_that_is_no_run_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "run.h5"
    path.write_bytes(b"\x89HDF\r\n\x1a\n" + b"not really" * 100)
    assert "run.h5" in say(capsys, "fit", str(path))
    path.write_text("hello")
    assert "run.h5" in say(capsys, "report", str(path))
    assert path.read_text() == "hello"


def test_a_folder_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    told = say(capsys, "demo", "--no-window", "--out", str(blocked / "demo"))
    assert "cannot write in" in told
    assert "choose another folder with --out" in told


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="the administrator may write anywhere")
def test_a_folder_without_permission(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tmp_path.chmod(0o500)
    assert "cannot write in" in say(capsys, "simulate", "calm", "--out", str(tmp_path / "deep" / "run.h5"))


def test_a_run_file_is_never_overwritten(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "run.h5"
    path.write_text("precious")
    assert "is already there and is not overwritten" in say(capsys, "simulate", "calm", "--out", str(path))
    assert path.read_text() == "precious"


def test_a_missing_port(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "run.h5"
    told = say(capsys, "log", "--device", "simulated-bench@/dev/nowhere", "--out", str(out))
    assert "/dev/nowhere" in told
    assert not out.exists()


def test_a_profile_with_planted_faults(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    profile = tmp_path / "faulty.toml"
    profile.write_text('name = "faulty"\ntitel = "x"\nrate = "fast"\n')
    told = say(capsys, "log", "--device", f"{profile}@/dev/null", "--out", str(tmp_path / "run.h5"))
    assert "faulty.toml:2: titel: found unknown key 'titel'" in told
    assert "did you mean 'title'?" in told
    assert "faulty.toml:3: rate" in told


def test_a_plan_with_faults(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text('[bath]\ntargets = ["25 degC", "50 degC"]\n[cell]\nvolume = 140\nvolum = "1 mL"\n')
    told = say(capsys, "log", "--device", "sim:calm", "--plan", str(plan), "--out", str(tmp_path / "run.h5"))
    assert "plan.toml:4: cell.volume" in told.replace("run plan", "plan.toml")
    assert "has no unit" in told
    assert "did you mean 'volume'?" in told


def test_unknown_names_are_answered_with_near_ones(capsys: pytest.CaptureFixture[str]) -> None:
    assert "calm" in say(capsys, "simulate", "clam", "--no-file")
    assert "n-heptane" in say(capsys, "liquids", "--show", "n-heptan")


def test_no_device_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert "no device was named; expected --device PROFILE@PORT" in say(capsys, "log")


def test_a_device_without_a_profile_of_this_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = say(capsys, "log", "--device", "simulated-bensh@/dev/nowhere", "--out", str(tmp_path / "run.h5"))
    assert "no device profile 'simulated-bensh'; expected one of" in told
    assert "did you mean 'simulated-bench'" in told


@pytest.mark.parametrize("folder", [".", ".."])
def test_a_folder_in_place_of_a_file(
    folder: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "inner").mkdir()
    monkeypatch.chdir(tmp_path / "inner")
    assert "expected a run file or a CSV of points" in say(capsys, "fit", folder)
    assert f"{folder} is a folder; expected a run file. Name a file inside it." in say(capsys, "verify", folder)


def test_what_the_system_refuses_has_a_way_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = say(capsys, "pool", str(tmp_path / "nowhere.h5"), "--workers", "0", "--out", str(tmp_path / "out"))
    assert "nowhere.h5: No such file or directory; expected something that is there. Check the name" in told
    assert "Errno" not in told


@pytest.mark.parametrize(
    ("arguments", "instead"),
    [(["fit"], "name a run file or a CSV of points"), (["bench"], "use `satline log`")],
)
def test_without_a_screen_each_command_names_what_does_the_same(
    arguments: list[str], instead: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("acquire.window.availability.has_display", lambda: False)
    told = say(capsys, *arguments)
    assert "there is no display for a window here; " + instead in told


def test_a_port_of_no_network(capsys: pytest.CaptureFixture[str]) -> None:
    assert "the port is 99999; expected 1 to 65535, or 0 for a free one" in say(
        capsys, "serve-bench", "calm", "--tcp", "99999"
    )


def test_a_scheduler_without_a_port(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "points.csv").write_text(POINTS, encoding="utf-8")
    told = say(capsys, "pool", str(tmp_path), "--cluster", "nonsense", "--out", str(tmp_path / "out"))
    assert "found 'nonsense'; expected the address of a scheduler" in told
