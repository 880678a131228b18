"""The asker that a profile asks for: the dialogue of its kind on a schedule."""

from __future__ import annotations

from drivers.polling import Asker, Dialogue
from drivers.profile import DeviceProfile
from drivers.scpi import ScpiDialogue
from drivers.wire_spec import Asked, ModbusRegisters


def make_asker(profile: DeviceProfile, device: str = "device") -> Asker:
    """The asker for a device of this kind; see `drivers.polling.Asker`.

    Raises
    ------
    ValueError
        For a profile of a device that talks by itself.
    ModbusMissingError
        Where the profile speaks Modbus and pymodbus is not installed.
    """
    return Asker(profile, make_dialogue(profile), device)


def make_dialogue(profile: DeviceProfile) -> Dialogue:
    """How to talk with a device of this kind."""
    spec = profile.decoding
    if isinstance(spec, Asked):
        return ScpiDialogue(spec, profile.identity.idn)
    if isinstance(spec, ModbusRegisters):
        from drivers.modbus import ModbusDialogue

        return ModbusDialogue(spec)
    raise ValueError(f"profile {profile.name!r} is of a device that talks; expected one that must be asked")
