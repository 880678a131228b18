"""ports, listen, check, doctor, profiles as a person types them."""

import io
import json
import os
import sys
import threading
import tty
import types

import pytest

from acquire.commands import doctor
from acquire.commands.main import main
from acquire.commands.wrapped import say, wrapped
from acquire.recorder_room import BYTES_PER_READING
from drivers.profile import load_profile


@pytest.fixture
def talking_port():
    """A pseudo-terminal on which a board prints a room's values until the test ends."""
    ours, theirs = os.openpty()
    tty.setraw(theirs)
    over = threading.Event()

    def talk():
        number = 0
        while not over.wait(0.01):
            os.write(ours, b"%.2f,%.2f\n" % (21.5 + 0.01 * (number % 5), 98.2 + 0.01 * (number % 7)))
            number += 1

    thread = threading.Thread(target=talk)
    thread.start()
    yield os.ttyname(theirs)
    over.set()
    thread.join()
    os.close(ours)
    os.close(theirs)


def test_ports_are_listed_as_json_and_nothing_else(capsys):
    assert main(["ports", "--json"]) == 0
    assert isinstance(json.loads(capsys.readouterr().out), list)


@pytest.mark.slow
def test_an_unknown_board_is_listened_to_saved_and_then_checked(talking_port, tmp_path, capsys):
    file = tmp_path / "my-board.toml"
    assert main(["listen", talking_port, "--baud", "9600", "--seconds", "0.6", "--save", str(file)]) == 0
    said = capsys.readouterr().out
    assert "field 1: temperature in degC, because 21.52 is what a room has in degC" in said
    assert "unprotected: there is no checksum" in said
    assert "\n    21.5" in said, "text is shown as it stands"
    assert load_profile(file).line.baud == 9600
    status = main(["check", "--device", f"{file}@{talking_port}", "--seconds", "2", "--json"])
    (results,) = json.loads(capsys.readouterr().out).values()
    assert status == 0, results
    assert {one["code"] for one in results} >= {"of_a_room", "noise", "rate"}


def test_sentences_are_broken_between_words_and_commands_are_not():
    text = "gathers bytes for 16 ms before it hands them on; for finer times run  echo 1 | sudo tee /sys/x  and listen"
    lines = wrapped(text, 40, "    ").splitlines()
    assert [line for line in lines if "echo" in line] == ["      echo 1 | sudo tee /sys/x and"]
    assert all(len(line) <= 40 for line in lines)
    assert " ".join(" ".join(lines).split()) == " ".join(text.split())
    assert wrapped("a" * 60, 40) == "a" * 60, "what cannot be broken stays whole"


def test_lines_stay_whole_for_other_programs_and_are_broken_at_a_terminal(monkeypatch):
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setenv("COLUMNS", "50")
    told = {}
    for kind in (io.StringIO, Terminal):
        told[kind] = kind()
        say("no serial port is present; expected one for each device that is plugged in", "* ", to=told[kind])
    assert told[io.StringIO].getvalue().count("\n") == 1
    assert told[Terminal].getvalue().splitlines()[1].startswith("    ")


def test_a_profile_that_is_there_is_not_overwritten(tmp_path, capsys):
    file = tmp_path / "mine.toml"
    file.write_text("precious")
    assert main(["listen", "/dev/none", "--save", str(file)]) == 1
    assert "is already there and is not overwritten" in capsys.readouterr().err
    assert file.read_text() == "precious"


def test_a_profile_that_could_not_be_saved_is_told_before_anyone_listens(tmp_path, capsys):
    (tmp_path / "file").touch()
    place = tmp_path / "file" / "board.toml"
    assert main(["listen", str(tmp_path / "no-port"), "--seconds", "0.5", "--save", str(place)]) == 1
    said = capsys.readouterr()
    assert f"cannot write in {place.parent}: " in said.err
    assert "choose another folder with --save" in said.err
    assert "listening" not in said.err + said.out


