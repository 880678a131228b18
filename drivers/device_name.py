"""How a device is named on the command line: PROFILE@PORT."""

from __future__ import annotations

from drivers.errors import DeviceNameError


def parse_device(text: str) -> tuple[str, str]:
    """Split "PROFILE@PORT" into its profile and its port.

    The first "@" divides, so that a port may contain one. A profile may be a path to a TOML file.

    Raises
    ------
    DeviceNameError
        Where one of the two is missing.
    """
    profile, at, port = text.strip().partition("@")
    if not at:
        raise DeviceNameError(text, "no '@' in it")
    if not profile.strip() or not port.strip():
        raise DeviceNameError(text, "the profile is missing" if not profile.strip() else "the port is missing")
    return profile.strip(), port.strip()
