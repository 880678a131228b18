"""Which serial ports are present, and finding a device again by what it is, not by what its port is called."""

from __future__ import annotations

import os
from dataclasses import dataclass

from serial.tools import list_ports


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


def _identity(port: list_ports.ListPortInfo) -> PortIdentity:  # type: ignore[name-defined]
    return PortIdentity(port.vid, port.pid, port.serial_number or "", port.location or "")
