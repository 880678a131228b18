"""Sentences that settling, fit, recorder and readers make in English, in the person's language."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from acquire.finding_words import error_words, refusal_facts, told_refusal
from acquire.recorder_words import recognised
from acquire.window.language import current_language, said, tr

GATES = {
    "hold": said("level; watching that it stays so"),
    "too_short": said("too few seconds since the last change"),
    "bath_moving": said("the bath is still being warmed or cooled"),
    "temperature_moving": said("the temperature is not level yet"),
    "bath_uneven": said("the bath temperature wanders: is it cycling or being warmed?"),
    "pressure_unknown": said("too few pressure readings to say"),
    "pressure_moving": said("the pressure is not level yet"),
    "temperature_disturbed": said("the temperature jumped: waiting to see whether it stays"),
    "pressure_disturbed": said("the pressure was disturbed: waiting until it is back on its course"),
    "pressure_unexplained": said("the pressure is off the course that the temperature explains"),
    "leak": said("the pressure changes and the temperature does not explain it: is there a leak?"),
    "too_coarse": said("the readings scatter or step too much for a point"),
    "temperature_silent": said("no temperature readings: check the device and its cable"),
    "pressure_silent": said("no pressure readings: check the device and its cable"),
    "temperature_implausible": said("the temperature is one that no cell in a bath has: check unit and probe"),
    "pressure_implausible": said("the pressure is one that no cell in a bath has: check unit and sensor"),
    "temperature_stuck": said("the temperature has not changed at all: is the sensor stuck?"),
    "pressure_stuck": said("the pressure has not changed at all: is the sensor stuck?"),
}

#: Why an act is not possible now, by the sentence of the run.
WHY_NOT = {
    "the run is closed": said("the run is closed"),
    "not at this stage": said("not at this stage"),
    "no point was taken yet": said("no point was taken yet"),
    "a window needs start and end in seconds, three or more apart": said("a window must be 3 s long or longer"),
    "there is nothing to take at this stage": said("there is nothing to take at this stage"),
    "there are no readings yet": said("there are no readings yet"),
    "no plateau is proposed and no point was taken": said("no plateau is offered and no point was taken"),
    "no plateau is proposed; name the point to set aside": said("no plateau is offered; choose a point first"),
    "the cell is not in the bath yet": said("the cell is not in the bath yet"),
    "there is no next step to go to": said("there is no next step"),
    "a note needs text": said("a note needs text"),
    "there is nothing to undo": said("there is nothing to undo"),
    "there is nothing to do again": said("there is nothing to redo"),
}

DEVICE_STATES = {
    "opening": said("being opened"),
    "open": said("open"),
    "lost": said("lost"),
    "closed": said("closed"),
}

#: What a port that names no maker is called.
PORTS = {
    "built-in serial port, or one that says nothing about itself": said("built in, or says nothing about itself"),
    "USB device": said("USB device"),
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
    "time air takes to dissolve": said("time air takes to dissolve"),
    "readings, pressure noise": said("pressure readings"),
    "readings, temperature noise": said("temperature readings"),
    "vapour non-ideality dZ": said("vapour non-ideality"),
}


def quoted(sentence: str) -> str:
    """A sentence of a driver or of the run file: it names ports, files and commands, and is kept word for word."""
    if current_language().code == "en" or not sentence:
        return sentence
    return tr("Word for word: “{0}”").format(sentence.rstrip())


def file_text(trouble: str) -> str:
    """What is wrong with a file, a table, a plan or a place: in the person's language, or as it was said."""
    if current_language().code == "en" or not trouble:
        return trouble
    from acquire.report.language import spoken  # the words of pages: a window is on screen before a file is refused
    from acquire.report.refused_files import told

    with spoken(current_language().code):
        words = told(trouble)
    return words or _told(trouble) or quoted(trouble)


def error_text(error: Exception) -> str:
    """The same of an error; one that brings facts is told by them."""
    return told_refusal(refusal_facts(error), current_language().code) or file_text(error_words(error))


def _told(text: str) -> str:
    """The sentences of a recorder in the person's language, also those within another; the system's words stay."""
    said_there = recognised(text)
    return " ".join(
        tr(sentence).format(**{place: _told(fact) or fact for place, fact in facts.items()})
        for sentence, facts in said_there
    )


def port_text(probably: str) -> str:
    """What is at a port: names of makers stay, the words of the driver are in the person's language."""
    return tr(PORTS.get(probably, probably))


def device_text(state: str) -> str:
    return tr(DEVICE_STATES.get(state, state))


def tolerance_text(reason: str) -> str:
    """Why the tolerance in force is not the one of the plan; the number stands beside it."""
    if current_language().code == "en" or not reason:
        return reason
    return tr("That is as much as the readings allow: they scatter or step.")


def no_fit_text(refused: str, refusal: Mapping[str, Any] | None) -> str:
    """Why there is no result: the sentence of the fit, or its facts told in another language."""
    if current_language().code == "en" or not refused:
        return refused
    if told := told_refusal(refusal, current_language().code):
        return told
    return tr("No line can be laid through these points. Take another point, or look at the ones there are.")


def why_not_text(act: str, why: str, sentence: str) -> str:
    """Why an act was refused: the run's own sentence, or in another language what it says."""
    if current_language().code == "en":
        return sentence
    if why not in WHY_NOT:
        return tr("“{0}” is not possible now.").format(act)
    return tr("“{0}” is not possible now: {1}.").format(act, tr(WHY_NOT[why]))


def gate_text(code: str, text: str) -> str:
    """The gate as the judge said it, or in another language by its code."""
    if current_language().code == "en" or code not in GATES:
        return text
    return tr(GATES[code])


def source_text(source: str) -> str:
    """A line of the budget."""
    return tr(SOURCES.get(source, source))
