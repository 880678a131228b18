"""Findings that need no fit: units, gauge for absolute, swapped channels, seen from one pair read in the room."""

from __future__ import annotations

from collections.abc import Mapping

from analysis.findings import Facts, Finding
from analysis.trapped_air import SealedBaseline

#: What a room can have.  Common practice, no source: 5 to 40 degrees Celsius, 60 to 110 kPa.
ROOM_TEMPERATURES = (278.15, 313.15)  # [K]
ROOM_PRESSURES = (60e3, 110e3)  # [Pa]

#: What a room looks like where pressure and temperature are exchanged: 60 to 110 degrees, 5 to 40 kPa.
SWAPPED_TEMPERATURES, SWAPPED_PRESSURES = (333.15, 383.15), (5e3, 40e3)  # [K], [Pa]
GAUGE = 15e3  # [Pa] nearer to zero than this it is gauge pressure
#: A room in degrees Fahrenheit (41 to 104) or in kelvin (278 to 313), each taken for degrees Celsius.  [K]
_TEMPERATURE_LOOKS = (("fahrenheit", 314.15, 377.15), ("kelvin", 551.15, 586.15))
#: What a plausible room would look like if the number were in another unit: (unit, low, high).
_PRESSURE_LOOKS = (
    ("kPa", 60.0, 110.0), ("mmHg", 450.0, 825.0), ("hPa", 600.0, 1100.0), ("inHg", 18.0, 32.5), ("bar", 0.6, 1.1),
    ("psi", 8.7, 16.0),
)  # fmt: skip


def room_pair(temperature: float, pressure: float) -> Finding | None:
    """Whether a pair read in the open or just closed cell looks like a room.

    Parameters
    ----------
    temperature, pressure : float
        In K and Pa, as the program believes.

    Returns
    -------
    Finding or None
        None where both are plausible; else what is likely, by looking at the bare number.
    """
    t_ok = ROOM_TEMPERATURES[0] <= temperature <= ROOM_TEMPERATURES[1]
    p_ok = ROOM_PRESSURES[0] <= pressure <= ROOM_PRESSURES[1]
    if t_ok and p_ok:
        return None
    if SWAPPED_TEMPERATURES[0] <= temperature <= SWAPPED_TEMPERATURES[1] and (
        SWAPPED_PRESSURES[0] <= pressure <= SWAPPED_PRESSURES[1]
    ):
        facts = {"temperature": temperature, "pressure": pressure}
        return _finding("channels-swapped", temperature, ROOM_TEMPERATURES[1], "", facts)
    if not p_ok:
        return _pressure(pressure)
    return _temperature(temperature)


def _pressure(pressure: float) -> Finding:
    low, high = ROOM_PRESSURES
    code, unit = ("gauge-pressure", "") if abs(pressure) < GAUGE else ("pressure-implausible", "")
    for name, least, most in _PRESSURE_LOOKS:
        # The same digits, taken for kPa or (where they are too many for a gauge near zero) for Pa.
        if (name != "kPa" and least <= pressure / 1e3 <= most) or (least >= 60 and least <= pressure <= most):
            code, unit = "pressure-unit", name
            break
    facts: Facts = {"pressure": pressure, "low": low, "high": high}
    if unit:
        facts["unit"] = unit
    return _finding(code, pressure, low if pressure < low else high, "", facts)


def _temperature(temperature: float) -> Finding:
    low, high = ROOM_TEMPERATURES
    looks = next((name for name, least, most in _TEMPERATURE_LOOKS if least <= temperature <= most), "unknown")
    facts = {"temperature": temperature, "low": low, "high": high}
    return _finding("temperature-unit", temperature, low if temperature < low else high, looks, facts)


def _finding(code: str, statistic: float, threshold: float, variant: str, facts: Mapping[str, float | str]) -> Finding:
    return Finding(code, "doubt", statistic, threshold, variant, facts, None, 0.0)


def input_findings(baseline: SealedBaseline | None, air: str) -> tuple[Finding, ...]:
    """Findings of the sealed baseline alone."""
    if air != "sealed" or baseline is None:
        return ()
    found = room_pair(baseline.temperature, baseline.pressure)
    return () if found is None else (found,)
