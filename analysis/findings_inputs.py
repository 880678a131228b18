"""Findings that need no fit: units, gauge for absolute, swapped channels, seen from one pair read in the room."""

from __future__ import annotations

from analysis.findings import Finding
from analysis.trapped_air import SealedBaseline

#: What a room can have.  Common practice, no source: 5 to 40 degrees Celsius, 60 to 110 kPa.
ROOM_TEMPERATURES = (278.15, 313.15)  # [K]
ROOM_PRESSURES = (60e3, 110e3)  # [Pa]

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
    celsius = temperature - 273.15
    swapped = 60.0 <= celsius <= 110.0 and 5.0 <= pressure / 1e3 <= 40.0
    if swapped:
        text = f"The readings in the room are {celsius:.1f} °C and {pressure / 1e3:.1f} kPa: the channels look swapped."
        return _finding("channels-swapped", celsius, 40.0, text, "Swap the two channels in the device profile.")
    if not p_ok:
        low, high = ROOM_PRESSURES
        if abs(pressure) < 15e3:
            guess = "it looks like gauge pressure, zero in the open room"
            advice = "Set the sensor to absolute, or enter the room's pressure to be added."
            code = "gauge-pressure"
        else:
            guess, advice, code = "it does not look like a room", "Check sensor and unit.", "pressure-implausible"
        for unit, least, most in _PRESSURE_LOOKS:
            # The same digits, taken for kPa or (where they are too many for a gauge near zero) for Pa.
            if (unit != "kPa" and least <= pressure / 1e3 <= most) or (least >= 60 and least <= pressure <= most):
                guess = f"the digits look like {unit}"
                advice, code = f"Set the unit of the pressure channel to {unit}.", "pressure-unit"
                break
        expected = f"expected {low / 1e3:.0f} to {high / 1e3:.0f} kPa"
        text = f"The pressure in the room is {pressure / 1e3:.2f} kPa, {expected}: {guess}."
        return _finding(code, pressure, low if pressure < low else high, text, advice)
    fahrenheit, kelvin = 41.0 <= celsius <= 104.0, 278.0 <= celsius <= 313.0
    guess = "degrees Fahrenheit" if fahrenheit else "kelvin" if kelvin else ""
    text = f"The temperature in the room is {celsius:.1f} °C, expected 5 to 40 °C" + (
        f": the digits look like {guess}." if guess else "."
    )
    advice = f"Set the unit of the temperature channel to {guess}." if guess else "Check the probe and its unit."
    limit = ROOM_TEMPERATURES[0] if temperature < ROOM_TEMPERATURES[0] else ROOM_TEMPERATURES[1]
    return _finding("temperature-unit", temperature, limit, text, advice)


def _finding(code: str, statistic: float, threshold: float, text: str, advice: str) -> Finding:
    return Finding(code, "doubt", statistic, threshold, text, advice, None, 0.0)


def input_findings(baseline: SealedBaseline | None, air: str) -> tuple[Finding, ...]:
    """Findings of the sealed baseline alone."""
    if air != "sealed" or baseline is None:
        return ()
    found = room_pair(baseline.temperature, baseline.pressure)
    return () if found is None else (found,)
