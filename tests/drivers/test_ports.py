"""Ports: what they are, why they can not be opened, what may disturb them; none is ever opened."""

import os
import types

import pytest

from drivers import ports
from drivers.permission import owning_group, way_in
from drivers.ports import Machine, PortIdentity, find_again, holder, list_port_reports, matches
from drivers.profile import Identity, load_profile


def port(device, vid=0x1A86, pid=0x7523, serial_number=None, location="1-1", **more):
    fields = {"manufacturer": None, "product": None, "description": "n/a"} | more
    return types.SimpleNamespace(
        device=str(device), vid=vid, pid=pid, serial_number=serial_number, location=location, **fields
    )


@pytest.fixture
def machine(tmp_path):
    (tmp_path / "proc").mkdir()
    (tmp_path / "usb").mkdir()
    return Machine(tmp_path / "proc", tmp_path / "usb")


def process(machine, number, name, *files):
    folder = machine.proc / str(number)
    (folder / "fd").mkdir(parents=True)
    (folder / "comm").write_text(name + "\n")
    for n, file in enumerate(files):
        (folder / "fd" / str(n)).symlink_to(file)


def node(tmp_path, name):
    (tmp_path / name).touch()
    return tmp_path / name


def test_a_bridge_is_named_with_what_it_says_of_itself(tmp_path, machine):
    (report,) = list_port_reports(ports=[port(node(tmp_path, "ttyUSB0"), product="USB Serial")], machine=machine)
    assert report.probably == "USB serial bridge (CH340 family): USB Serial"
    assert report.can_open
    assert report.advice == ()


def test_a_port_in_use_is_told_with_the_program(tmp_path, machine):
    device = node(tmp_path, "ttyUSB0")
    process(machine, 4242, "terminal", device)
    (report,) = list_port_reports(ports=[port(device)], machine=machine)
    assert not report.can_open
    assert report.why == "in use by terminal (process 4242); expected it to be free; close that program"
    assert holder(str(device), machine) == "terminal (process 4242)"


def test_a_port_that_has_gone_is_told(tmp_path, machine):
    (report,) = list_port_reports(ports=[port(tmp_path / "ttyUSB0")], machine=machine)
    assert "has gone; expected it to stay plugged in" in report.why


def test_a_refused_port_comes_with_the_exact_command(tmp_path, machine, monkeypatch):
    device = node(tmp_path, "ttyUSB0")
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    monkeypatch.setattr(ports, "way_in", lambda path: "run  sudo usermod -aG dialout me")
    (report,) = list_port_reports(ports=[port(device)], machine=machine)
    assert report.why == "not permitted; run  sudo usermod -aG dialout me"


def test_the_command_names_the_group_that_owns_the_device(tmp_path, monkeypatch):
    monkeypatch.setenv("USER", "someone")
    device = node(tmp_path, "ttyUSB0")
    group = owning_group(str(device))
    assert way_in(str(device)) == (
        f"expected membership of group {group!r}; run  sudo usermod -aG {group} someone  then log out and in again"
    )
    assert "ask whoever administers this machine" in way_in(str(tmp_path / "none"))


def test_two_boards_without_serial_numbers_are_told_apart_by_their_sockets(tmp_path, machine):
    one, two = node(tmp_path, "ttyUSB0"), node(tmp_path, "ttyUSB1")
    reports = list_port_reports(ports=[port(one), port(two, location="1-2")], machine=machine)
    assert all("told apart only by the socket" in report.advice[0] for report in reports)


def test_a_slow_latency_timer_is_told_with_the_command(tmp_path, machine):
    (machine.sys_usb / "ttyUSB0").mkdir()
    (machine.sys_usb / "ttyUSB0" / "latency_timer").write_text("16\n")
    (report,) = list_port_reports(ports=[port(node(tmp_path, "ttyUSB0"))], machine=machine)
    assert report.advice[0].startswith("gathers bytes for 16 ms before it hands them on; for finer times run  echo 1 |")


def test_programs_that_take_or_talk_to_new_ports_are_named(tmp_path, machine):
    process(machine, 1, "brltty")
    process(machine, 2, "ModemManager")
    (report,) = list_port_reports(ports=[port(node(tmp_path, "ttyUSB0"))], machine=machine)
    assert "people who read braille need it" in report.advice[0]
    assert 'ATTRS{idVendor}=="1a86", ATTRS{idProduct}=="7523"' in report.advice[1]


@pytest.mark.parametrize(
    ("left", "right", "same"),
    [
        (PortIdentity(1, 2, "AB12", "1-1"), PortIdentity(1, 2, "AB12", "1-4"), True),
        (PortIdentity(1, 2, "AB12", "1-1"), PortIdentity(1, 2, "AB12A", "1-1"), True),
        (PortIdentity(1, 2, "AB12", "1-1"), PortIdentity(1, 2, "AB13", "1-1"), False),
        (PortIdentity(1, 2, "", "1-1"), PortIdentity(1, 2, "", "1-1"), True),
        (PortIdentity(1, 2, "", "1-1"), PortIdentity(1, 2, "", "1-2"), False),
        (PortIdentity(1, 2, "", "1-1"), PortIdentity(1, 3, "", "1-1"), False),
        (PortIdentity(1, 2), PortIdentity(1, 2), False),
        (PortIdentity(), PortIdentity(), False),
    ],
)
def test_a_device_is_known_again_by_number_else_by_socket(left, right, same):
    assert left.same_device(right) is same
    assert right.same_device(left) is same


def test_a_device_is_found_under_its_new_name(monkeypatch):
    monkeypatch.setattr(ports.list_ports, "comports", lambda: [port("/dev/ttyUSB1", serial_number="AB12")])
    assert find_again(PortIdentity(0x1A86, 0x7523, "AB12", "1-9")) == "/dev/ttyUSB1"
    assert find_again(PortIdentity(0x1A86, 0x7523, "AB99", "1-9")) is None


def test_a_profile_knows_its_device():
    profile = load_profile("delimited-text").model_copy(update={"identity": Identity(vid=0x1A86, pid=0x7523)})
    assert matches(profile, PortIdentity(0x1A86, 0x7523))
    assert not matches(profile, PortIdentity(0x1A86, 0x1111))
    assert not matches(load_profile("delimited-text"), PortIdentity(0x1A86, 0x7523))
