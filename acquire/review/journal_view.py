"""The journal as a list that a person can read; the wording is here, whoever shows it only places it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from acquire.cautions import TEXTS as CAUTIONS
from acquire.finding_words import told_refusal
from acquire.journal import OPERATOR, Entry
from acquire.report import text
from acquire.report.language import language, said, tr
from acquire.report.point_rows import TAKERS

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
        entry.number,
        entry.time,
        text.clock(entry.time),
        _who(entry.actor),
        what,
        detail,
        group_of(entry.kind),
        _point(entry),
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


ACTORS = {
    **TAKERS,
    "device": said("device"),
    "reviewer": said("reviewer"),
    "simulated operator": said("simulated operator"),
}


def _who(actor: str) -> str:
    return tr(ACTORS.get(actor, actor))


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


#: What the program writes into a journal of its own accord; numbers are places.
ENTRY_WORDS = (
    said("point {0} taken"), said("point {0} taken before it was proposed"), said("point {0} taken afterwards"),
    said("point {0} set aside"), said("point {0} used again"), said("window of point {0} changed"),
    said("point proposed"), said("room baseline proposed"), said("sealed baseline proposed"),
    said("point set aside"), said("room baseline set aside"), said("sealed baseline set aside"),
    said("room baseline"), said("sealed baseline"), said("enthalpy of vaporisation"),
    said("a change of the bath shows in the temperature"), said("pressure held by the dry cell"),
    said("simulated bench, bytes handed over directly"), said("the bath was changed"),
    said("the readings are no longer level"), *CAUTIONS.values(),
)  # fmt: skip
_NUMBER = re.compile(r"\d+")


def entry_words(words: str) -> str:
    """The words of an entry in the language of the page; what no table has stays word for word."""
    for head, told in (("undone: ", said("undone: {0}")), ("done again: ", said("done again: {0}"))):
        if words.startswith(head):
            return tr(told).format(entry_words(words.removeprefix(head)))
    kind, parted, why = words.partition(" no longer proposed: ")
    if parted:
        return tr("{0} no longer proposed: {1}").format(tr(kind), tr(why))
    numbers = _NUMBER.findall(words)
    places = iter(range(len(numbers)))
    shape = _NUMBER.sub(lambda _: f"{{{next(places)}}}", words)
    return words if tr(shape) == shape else tr(shape).format(*numbers)


def _plain(entry: Entry) -> tuple[str, str]:
    return _sentence(entry_words(entry.text)), ""


STAGES = (
    said("set-up"), said("room baseline"), said("soak"), said("sealed baseline"), said("charge"), said("plateaus"),
    said("return"), said("vent"), said("closed"),
)  # fmt: skip


def _stage(entry: Entry) -> tuple[str, str]:
    before, after = (str(entry.data.get(end, "")) for end in ("from", "to"))
    return _sentence(f"{tr(before)} → {tr(after)}" if before and after else entry.text), ""


ACT_WORDS = {
    "begin": said("Run begun"),
    "take": said("Take"),
    "set_aside": said("Set aside"),
    "restore": said("Use again"),
    "valve_closed": said("Valve closed"),
    "valve_opened": said("Valve opened"),
    "charged": said("Liquid put in"),
    "warmed": said("Hot water poured in"),
    "cooled": said("Cold water poured in"),
    "next": said("On to the next step"),
    "note": said("Note"),
    "window": said("Window of a point changed"),
    "undo": said("Undo"),
    "redo": said("Do again"),
    "vented": said("Valve opened to let the pressure go"),
    "finish": said("Run finished"),
}


def _act(entry: Entry) -> tuple[str, str]:
    name, data = act_name(entry), entry.data
    english = ACT_WORDS.get(name, _sentence(entry.text))
    what = tr(english)
    if name == "note":
        return what, str(data.get("text", ""))
    if data.get("point") is not None:
        what = tr("{0}: point {1}").format(what, data["point"])
    parts = []
    if _is_number(data.get("volume")):
        parts.append(text.with_unit(_millilitres(data["volume"]), "mL"))
    if _is_number(data.get("temperature")):
        parts.append(tr("at {0}").format(text.celsius(data["temperature"])))
    if _is_number(data.get("target")):
        parts.append(tr("for {0}").format(text.celsius(data["target"])))
    noted = str(data.get("reason") or data.get("note") or "")
    if _is_number(data.get("drawn")):
        parts.append(tr("({0} taken out before)").format(text.with_unit(_millilitres(data["drawn"]), "mL")))
    if noted.casefold() in (what.casefold(), english.casefold()):
        noted = ""
    if entry.actor == OPERATOR:
        # The scripted operator's words say what the amounts say; they are English.
        noted = "" if parts else tr(noted)
    return what, noted if noted else " ".join(parts)


OPERATOR_NOTES = (said("liquid in, plunger drawn back"), said("nothing to pour, the bath is there"))


def _millilitres(volume: float) -> str:
    return text.typeset(f"{volume * 1e6:.3g}")


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _told(entry: Entry) -> str:
    return _sentence(entry_words(entry.text))


def _measured(entry: Entry) -> tuple[str, str]:
    data = entry.data
    temperature = text.quantity(data.get("temperature"), data.get("u_temperature"), "degC")
    pressure = text.quantity(data.get("pressure"), data.get("u_pressure"), "kPa")
    window = tr("from {0}").format(text.stretch(data.get("start"), data.get("end")))
    reason = f"; {data['reason']}" if data.get("reason") else ""
    return _told(entry), f"{temperature}, {pressure}, {window}{reason}"


def _window(entry: Entry) -> tuple[str, str]:
    data = entry.data
    return _told(entry), tr("from {0}").format(text.stretch(data.get("start"), data.get("end")))


def _reasoned(entry: Entry) -> tuple[str, str]:
    return _told(entry), str(entry.data.get("reason", ""))


def _result(entry: Entry) -> tuple[str, str]:
    data = entry.data
    if data.get("refused"):
        return tr("No result"), refused_words(data)
    at_25 = data.get("at_298_15") or {}
    if not _is_number(at_25.get("value")):
        return _told(entry), ""
    value = text.quantity(at_25["value"], at_25.get("standard_uncertainty"), "kJ/mol")
    where = (value, text.K_IS_1, text.celsius(298.15), data.get("points", "?"))
    return _told(entry), tr("{0} {1} at {2}, {3} points").format(*where)


def refused_words(data: Mapping[str, Any]) -> str:
    """Why an entry of the journal has no result; an older file has only the sentence it stored."""
    return told_refusal(data.get("refusal"), language().code) or str(data.get("refused", ""))


def _leak(entry: Entry) -> tuple[str, str]:
    rate, u = entry.data.get("rate"), entry.data.get("u_rate")
    if not _is_number(rate):
        return _told(entry), tr("rate not known")
    return _told(entry), tr("changed by {0}").format(text.quantity(rate, u, "Pa/min", difference=True))


def _device(entry: Entry) -> tuple[str, str]:
    count = entry.data.get("count")
    return _told(entry), tr("{0} lines").format(text.count(count)) if count else ""


def _caution(entry: Entry) -> tuple[str, str]:
    severity = _sentence(str(entry.data.get("severity", "caution")))
    return f"{tr(severity)}: {entry_words(entry.text)}", ""


#: How grave a caution is.
GRAVE = (said("Caution"), said("Warning"))


_SAY: Mapping[str, Callable[[Entry], tuple[str, str]]] = {
    "act": _act,
    "stage": _stage,
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