@pytest.mark.slow
def test_a_simulated_bench_passes_the_check(capsys):
    assert main(["check", "--device", "sim:calm", "--seconds", "3", "--barometer", "100.3 kPa"]) == 0
    assert "they agree" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["check"], "no device was named; expected --device PROFILE@PORT"),
        (["check", "--device", "delimited-text"], "no '@' in it; expected PROFILE@PORT"),
        (["check", "--device", "sim:calm", "--barometer", "20 degC"], "expected a pressure such as '98.2 kPa'"),
        (["check", "--device", "sim:calm", "--seconds", "0"], "--seconds is 0; expected 1 to 3600"),
        (["listen", "/dev/there-is-none"], "there is no port '/dev/there-is-none'"),
        (["profiles", "--show", "nonsense"], "no device profile 'nonsense'"),
        (["profiles", "--calibrate", "delimited-text"], "--calibrate needs --channel, --pairs and --save"),
    ],
)
def test_what_can_not_be_done_is_told_with_the_way_out(arguments, sentence, capsys):
    assert main(arguments) == 1
    assert sentence in capsys.readouterr().err


def test_profiles_are_listed_shown_and_tested(capsys):
    assert main(["profiles"]) == 0
    assert "delimited-text" in capsys.readouterr().out
    assert main(["profiles", "--json"]) == 0
    assert {"simulated-bench", "modbus-registers"} <= {one["name"] for one in json.loads(capsys.readouterr().out)}
    assert main(["profiles", "--show", "delimited-text"]) == 0
    assert 'separator = ","' in capsys.readouterr().out
    assert main(["profiles", "--test", "thermocouple-bridge"]) == 0
    assert capsys.readouterr().out == "thermocouple-bridge: 2 samples mean what they say\n"


def test_a_calibration_goes_into_a_copy_of_a_profile(tmp_path, capsys):
    file = tmp_path / "mine.toml"
    pairs = ["0.12=0.00", "25.31=25.05", "49.87=49.90"]
    arguments = ["profiles", "--calibrate", "delimited-text", "--channel", "temperature", "--pairs", *pairs]
    assert main([*arguments, "--save", str(file), "--reference", "a standard thermometer"]) == 0
    assert "correction by 3 pairs, 1 degrees of freedom" in capsys.readouterr().out
    calibration = load_profile(file).channel[0].calibration
    assert calibration.points == ((0.12, 0.0), (25.31, 25.05), (49.87, 49.9))
    assert calibration.reference == "a standard thermometer"


def test_the_doctor_looks_at_everything(tmp_path, capsys):
    status = main(["doctor", "--json", "--out", str(tmp_path)])
    codes = {one["code"] for one in json.loads(capsys.readouterr().out)}
    assert codes >= {"version", "packages", "disk", "display", "pauses", "date"}
    assert status in (0, 1)


def test_a_disk_without_room_for_a_day_is_noted(tmp_path, monkeypatch):
    day = 2 * 1000 * 86400 * BYTES_PER_READING
    assert day <= doctor.DISK_WANTED <= 1.2 * day
    monkeypatch.setattr(doctor, "DISK_WANTED", 1e18)
    (symptom,) = [one for one in doctor.look_at_folder(tmp_path) if one.code == "disk"]
    assert symptom.severity == "note"
    assert "12 GB until it is closed" in symptom.advice


def test_a_folder_that_is_none_is_bad(tmp_path):
    (symptom,) = doctor.look_at_folder(tmp_path / "none")
    assert symptom.severity == "bad"
    assert "make it, or choose another with --out" in symptom.advice


def test_a_missing_display_leaves_the_commands_without_window():
    assert doctor.look_at_display({}).severity == "note"
    assert doctor.look_at_display({"DISPLAY": ":0"}).severity == "good"


def test_a_missing_package_is_bad_only_where_it_is_needed():
    assert doctor._missing("pymodbus").severity == "note"
    assert doctor._missing("numpy").severity == "bad"


def test_a_wrong_package_called_serial_is_told_and_ends_nothing_else(monkeypatch):
    monkeypatch.setitem(sys.modules, "serial", types.ModuleType("serial"))
    (symptom,) = doctor.look_at_serial_package()
    assert symptom.severity == "bad"
    assert "pip uninstall serial" in symptom.advice
    assert doctor.look_at_ports() == []
