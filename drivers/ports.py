"""Which serial ports are present, what stands in the way of opening them, and finding a device again by what it is."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from serial.tools import list_ports

from drivers.permission import way_in
from drivers.profile import DeviceProfile

#: Makers of the usual USB-to-serial bridges, by vendor number; from memory, as in the USB id list.
BRIDGES = {
    0x0403: "USB serial bridge (FT232 family)",
    0x067B: "USB serial bridge (PL2303 family)",
    0x10C4: "USB serial bridge (CP210x family)",
    0x1A86: "USB serial bridge (CH340 family)",
}
#: Bridges that a screen reader's braille driver before version 6.5 takes for a display.
TAKEN_BY_BRAILLE = {(0x1A86, 0x7523), (0x10C4, 0xEA60), (0x0403, 0x6010)}
LATENCY_WANTED = 1  # [ms]


@dataclass(frozen=True)
class PortIdentity:
    """What the operating system says about a USB device; empty where it says nothing."""

    vid: int | None = None
    pid: int | None = None
    serial_number: str = ""
    location: str = ""

    def same_device(self, other: PortIdentity) -> bool:
        """Whether both are one device: by serial number where there is one, else by the socket it is in.

        One maker's driver appends a letter for the channel to the serial number on one system, so a number that
        begins with the other one counts as equal.
        """
        if (self.vid, self.pid) != (other.vid, other.pid) or self.vid is None:
            return False
        if self.serial_number and other.serial_number:
            short, long = sorted((self.serial_number, other.serial_number), key=len)
            return long.startswith(short) and len(long) - len(short) <= 1
        return bool(self.location) and self.location == other.location


@dataclass(frozen=True)
class PortReport:
    """One port: what it probably is, whether it can be opened, and if not why and the way out."""

    port: str
    probably: str
    identity: PortIdentity
    can_open: bool
    why: str = ""
    profiles: tuple[str, ...] = ()
    advice: tuple[str, ...] = field(default=())


@dataclass(frozen=True)
class Machine:
    """Where a machine tells about itself; a test brings its own."""

    proc: Path = Path("/proc")
    sys_usb: Path = Path("/sys/bus/usb-serial/devices")


def identity_of(url: str) -> PortIdentity | None:
    """What the device at a port is; None for addresses and for ports that the system says nothing about."""
    if "://" in url:
        return None
    real = os.path.realpath(url)
    for port in list_ports.comports():
        if port.device == url or os.path.realpath(port.device) == real:
            return _identity(port)
    return None


def find_again(identity: PortIdentity) -> str | None:
    """The port at which a device is now, or None; never opens anything."""
    for port in list_ports.comports():
        if identity.same_device(_identity(port)):
            return str(port.device)
    return None


def list_port_reports(
    profiles: Iterable[DeviceProfile] = (), *, ports: Iterable[Any] | None = None, machine: Machine | None = None
) -> list[PortReport]:
    """All serial ports. Opens none of them: opening resets many a board and disturbs whoever uses it."""
    machine = machine or Machine()
    found = list(list_ports.comports() if ports is None else ports)
    running = _running(machine)
    profiles = list(profiles)
    return [_report(port, found, profiles, running, machine) for port in sorted(found, key=lambda one: one.device)]


def _report(
    port: Any, found: list[Any], profiles: list[DeviceProfile], running: set[str], machine: Machine
) -> PortReport:
    identity = _identity(port)
    can_open, why = _openable(port.device, machine)
    advice = [*_twins(port, identity, found), *_latency(port.device, machine), *_rivals(identity, running)]
    matching = tuple(profile.name for profile in profiles if matches(profile, identity))
    return PortReport(port.device, _probably(port, identity), identity, can_open, why, matching, tuple(advice))


def matches(profile: DeviceProfile, identity: PortIdentity) -> bool:
    """Whether a profile says that it is for this device."""
    wanted = profile.identity
    if wanted.vid is None:
        return False
    same = wanted.vid == identity.vid and wanted.pid in (None, identity.pid)
    number = not wanted.serial_number or identity.serial_number.startswith(wanted.serial_number)
    return same and number and wanted.location in ("", identity.location)


def _identity(port: Any) -> PortIdentity:
    return PortIdentity(port.vid, port.pid, port.serial_number or "", port.location or "")


def _probably(port: Any, identity: PortIdentity) -> str:
    texts = [text for text in (port.manufacturer, port.product) if text and text != "n/a"]
    said = " ".join(dict.fromkeys(texts)) or (port.description if port.description != "n/a" else "")
    kind = BRIDGES.get(identity.vid or -1, "USB device" if identity.vid is not None else "")
    if kind and said:
        return f"{kind}: {said}"
    return kind or said or "built-in serial port, or one that says nothing about itself"


def _openable(port: str, machine: Machine) -> tuple[bool, str]:
    if sys.platform == "win32":
        return True, ""  # only opening would tell, and opening resets boards
    if not os.path.exists(port):
        return False, f"{port} has gone; expected it to stay plugged in; look at the cable"
    user = holder(port, machine)
    if user:
        return False, f"in use by {user}; expected it to be free; close that program"
    if not os.access(port, os.R_OK | os.W_OK):
        return False, f"not permitted; {way_in(port)}"
    return True, ""


def holder(port: str, machine: Machine | None = None) -> str:
    """Name and number of a process that has the port open; empty where none is seen."""
    machine = machine or Machine()
    real = os.path.realpath(port)
    for process in machine.proc.glob("[0-9]*"):
        try:
            if process.name != str(os.getpid()) and any(os.readlink(one) == real for one in (process / "fd").iterdir()):
                return f"{(process / 'comm').read_text().strip()} (process {process.name})"
        except OSError:
            continue  # another user's, or gone meanwhile
    return ""


def _running(machine: Machine) -> set[str]:
    names = set()
    for file in machine.proc.glob("[0-9]*/comm"):
        try:
            names.add(file.read_text().strip())
        except OSError:
            continue
    return names


def _twins(port: Any, identity: PortIdentity, found: list[Any]) -> list[str]:
    if identity.vid is None or identity.serial_number:
        return []
    alike = [
        one.device for one in found if (one.vid, one.pid) == (identity.vid, identity.pid) and not one.serial_number
    ]
    if len(alike) < 2:
        return []
    others = ", ".join(name for name in alike if name != port.device)
    return [f"has no serial number and looks like {others}: told apart only by the socket, so leave each in its own"]


def _latency(port: str, machine: Machine) -> list[str]:
    file = machine.sys_usb / Path(port).name / "latency_timer"
    try:
        milliseconds = int(file.read_text())
    except (OSError, ValueError):
        return []
    if milliseconds <= LATENCY_WANTED:
        return []
    return [
        f"gathers bytes for {milliseconds} ms before it hands them on; for finer times run  "
        f"echo {LATENCY_WANTED} | sudo tee {file}"
    ]


def _rivals(identity: PortIdentity, running: set[str]) -> list[str]:
    advice = []
    if "brltty" in running and (identity.vid, identity.pid) in TAKEN_BY_BRAILLE:
        advice.append(
            "the braille driver brltty may take this device away a few seconds after plugging in; people who read "
            "braille need it, so do not remove it unasked: version 6.5 and later leave such devices alone"
        )
    if "ModemManager" in running and identity.vid is not None:
        vid, pid = f"{identity.vid:04x}", f"{identity.pid or 0:04x}"
        advice.append(
            "ModemManager may send bytes to it after plugging in; a udev rule keeps it off:  "
            f'ATTRS{{idVendor}}=="{vid}", ATTRS{{idProduct}}=="{pid}", ENV{{ID_MM_DEVICE_IGNORE}}="1"'
        )
    return advice
