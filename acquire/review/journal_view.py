"""The journal as a list that a person can read; the wording is here, whoever shows it only places it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from acquire.journal import Entry
from acquire.report import text

#: Kinds in groups that can be shown or hidden; a kind in none of them belongs to "program".
GROUPS: Mapping[str, frozenset[str]] = {
    "people": frozenset({"act"}),
    "points": frozenset(
        {"point", "point window", "point set aside", "point restored", "undone", "redone", "baseline", "result"}
    ),
    "offers": frozenset({"proposal", "withdrawn", "proposal set aside"}),
    "devices": frozenset({"device"}),
    "cautions": frozenset({"caution"}),
    "program": frozenset({"stage", "bath", "leak check"}),
}


@dataclass(frozen=True)
class JournalLine:
    """One entry for the eye."""

    number: int  # of the entry
    time: float  # [s], to move a cursor to
    clock: str
    who: str
    what: str
    detail: str
    group: str
    point: int | None = None  # the point it is about


def journal_lines(entries: Iterable[Entry], groups: Iterable[str] | None = None) -> tuple[JournalLine, ...]:
    """Readable lines in the order of the journal.

    Parameters
    ----------
    groups
        Names from `GROUPS` to keep; None keeps all.
    """
    wanted = None if groups is None else set(groups)
    lines = (journal_line(entry) for entry in entries)
    return tuple(line for line in lines if wanted is None or line.group in wanted)


def journal_line(entry: Entry) -> JournalLine:
    """What one entry says."""
    say = _SAY.get(entry.kind, _plain)
    what, detail = say(entry)
    return JournalLine(
        entry.number, entry.time, text.clock(entry.time), entry.actor, what, detail, group_of(entry.kind), _point(entry)
    )


def group_of(kind: str) -> str:
    """The group a kind of entry belongs to."""
    return next((group for group, kinds in GROUPS.items() if kind in kinds), "program")


def act_name(entry: Entry) -> str:
    """Name of the act of an entry of kind "act", else ""."""
    return str(entry.data.get("act", "")) if entry.kind == "act" else ""


def _point(entry: Entry) -> int | None:
    for key in ("number", "point"):
        if isinstance(entry.data.get(key), int) and entry.kind.startswith(("point", "act")):
            return int(entry.data[key])
    return None


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _plain(entry: Entry) -> tuple[str, str]:
    return _sentence(entry.text), ""


ACT_WORDS = {
    "begin": "Run begun",
    "take": "Take",
    "set_aside": "Set aside",
    "restore": "Use again",
    "valve_closed": "Valve closed",
    "valve_opened": "Valve opened",
    "charged": "Liquid put in",
    "warmed": "Hot water poured in",
    "cooled": "Cold water poured in",
    "next": "On to the next step",
    "note": "Note",
    "window": "Window of a point changed",
    "undo": "Undo",
    "redo": "Do again",
    "vented": "Valve opened to let the pressure go",
    "finish": "Run finished",
}


def _act(entry: Entry) -> tuple[str, str]:
    name, data = act_name(entry), entry.data
    what = ACT_WORDS.get(name, _sentence(entry.text))
    if name == "note":
        return what, str(data.get("text", ""))
    if data.get("point") is not None:
        what = f"{what}: point {data['point']}"
    parts = []
    if _is_number(data.get("volume")):
        parts.append(text.with_unit(f"{data['volume'] * 1e6:.3g}", "mL"))
    if _is_number(data.get("temperature")):
        parts.append(f"at {text.celsius(data['temperature'])}")
    if _is_number(data.get("target")):
        parts.append(f"for {text.celsius(data['target'])}")
    said = str(data.get("reason") or data.get("note") or "")
    if said.casefold() == what.casefold():
        said = ""
    # The scripted operator's own words tell the amounts already.
    return what, said if said else " ".join(parts)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _measured(entry: Entry) -> tuple[str, str]:
    data = entry.data
    temperature = text.quantity(data.get("temperature"), data.get("u_temperature"), "degC")
    pressure = text.quantity(data.get("pressure"), data.get("u_pressure"), "kPa")
    window = f"from {text.stretch(data.get('start'), data.get('end'))}"
    reason = f"; {data['reason']}" if data.get("reason") else ""
    return _sentence(entry.text), f"{temperature}, {pressure}, {window}{reason}"


def _window(entry: Entry) -> tuple[str, str]:
    data = entry.data
    return _sentence(entry.text), f"from {text.stretch(data.get('start'), data.get('end'))}"


def _reasoned(entry: Entry) -> tuple[str, str]:
    return _sentence(entry.text), str(entry.data.get("reason", ""))


def _result(entry: Entry) -> tuple[str, str]:
    data = entry.data
    if data.get("refused"):
        return "No result", str(data["refused"])
    at_25 = data.get("at_298_15") or {}
    if not _is_number(at_25.get("value")):
        return _sentence(entry.text), ""
    value = text.quantity(at_25["value"], at_25.get("standard_uncertainty"), "kJ/mol")
    return _sentence(entry.text), f"{value} {text.K_IS_1} at {text.celsius(298.15)}, {data.get('points', '?')} points"


def _leak(entry: Entry) -> tuple[str, str]:
    rate, u = entry.data.get("rate"), entry.data.get("u_rate")
    if not _is_number(rate):
        return _sentence(entry.text), "rate not known"
    return _sentence(entry.text), f"changed by {text.quantity(rate, u, 'Pa/min', difference=True)}"


def _device(entry: Entry) -> tuple[str, str]:
    count = entry.data.get("count")
    return _sentence(entry.text), f"{count} lines" if count else ""


def _caution(entry: Entry) -> tuple[str, str]:
    severity = str(entry.data.get("severity", "caution"))
    return f"{_sentence(severity)}: {entry.text}", ""


_SAY: Mapping[str, Callable[[Entry], tuple[str, str]]] = {
    "act": _act,
    "point": _measured,
    "point window": _measured,
    "baseline": _measured,
    "proposal": _window,
    "point set aside": _reasoned,
    "point restored": _reasoned,
    "proposal set aside": _reasoned,
    "result": _result,
    "leak check": _leak,
    "device": _device,
    "caution": _caution,
}
