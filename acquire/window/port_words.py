"""What a machine says of its ports, in the person's language; commands, rules and names of programs stay."""

from __future__ import annotations

from acquire.sentences import facts_in
from acquire.window.borrowed import quoted
from acquire.window.language import said, tr

#: As the drivers say them; where one sentence stands in another, it is told by itself.
SENTENCES = (
    said("has no serial number and looks like {others}: told apart only by the socket, so leave each in its own"),
    said("gathers bytes for {milliseconds} ms before it hands them on; for finer times run  {command}"),
    said(
        "the braille driver brltty may take this device away a few seconds after plugging in; people who read braille "
        "need it, so do not remove it unasked: version 6.5 and later leave such devices alone"
    ),
    said("ModemManager may send bytes to it after plugging in; a udev rule keeps it off:  {rule}"),
    said("{port} has gone; expected it to stay plugged in; look at the cable"),
    said("in use by {user}; expected it to be free; close that program"),
    said("not permitted; {way}"),
    said("expected membership of group {group}; run  {command}  then log out and in again"),
    said("expected read and write permission; ask whoever administers this machine"),
)


def port_words(text: str) -> str:
    """Words about a port as a part of a sentence."""
    for sentence in SENTENCES:
        facts = facts_in(text, sentence)
        if facts is not None:
            if "way" in facts:
                facts["way"] = port_words(facts["way"])
            return tr(sentence).format(**facts)
    return quoted(text)


def port_sentences(*texts: str) -> str:
    """The same as sentences of their own, one behind the other."""
    words = [port_words(text) for text in texts if text]
    return " ".join(f"{one[:1].upper()}{one[1:].rstrip('.')}." for one in words)


#: What a heard column is; units as they are written on a screen.
ROLES = {
    "temperature": said("temperature"),
    "pressure": said("pressure"),
    "clock": said("clock"),
    "counter": said("counter"),
}
UNITS = {"degC": "°C", "degF": "°F"}


def heard_text(role: str, unit: str) -> str:
    """A column that was heard, with its unit."""
    return f"{tr(ROLES.get(role, role))} / {UNITS.get(unit, unit)}"
