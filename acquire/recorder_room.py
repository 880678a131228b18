"""Room on a disk: how much a run takes, how much is left, a reserve for the worst moment, and shared drives."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from acquire import recorder_words as words

#: Bytes per reading while recorded: 26 in the run file, 44 in the raw journal with its share of the line (measured
#: at 1 kHz; at 10 Hz some 100 together, of few readings).
BYTES_PER_READING = 70.0
#: The closed file is written beside the recorded one; compressed it takes less than half of it (measured).
CLOSING_SHARE = 0.4
#: Warn early: an hour of two channels at 10 readings a second takes 5 MB, so this is many hours of warning.
WARN_BELOW = 200 << 20
BALLAST = 16 << 20  # [bytes] given back when the disk is full: an hour of two channels at 35 readings a second
NETWORK_TYPES = frozenset(
    {
        "nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "glusterfs", "lustre", "davfs",
        "fuse.sshfs", "fuse.rclone", "fuse.gvfsd-fuse", "fuse.davfs2", "fuse.s3fs",
    }
)  # fmt: skip


def bytes_needed(readings_per_second: float, duration: float) -> float:
    """Room for a run with all channels together at this rate.

    Parameters
    ----------
    readings_per_second
        Of all channels together.
    duration
        Planned length.  [s]
    """
    return readings_per_second * duration * BYTES_PER_READING * (1 + CLOSING_SHARE) + BALLAST


def free_bytes(folder: str | Path) -> int | None:
    """Room on the disk of this folder; None where it cannot be told (the folder is gone)."""
    try:
        return shutil.disk_usage(folder).free
    except OSError:
        return None


def room_warning(folder: str | Path, needed: float = 0.0) -> str:
    """A sentence when the disk is short of room for what is to come, else nothing."""
    free = free_bytes(folder)
    if free is None or free >= max(needed, WARN_BELOW):
        return ""
    sentence = words.TOO_SHORT if needed else words.SHORT_OF_ROOM
    return sentence.format(size=size_text(free), folder=folder, needed=size_text(needed))


def size_text(count: float) -> str:
    """Bytes in words."""
    for unit in ("bytes", "kB", "MB"):
        if count < 1000:
            return f"{count:.0f} {unit}"
        count /= 1000
    return f"{count:.1f} GB"


def network_warning(folder: str | Path, mounts: str | None = None) -> str:
    """A sentence when the folder is on another computer, else nothing.

    Parameters
    ----------
    mounts
        Text in the form of /proc/self/mounts; by default that of this machine, where it has one.
    """
    kind = network_kind(folder, mounts)
    if not kind:
        return ""
    return words.NETWORK.format(folder=folder, kind=kind)


def network_kind(folder: str | Path, mounts: str | None = None) -> str:
    """Kind of the network drive that this folder is on; empty for a local disk, or where it cannot be told."""
    if sys.platform == "win32" and mounts is None:
        return _windows_kind(Path(folder))
    if mounts is None:
        try:
            mounts = Path("/proc/self/mounts").read_text(encoding="utf-8", errors="replace")
        except OSError:
            return ""
    path = os.path.abspath(folder)
    best = ("", "")
    for line in mounts.splitlines():
        parts = line.split(" ")
        if len(parts) < 3:
            continue
        place = parts[1].replace("\\040", " ").rstrip("/")
        if (path == place or path.startswith(place + "/")) and len(place) >= len(best[0]):
            best = (place, parts[2])
    return best[1] if best[1] in NETWORK_TYPES else ""


def _windows_kind(folder: Path) -> str:
    if sys.platform != "win32":
        return ""
    import ctypes

    drive = os.path.splitdrive(os.path.abspath(folder))[0]
    if drive.startswith("\\\\"):
        return "network share"
    remote = 4  # DRIVE_REMOTE of GetDriveTypeW
    return "network drive" if ctypes.windll.kernel32.GetDriveTypeW(drive + "\\") == remote else ""


USUAL_RUN = 2 * 3600.0  # [s] a run with room to spare; half an hour is common


def folder_warnings(folder: str | Path, readings_per_second: float) -> list[str]:
    """What to tell before a run is recorded into this folder: too little room, or a drive of another computer."""
    needed = bytes_needed(readings_per_second, USUAL_RUN)
    return [text for text in (room_warning(folder, needed), network_warning(folder)) if text]


def default_fallbacks(folder: str | Path) -> tuple[Path, ...]:
    """Folders to go on in when this one cannot be written any more: the user's own data, then temporary files."""
    own = platformdirs.user_data_path("satline") / "rescued-runs"
    return tuple(
        place for place in (own, Path(tempfile.gettempdir()) / "satline-rescued-runs") if place != Path(folder)
    )


def reserve_path(run_file: str | Path) -> Path:
    """Where the reserve of a run file lies: beside it."""
    path = Path(run_file)
    return path.with_name(path.name + ".reserve")


@dataclass
class Ballast:
    """A file that takes room so that there is some to give back when the disk is full."""

    path: Path
    size: int = BALLAST

    def lay(self) -> bool:
        """Take the room; False where there is none to spare."""
        try:
            with open(self.path, "wb") as handle:
                # written, not only reserved: some file systems count a hole as free
                for _ in range(0, self.size, 1 << 20):
                    handle.write(b"\0" * min(1 << 20, self.size))
        except OSError:
            self.drop()
            return False
        return True

    def drop(self) -> bool:
        """Give the room back; False when there was nothing left to give."""
        try:
            self.path.unlink()
        except OSError:
            return False
        return True
