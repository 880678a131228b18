"""Writing a proposed device profile as TOML, and proving it: what is proposed has been loaded and tried."""

from __future__ import annotations

import json

from drivers.errors import DriverError
from drivers.profile import DeviceProfile
from drivers.profile_check import check_samples
from drivers.tomlfile import TomlError, load_model
from drivers.units import from_si

#: Wide limits for a closed cell in a bath.  [K], [Pa]
PLAUSIBLE = {"temperature": (253.15, 423.15), "pressure": (0.0, 400e3)}
HEADER = "# Proposed by listening: check units and ranges before trusting it."


class ListenError(DriverError):
    """Nothing arrived, or nothing that could be understood."""


def channel_text(role: str, field: int | str, unit: str, reason: str, scale: float = 1.0) -> str:
    """The table of one channel."""
    plausible = [from_si(limit, unit) for limit in PLAUSIBLE[role]]
    lines = [
        f"\n[[channel]]  # {reason}",
        f"channel = {toml(role)}",
        f"field = {toml(field)}",
        f"unit = {toml(unit)}",
        f"plausible = [{plausible[0]:.6g}, {plausible[1]:.6g}]",
    ]
    if scale != 1:
        lines.append(f'conversion = {{ kind = "linear", scale = {scale:g} }}')
    return "\n".join(lines)


def proved(text: str) -> str:
    """The text, after it was loaded and its samples were read.

    Raises
    ------
    ListenError
        Where it does not hold.
    """
    try:
        profile = load_model(text, DeviceProfile, name="the proposal")
    except TomlError as error:
        raise ListenError(f"the proposal does not hold: {error}; please write a profile by hand") from error
    faults = check_samples(profile)
    if faults:
        raise ListenError(f"the proposal does not give back what was heard: {faults[0]}")
    return text


def table(items: dict[str, object]) -> str:
    """Keys and values, one a line."""
    return "\n".join(f"{key} = {toml(value)}" for key, value in items.items())


def toml(value: object) -> str:
    """A value in TOML: strings as JSON writes them, tables inline."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    return json.dumps(value)
