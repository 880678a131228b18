"""The machine as the window sees it: devices, checks, refusals, and a run recorded in a process of its own."""

from __future__ import annotations

import os
import tty

import pytest

from acquire import acts
from acquire.acts import Act
from acquire.commands import bench
from acquire.commands.common import CommandError
from acquire.commands.window_services import MachineServices
from acquire.window.start_state import FOUND, SIMULATED, StartChoice, StartRefused
from drivers.ports import PortIdentity, PortReport


@pytest.fixture
def machine(tmp_path, monkeypatch) -> MachineServices:
    monkeypatch.chdir(tmp_path)
    return MachineServices(report=False)


def outcome(checks, name):
    return next(check.outcome for check in checks if check.name == name)


def test_a_simulated_bench_is_always_there_and_calm_comes_first(machine):
    simulated = [choice for choice in machine.devices() if choice.kind == SIMULATED]
    assert simulated[0].text == "sim:calm"
    assert all(choice.label.startswith("Simulated bench: ") and choice.detail for choice in simulated)


def report(**changes) -> PortReport:
    return PortReport(
        **{"port": "/dev/p", "probably": "a probe", "identity": PortIdentity(), "can_open": True} | changes
    )


@pytest.mark.parametrize(
    ("found", "text", "trouble"),
    [
        (report(), "/dev/p", ""),
        (report(profiles=("one",)), "one@/dev/p", ""),
        (report(profiles=("one", "two")), "/dev/p", ""),
        (report(can_open=False, why="join the group"), "/dev/p", "Cannot be opened: join the group."),
    ],
)
def test_ports_are_offered_with_their_profile_and_the_way_in(machine, monkeypatch, found, text, trouble):
    monkeypatch.setattr("drivers.ports.list_port_reports", lambda profiles: [found])
    choice = next(choice for choice in machine.devices() if choice.kind == FOUND)
    assert (choice.text, choice.label, choice.trouble) == (text, "/dev/p: a probe", trouble)


def test_the_first_liquid_is_that_of_the_default_plan(machine):
    names = machine.liquids()
    assert names[0] == "n-heptane"
    assert names[-1] == "unknown"
    assert len(set(names)) == len(names)
    assert machine.liquid_of("sim:calm") == "n-heptane"
    assert machine.liquid_of("one@/dev/ttyACM0") == ""


def test_checks_open_nothing_and_say_what_is_missing(machine):
    checks = machine.checks(StartChoice(("one@/dev/not-there",), ""))
    assert outcome(checks, "Device") == "bad"
    assert [check.name for check in checks] == ["Device", "Folder", "Disk", "Clock"]
    assert outcome(machine.checks(StartChoice(("sim:calm",), "")), "Device") == "good"
    assert outcome(machine.checks(StartChoice(("one@socket://bench:5000",), "")), "Device") == "unknown"


def test_a_port_that_another_program_has_open_does_not_pass_the_check(machine, tmp_path, monkeypatch):
    place = tmp_path / "ttyUSB0"
    place.touch()
    choice = StartChoice((f"one@{place}",), "")
    assert outcome(machine.checks(choice), "Device") == "good"
    monkeypatch.setattr("drivers.ports.holder", lambda port: "terminal (process 4242)" if port == str(place) else "")
    found = next(check for check in machine.checks(choice) if check.name == "Device")
    assert (found.outcome, found.found) == ("bad", f"{place} is in use by terminal (process 4242)")
    assert found.way_out == "Close that program, then look again with F5."


def test_a_folder_that_cannot_be_written_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "access", lambda path, how: False)
    checks = MachineServices(out=str(tmp_path / "x" / "run.h5")).checks(StartChoice((), ""))
    assert outcome(checks, "Folder") == "bad"


@pytest.mark.parametrize(
    ("choice", "told"),
    [
        (StartChoice(("sim:no-such-bench",), ""), "no-such-bench"),
        (StartChoice(("simulated-bench@/dev/not-there",), ""), "/dev/not-there"),
        (StartChoice(("sim:calm",), "", "no-plan.toml"), "no-plan.toml"),
        (StartChoice((), "", rejoin="no-run.h5"), "nobody is recording this run"),
    ],
)
def test_what_cannot_be_opened_is_refused_with_a_sentence(machine, choice, told):
    with pytest.raises(StartRefused, match=told):
        machine.open(choice)


@pytest.mark.slow
def test_a_run_goes_on_in_a_process_of_its_own_and_can_be_joined_again(machine):
    opened = machine.open(StartChoice(("sim:calm",), "", "", 20.0))
    opened.session.act(Act(acts.NOTE, data={"text": "from the first window"}))
    opened.session.close()  # the window is gone
    again = machine.open(StartChoice((), "", rejoin=opened.path))
    texts = [entry.data.get("text") for entry in again.session.snapshot().journal_tail]
    assert "from the first window" in texts
    assert again.session.entries()[0].number == 0
    finished = again.finish()
    assert (finished.path, finished.trouble) == (opened.path, "")
    assert os.path.exists(finished.path)


@pytest.mark.slow
def test_an_unknown_device_that_speaks_gets_a_profile(machine):
    import threading

    # A pseudo-terminal stands in for the serial line: it has no rate, so the first one is understood.
    far, near = os.openpty()
    tty.setraw(near)
    stop = threading.Event()

    def speak():
        number = 0
        while not stop.wait(0.05):
            number += 1
            os.write(far, b"T=%.2f C, p=%.2f kPa\r\n" % (21.4 + 0.01 * (number % 3), 101.3 + 0.02 * (number % 4)))

    thread = threading.Thread(target=speak)
    thread.start()
    try:
        heard = machine.listen(os.ttyname(near))
    finally:
        stop.set()
        thread.join()
        os.close(far)
        os.close(near)
    assert heard.profile.startswith("heard-")
    assert heard.profile in machine.profiles()


def test_a_device_that_says_nothing_is_told_with_the_way_out(machine, monkeypatch):
    from acquire.commands import window_services

    monkeypatch.setattr(window_services, "LISTEN_FOR", 0.01)
    far, near = os.openpty()
    tty.setraw(near)
    heard = machine.listen(os.ttyname(near))
    os.close(far)
    os.close(near)
    assert heard.profile == ""
    assert "expected a device that sends by itself" in heard.told


def test_without_a_display_the_terminal_is_pointed_to(monkeypatch):
    for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("sys.platform", "linux")
    with pytest.raises(CommandError, match="use `satline log` in the terminal"):
        bench.require_display()


def test_a_real_device_cannot_be_run_faster(monkeypatch):
    from acquire.commands.main import main

    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert main(["bench", "--device", "one@/dev/ttyACM0", "--speed", "10"]) == 1


def test_help_of_the_commands_loads_no_window(capsys):
    import subprocess
    import sys

    code = "import sys; from acquire.commands.main import build_parser; build_parser(); print('PyQt5' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
