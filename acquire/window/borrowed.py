"""Sentences that settling and fit make in English, in the person's language: told by their code, without numbers."""

from __future__ import annotations

from acquire.window.language import current_language, said, tr

GATES = {
    "hold": said("level; watching that it stays so"),
    "too_short": said("too few seconds since the last change"),
    "bath_moving": said("the bath is still being warmed or cooled"),
    "temperature_moving": said("the temperature is not level yet"),
    "bath_uneven": said("the bath temperature wanders: is it cycling or being warmed?"),
    "pressure_unknown": said("too few pressure readings to say"),
    "pressure_moving": said("the pressure is not level yet"),
}

#: Lines of the budget in as few letters as a narrow panel holds.
SOURCES = {
    "pressure, offset": said("pressure offset"),
    "pressure, gain": said("pressure gain"),
    "pressure, non-linearity": said("pressure linearity"),
    "pressure, drift": said("pressure drift"),
    "temperature, offset": said("thermometer offset"),
    "temperature, gain": said("thermometer gain"),
    "lag of liquid and probe": said("lag of the liquid"),
    "heat-capacity difference": said("heat capacity"),
    "sealed baseline, pressure": said("baseline pressure"),
    "sealed baseline, temperature": said("baseline temperature"),
    "amount of air, anything else": said("amount of air"),
    "cell volume": said("cell volume"),
    "charge volume": said("charge volume"),
    "plunger": said("plunger"),
    "tubing volume": said("tubing volume"),
    "tubing gas": said("tubing gas"),
    "gas above the water": said("gas above the water"),
    "room temperature": said("room temperature"),
    "room humidity": said("room humidity"),
    "water taken up by the liquid": said("water in the liquid"),
    "dissolved air": said("dissolved air"),
    "solubility of air": said("solubility of air"),
    "readings, pressure noise": said("pressure readings"),
    "readings, temperature noise": said("temperature readings"),
    "vapour non-ideality dZ": said("vapour non-ideality"),
}


def gate_text(code: str, text: str) -> str:
    """The gate as the judge said it, or in another language by its code."""
    if current_language().code == "en" or code not in GATES:
        return text
    return tr(GATES[code])


def source_text(source: str) -> str:
    """A line of the budget."""
    return tr(SOURCES.get(source, source))
