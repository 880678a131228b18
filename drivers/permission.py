"""Why a user may not open a serial device on this machine, and the exact way in."""

from __future__ import annotations

import os
import sys


def way_in(path: str) -> str:
    """One sentence: what is expected and the command that gives this user access to `path`."""
    group = owning_group(path)
    if group is None:
        return "expected read and write permission; ask whoever administers this machine"
    user = os.environ.get("USER") or os.environ.get("LOGNAME") or "$USER"
    return f"expected membership of group {group!r}; run  sudo usermod -aG {group} {user}  then log out and in again"


def owning_group(path: str) -> str | None:
    """Name of the group that owns a device node; None where there is none or the system has no groups."""
    if sys.platform == "win32":
        return None
    import grp

    try:
        return grp.getgrgid(os.stat(path).st_gid).gr_name
    except (OSError, KeyError):
        return None
