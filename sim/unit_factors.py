"""The few units a simulated device may speak in; its own table, so that reading it back is a real test.

Factors are exact by definition: pound and inch 1959, standard gravity 9.80665 m/s2, conventional mercury
13595.1 kg/m3.
"""

from __future__ import annotations

from sim.errors import SimError

#: unit: (quantity, SI value of one, SI value of zero)
UNITS = {
    "K": ("temperature", 1.0, 0.0),
    "mK": ("temperature", 1e-3, 0.0),
    "degC": ("temperature", 1.0, 273.15),
    "degF": ("temperature", 5 / 9, 459.67 * 5 / 9),
    "Pa": ("pressure", 1.0, 0.0),
    "hPa": ("pressure", 1e2, 0.0),
    "mbar": ("pressure", 1e2, 0.0),
    "kPa": ("pressure", 1e3, 0.0),
    "bar": ("pressure", 1e5, 0.0),
    "MPa": ("pressure", 1e6, 0.0),
    "atm": ("pressure", 101325.0, 0.0),
    "Torr": ("pressure", 101325.0 / 760.0, 0.0),
    "mmHg": ("pressure", 13595.1 * 9.80665 * 1e-3, 0.0),
    "inHg": ("pressure", 13595.1 * 9.80665 * 0.0254, 0.0),
    "psi": ("pressure", 0.45359237 * 9.80665 / 0.0254**2, 0.0),
}


class UnknownUnitError(SimError):
    """A profile speaks in a unit that the simulated device does not."""


def in_unit(value: float, unit: str) -> float:
    """An SI value as the number that stands in front of `unit`."""
    if unit not in UNITS:
        raise UnknownUnitError(f"found unit {unit!r}; expected one of {', '.join(UNITS)} for a simulated device")
    _, one, zero = UNITS[unit]
    return (value - zero) / one
