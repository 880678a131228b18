"""`satline doctor`: is this machine fit for a run? Versions, ports, permissions, folder, disk, display, clock."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import NamedTuple

NEEDED = ("numpy", "scipy", "h5py", "pyserial", "pydantic", "platformdirs", "rich", "jinja2", "matplotlib")
OPTIONAL = {
    "PyQt5": "the bench and review windows",
    "pyqtgraph": "the bench and review windows",
    "pymodbus": "Modbus devices",
    "distributed": "satline pool --cluster",
}
#: A day at a kilohertz with two channels takes 12 GB while it is recorded: 4.5 in the run file, 7.6 in the raw journal;
#: closed it has 0.3 GB (measured). A usual run takes some megabytes.
DISK_WANTED = 13e9  # [bytes]
DISK_NEEDED = 100e6  # [bytes]
CLOCK_WATCHED = 0.2  # [s]
CLOCK_STEP_WANTED = 1e-3  # [s]


class Symptom(NamedTuple):
    """One thing looked at. `severity`: "good", "note" (some things will not work) or "bad"."""

    code: str
    severity: str
    text: str
    advice: str = ""


def add_parser(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = subparsers.add_parser("doctor", help="look at this machine: versions, ports, folder, disk, display, clock")
    parser.add_argument("--out", default=".", metavar="DIR", help="the folder that runs will go to (default: here)")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(module="doctor")


def run(args: argparse.Namespace) -> int:
    import os
    from pathlib import Path

    from acquire.commands.json_out import print_json
    from acquire.commands.wrapped import say

    symptoms = [
        *look_at_versions(),
        *look_at_serial_package(),
        *look_at_ports(),
        *look_at_folder(Path(args.out)),
        look_at_display(os.environ),
        *look_at_clock(),
    ]
    if args.json:
        print_json([symptom._asdict() for symptom in symptoms])
    else:
        for one in symptoms:
            say(one.text, {"good": "  ", "note": "* ", "bad": "! "}[one.severity], "    ")
            if one.advice:
                say(one.advice, "      ", "      ")
    return 1 if any(one.severity == "bad" for one in symptoms) else 0


def look_at_versions() -> list[Symptom]:
    """Python, the system and every package."""
    import platform
    from importlib import metadata

    from acquire.version import VERSION

    found = [
        Symptom("version", "good", f"satline {VERSION}, Python {platform.python_version()}, {platform.platform()}")
    ]
    names = []
    for name in (*NEEDED, *OPTIONAL):
        try:
            names.append(f"{name} {metadata.version(name)}")
        except metadata.PackageNotFoundError:
            found.append(_missing(name))
    return [found[0], Symptom("packages", "good", ", ".join(names)), *found[1:]]


def _missing(name: str) -> Symptom:
    if name in OPTIONAL:
        return Symptom("package", "note", f"{name} is not installed: without it there is no {OPTIONAL[name]}")
    return Symptom("package", "bad", f"{name} is not installed", f"run  pip install {name}")


def look_at_serial_package() -> list[Symptom]:
    """A package of the name `serial` that is not pyserial hides it."""
    from drivers.installed import serial_package_trouble

    trouble = serial_package_trouble()
    if not trouble:
        return []
    found, _, advice = trouble.partition("; ")
    return [Symptom("serial", "bad", found, advice)]


def look_at_ports() -> list[Symptom]:
    """Every port, whether it opens, what may disturb it."""
    if look_at_serial_package():
        return []  # told already; without it no port can be listed
    from drivers.ports import list_port_reports

    reports = list_port_reports()
    if not reports:
        advice = "plug the device in; a simulated bench needs none: satline demo"
        return [Symptom("ports", "note", "no serial port is present", advice)]
    found = []
    for report in reports:
        text = f"{report.port}: {report.probably}"
        found.append(
            Symptom("port", "good", f"{text}, can be opened")
            if report.can_open
            else Symptom("port", "note", text, report.why)
        )
        found.extend(Symptom("port", "note", f"{report.port} {advice}") for advice in report.advice)
    return found


def look_at_folder(folder) -> list[Symptom]:
    """Whether runs can be written, on a disk of this machine, with room."""
    import os
    import shutil
    import tempfile

    if not folder.is_dir():
        return [Symptom("folder", "bad", f"{folder} is no folder", "make it, or choose another with --out")]
    try:
        with tempfile.NamedTemporaryFile(dir=folder) as probe:
            probe.write(b"satline")
            probe.flush()
            os.fsync(probe.fileno())
    except OSError as error:
        text = f"{folder.resolve()} cannot be written ({error.strerror or error})"
        return [Symptom("folder", "bad", text, "choose another folder with --out, or ask its owner for permission")]
    free = shutil.disk_usage(folder).free
    severity = "good" if free >= DISK_WANTED else "note" if free >= DISK_NEEDED else "bad"
    advice = (
        ""
        if severity == "good"
        else "a day of two channels at 1000 readings a second takes 12 GB until it is closed, a usual run a few MB; "
        "make room for what you intend"
    )
    found = [Symptom("disk", severity, f"{folder.resolve()} can be written; {free / 1e9:.1f} GB are free", advice)]
    kind = file_system(folder)
    if kind in ("nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "fuse.sshfs", "afpfs", "webdav"):
        text = f"{folder.resolve()} lies on a network disk ({kind}), where a run file can break"
        found.append(
            Symptom("network_disk", "note", text, "record on a disk of this machine and move the file afterwards")
        )
    return found


def file_system(folder) -> str:
    """Kind of the file system that a folder is on; empty where the system does not say."""
    from pathlib import Path

    path = folder.resolve()
    best, kind = "", ""
    try:
        mounts = Path("/proc/self/mounts").read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return ""
    for line in mounts:
        fields = line.split()
        if len(fields) >= 3 and path.is_relative_to(fields[1]) and len(fields[1]) >= len(best):
            best, kind = fields[1], fields[2]
    return kind


def look_at_display(environment: Mapping[str, str]) -> Symptom:
    """Whether there is a screen for the windows."""
    import sys

    if sys.platform in ("win32", "darwin") or environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY"):
        return Symptom("display", "good", "there is a display for the windows")
    advice = "use satline log and satline demo --no-window; over ssh, ssh -X lends a display"
    return Symptom("display", "note", "there is no display", advice)


def look_at_clock() -> list[Symptom]:
    """How finely the machine counts, and whether it knows the date."""
    from acquire.clocks import real_seconds, wall_clock_iso

    began = last = real_seconds()
    longest = 0.0
    while last - began < CLOCK_WATCHED:
        now = real_seconds()
        longest = max(longest, now - last)
        last = now
    severity = "good" if longest < 20 * CLOCK_STEP_WANTED else "note"
    text = f"the longest pause of this machine in {CLOCK_WATCHED:g} s was {1e3 * longest:.1f} ms"
    advice = "" if severity == "good" else "other programs keep it busy; times of devices without a clock will suffer"
    found = [Symptom("pauses", severity, text, advice)]
    date = wall_clock_iso()
    if date < "2024":
        found.append(
            Symptom("date", "bad", f"this machine says it is {date}", "set its clock: run files carry the date")
        )
    else:
        found.append(Symptom("date", "good", f"this machine says it is {date}"))
    return found
