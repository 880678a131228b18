"""The debrief in words, for page, window and terminal: points against the truth, haste, waiting, mishaps, results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from acquire.record import RunRecord
from acquire.report import text
from acquire.report.debrief_lessons import lesson_tables
from acquire.report.debrief_parts import DebriefTable, mark_table
from acquire.report.debrief_words import DEVICE_SIGNS, LAG_NOTE, SEEN_NOTE
from acquire.report.errors import ReportError
from acquire.report.given_words import title_words
from acquire.report.language import counted, said, tr
from acquire.report.point_rows import TAKERS
from acquire.report.story import why_no_result
from acquire.review.journal_view import entry_words

SIMULATED_BANNER = said("A rehearsal on a simulated bench. No real liquid was measured.")
EARLY_WORDS = {True: said("too early"), False: said("in time")}


class NoDebriefError(ReportError):
    """A run without a truth to be held against."""


@dataclass(frozen=True)
class PointLine:
    """One point against the truth, in words."""

    number: str
    taken_by: str
    window: str
    temperature: str
    off: str  # distance from equilibrium
    lag: str
    left: str
    verdict: str
    waited: str


@dataclass(frozen=True)
class MishapLine:
    """One mishap, in words."""

    words: str
    began: str
    visible: str
    person: str
    program: str
    verdict: str  # noticed, missed, not to be seen, did not happen


@dataclass(frozen=True)
class DebriefContent:
    """What the page says."""

    title: str
    subtitle: str
    aims: tuple[str, ...]
    lines: tuple[str, ...]  # the few sentences that matter
    results: tuple[tuple[str, str], ...]
    points: tuple[PointLine, ...]
    mishaps: tuple[MishapLine, ...]
    tables: tuple[DebriefTable, ...] = ()
    banner: str = SIMULATED_BANNER


def debrief_content(record: RunRecord) -> DebriefContent:
    """Put the debrief of a run into words.

    Raises
    ------
    NoDebriefError
        The run was not rehearsed, or was stored without a debrief.
    """
    data = (record.truth or {}).get("debrief")
    if not data:
        raise NoDebriefError(
            f"{record.path or record.title} holds no debrief; expected a run of `satline rehearse`: "
            "a run of a real bench has no truth to be held against"
        )
    stored = data.get("recorded")
    if stored and "truth" not in data:
        return _of_stored_run(record, data)
    program = data["program"]
    truth = data["truth"]
    points = tuple(_points(data["points"], data["numbers"], data["taken_by"]))
    mishaps = tuple(_mishap(mishap) for mishap in data["mishaps"])
    return DebriefContent(
        title=tr("Debrief: {0}").format(title_words(record)),
        subtitle=tr("{0} · seed {1} · {2}").format(
            truth["scenario"], truth["seed"], text.date_and_time(record.start_time)
        ),
        aims=tuple(tr(aim) for aim in data["aims"]),
        lines=(*((_three_counts(stored),) if stored else ()), *_sentences(data)),
        results=(
            (tr("true value"), _kj(truth["enthalpy_vap"])),
            *(
                _three_results(data, truth["enthalpy_vap"])
                if stored
                else (
                    (tr("your points"), _result(data["result"], truth["enthalpy_vap"], why_no_result(record))),
                    (tr("the program's points on the same traces"), _result(program["result"], truth["enthalpy_vap"])),
                )
            ),
        ),
        points=points,
        mishaps=mishaps,
        tables=(
            *mark_table(data),
            _mishaps_table(mishaps),
            *lesson_tables(record, data["mishaps"]),
            _points_table(points),
            _side_by_side(data["points"], program["truth"]),
            *((_three_sets(stored),) if stored else ()),
        ),
        banner=f"{tr(STORED_BANNER)} {tr('It was made on a simulated bench.')}" if stored else tr(SIMULATED_BANNER),
    )


def _points_table(points: Sequence[PointLine]) -> DebriefTable:
    headers = (
        tr("Point"), tr("Taken by"), tr("At"), tr("Bath"), tr("From equilibrium"), tr("Of which lag"),
        tr("Still to come"), "", tr("Waited"),
    )  # fmt: skip
    rows = tuple(
        (p.number, p.taken_by, p.window, p.temperature, p.off, p.lag, p.left, p.verdict, p.waited) for p in points
    )
    return DebriefTable(tr("Your points against the truth"), headers, rows, tr("No point was taken."), tr(LAG_NOTE))


SAME_PLATEAU = 0.6  # [K] two points this near to each other are of one plateau


def _side_by_side(yours: Sequence[Mapping[str, Any]], programs: Sequence[Mapping[str, Any]]) -> DebriefTable:
    """Points of one plateau in one row, in the order of time."""
    left = list(programs)
    pairs: list[tuple[Mapping[str, Any] | None, Mapping[str, Any] | None]] = []
    for mine in yours:
        near = [other for other in left if abs(other["bath"] - mine["bath"]) < SAME_PLATEAU]
        twin = min(near, key=lambda other: abs(other["time"] - mine["time"]), default=None)
        if twin is not None:
            left.remove(twin)
        pairs.append((mine, twin))
    pairs += [(None, other) for other in left]
    pairs.sort(key=lambda pair: (pair[0] or pair[1] or {})["time"])
    return DebriefTable(
        tr("Your points and the program's on the same traces"),
        (
            tr("Bath"),
            tr("You at"),
            tr("Still to come"),
            tr("Waited"),
            tr("Program at"),
            tr("Still to come"),
            tr("Waited"),
        ),
        tuple((text.celsius((a or b or {})["bath"]), *_half(a), *_half(b)) for a, b in pairs),
        tr("Neither you nor the program took a point."),
        tr("A dash: no point of this plateau."),
    )


def _half(row: Mapping[str, Any] | None) -> tuple[str, str, str]:
    if row is None:
        return "—", "—", "—"
    return text.clock(row["time"]), _kelvin(row["left_of_step"]), _waited(row["waited"])


def _mishaps_table(mishaps: Sequence[MishapLine]) -> DebriefTable:
    return DebriefTable(
        tr("Mishaps"),
        (
            tr("What"),
            "",
            tr("Began"),
            tr("Could be seen from"),
            tr("Your first reaction"),
            tr("First sign from the program"),
        ),
        tuple((m.words, m.verdict, m.began, m.visible, m.person, m.program) for m in mishaps),
        tr("This scenario had none."),
        tr(SEEN_NOTE),
    )


WHOSE = {"you": said("you"), "stored run": said("the stored run"), "program": said("the program alone")}


def _of_stored_run(record: RunRecord, data: Mapping[str, Any]) -> DebriefContent:
    """A stored run decided again without a truth that can be played again: three sets of points side by side."""
    stored = data["recorded"]
    true_value = stored["true_value"]
    lines = [_three_counts(stored)]
    if true_value is None:
        lines.append(
            tr(
                "What was true in that cell nobody knows: agreement is no proof, and a difference is no mistake by "
                "itself."
            )
        )
    if stored["scale"]:
        lines.append(tr("The plan sets a scale, but a mark needs a truth to be held against; none is given."))
    return DebriefContent(
        title=tr("Debrief: {0}").format(title_words(record)),
        subtitle=tr("decided again on {0} · {1}").format(stored["name"], text.date_and_time(record.start_time)),
        aims=(),
        lines=tuple(lines),
        results=(
            *(() if true_value is None else ((tr("true value"), _kj(true_value)),)),
            *_three_results(data, true_value),
        ),
        points=(),
        mishaps=(),
        tables=(_three_sets(stored),),
        banner=tr(STORED_BANNER),
    )


STORED_BANNER = said("A stored run, decided again. Its readings are those of the run file it was played from.")


def _three_counts(stored: Mapping[str, Any]) -> str:
    yours, theirs, programs = (_counted(len(stored["points"][whose])) for whose in WHOSE)
    sentence = tr("On the same traces you took {0}, the stored run has {1}, the program alone takes {2}.")
    return sentence.format(yours, theirs, programs)


def _counted(count: int) -> str:
    return counted("{0} point", "{0} points", count) if count else tr("no points")


def _three_results(data: Mapping[str, Any], truth: float | None) -> tuple[tuple[str, str], ...]:
    return (
        (tr("your points"), _result(data["result"], truth)),
        (tr("the stored run's points"), _result(data["recorded"]["result"], truth)),
        (tr("the program's points on the same traces"), _result(data["program"]["result"], truth)),
    )


def _three_sets(stored: Mapping[str, Any]) -> DebriefTable:
    """Every point of the three, in the order of time."""
    every = [
        (p["end"], whose, number, p) for whose, points in stored["points"].items() for number, p in enumerate(points, 1)
    ]
    rows = tuple(
        (tr(WHOSE[whose]), str(number), text.clock(p["start"]), text.clock(p["end"]), text.celsius(p["temperature"]),
         text.with_unit(text.typeset(f"{p['pressure'] / 1e3:.2f}"), "kPa"),
         tr(TAKERS.get(p["taken_by"], p["taken_by"])))
        for _, whose, number, p in sorted(every, key=lambda one: one[:3])
    )  # fmt: skip
    headers = (
        tr("Whose"), tr("Point"), tr("From"), tr("To"), tr("Temperature"), tr("Pressure"), tr("Taken by"),
    )  # fmt: skip
    return DebriefTable(tr("Points on the same traces"), headers, rows, tr("Nobody took a point."))


def _sentences(data: Mapping[str, Any]) -> list[str]:
    points, early = data["points"], int(data["early"])
    physical = [m for m in data["mishaps"] if m["began"] is not None]
    # What was wrong comes first: it is what somebody who was not told wants to know.
    found = [tr("What went wrong: {0}.").format("; ".join(map(_named, physical)))] if physical else []
    if points:
        found.append(
            tr("Every point was taken when no more than the tolerance was still to come.")
            if early == 0
            else tr("{0} of {1} points were taken too early: part of the step was still to come.").format(
                early, len(points)
            )
        )
        found.append(tr("Waiting past the moment of level took {0} in all.").format(text.clock(data["waiting"])))
    costs = data["costs"]
    if costs:
        found.append(
            tr(
                "Left uncorrected, the lag of the drifting bath would move a straight line by {0}, haste by {1}; the "
                "fit corrects the first, nothing corrects the second."
            ).format(_percent(costs["lag"]), _percent(costs["haste"]))
        )
    missed = [m for m in physical if m["visible_from"] is not None and m["person"] is None]
    if not physical:
        found.append(tr("Nothing went wrong in this scenario."))
    elif missed:
        found.append(
            tr(
                "It could be seen and nobody wrote or did anything about it. A note (key N) when something looks odd "
                "is a reaction."
            )
            if len(physical) == 1
            else tr(
                "{0} of {1} mishaps could be seen and nobody wrote or did anything about it. A note (key N) when "
                "something looks odd is a reaction."
            ).format(len(missed), len(physical))
        )
    return found


def _named(mishap: Mapping[str, Any]) -> str:
    if mishap["visible_from"] is None:
        return tr("{0} (never to be seen in these readings)").format(tr(mishap["words"]))
    return tr("{0} (to be seen from {1})").format(tr(mishap["words"]), text.clock(mishap["visible_from"]))


def _points(rows: Sequence[Mapping[str, Any]], numbers: Any, takers: Sequence[str]) -> list[PointLine]:
    return [
        PointLine(
            number=str(number),
            taken_by=tr(TAKERS.get(taker, taker)),
            window=text.clock(row["time"]),
            temperature=text.celsius(row["bath"]),
            off=_kelvin(row["pair_error"]),
            lag=_kelvin(row["lag_error"]),
            left=_kelvin(row["left_of_step"]),
            verdict=tr(EARLY_WORDS[bool(row["early"])]),
            waited=_waited(row["waited"]),
        )
        for row, number, taker in zip(rows, numbers, takers, strict=True)
    ]


def _mishap(mishap: Mapping[str, Any]) -> MishapLine:
    began = mishap["began"]
    return MishapLine(
        words=tr(mishap["words"]),
        began=tr("did not happen in this run") if began is None else text.clock(began),
        visible=tr("never in these readings") if mishap["visible_from"] is None else text.clock(mishap["visible_from"]),
        person=_reaction(mishap["person"]),
        program=_reaction(mishap["program"]),
        verdict=_verdict(mishap),
    )


def _verdict(mishap: Mapping[str, Any]) -> str:
    """In one or two words; a reaction is known by its time only, not by what it meant."""
    if mishap["began"] is None:
        return tr("did not happen")
    if mishap["visible_from"] is None:
        return tr("not to be seen")
    if mishap["person"] is None:
        return tr("missed")
    after = mishap["person"]["time"] - mishap["visible_from"]
    return tr("reacted after {0} s").format(f"{after:.0f}")


def _waited(seconds: float | None) -> str:
    return "—" if seconds is None else f"{seconds:+.0f} s".replace("-", "−")


def _reaction(told: Mapping[str, Any] | None) -> str:
    if told is None:
        return "—"
    words = DEVICE_SIGNS.get(str(told.get("event")))
    return f"{text.clock(told['time'])}: {entry_words(told['text']) if words is None else tr(words)}"


def _kelvin(value: float | None) -> str:
    # Adding 0 makes plain zero of −0.00.
    return "—" if value is None else f"{text.typeset(f'{round(value, 2) + 0.0:+.2f}')}{text.SPACE}K"


def _percent(share: float) -> str:
    return f"{text.typeset(f'{round(100 * share, 1) + 0.0:+.1f}')}{text.SPACE}%"


def _kj(value: float) -> str:
    return text.with_unit(text.typeset(f"{value / 1e3:.2f}"), "kJ/mol")


def _result(result: Mapping[str, Any] | None, truth: float | None, why: str = "") -> str:
    if result is None or result["value"] is None:
        return tr("no result: {0}").format(why) if why else tr("no result")
    if result["interval_95"] is None:
        return tr("{0}, no interval").format(_kj(result["value"]))
    low, high = result["interval_95"]
    ends = (text.typeset(f"{end / 1e3:.2f}") for end in (low, high))
    found = tr("{0}, 95 % interval {1} to {2}").format(_kj(result["value"]), *ends)
    if truth is None:
        return found
    return (tr("{0}: holds the true value") if low <= truth <= high else tr("{0}: misses the true value")).format(found)
