"""The debrief in words, for page, window and terminal: points against the truth, haste, waiting, mishaps, results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from acquire.record import RunRecord
from acquire.report import text
from acquire.report.errors import ReportError

SIMULATED_BANNER = "A rehearsal on a simulated bench. No real liquid was measured."
EARLY_WORDS = {True: "too early", False: "in time"}


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
class DebriefTable:
    """One table, ready to be shown."""

    heading: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    empty: str  # what is said where there is no row
    note: str = ""


@dataclass(frozen=True)
class DebriefContent:
    """What the page says."""

    title: str
    subtitle: str
    aims: tuple[str, ...]
    lines: tuple[str, ...]  # the few sentences that matter
    results: tuple[tuple[str, str], ...]
    points: tuple[PointLine, ...]
    program_points: tuple[PointLine, ...]
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
        title=f"Debrief: {record.title}",
        subtitle=f"{truth['scenario']} · seed {truth['seed']} · {text.date_and_time(record.start_time)}",
        aims=tuple(data["aims"]),
        lines=(*((_three_counts(stored),) if stored else ()), *_sentences(data)),
        results=(
            ("true value", _kj(truth["enthalpy_vap"])),
            *(
                _three_results(data, truth["enthalpy_vap"])
                if stored
                else (
                    ("your points", _result(data["result"], truth["enthalpy_vap"])),
                    ("the program's points on the same traces", _result(program["result"], truth["enthalpy_vap"])),
                )
            ),
        ),
        points=points,
        program_points=tuple(
            _points(program["truth"], range(1, len(program["truth"]) + 1), ["program"] * len(program["truth"]))
        ),
        mishaps=mishaps,
        tables=(
            *mark_table(data),
            _points_table(points),
            _side_by_side(data["points"], program["truth"]),
            *((_three_sets(stored),) if stored else ()),
            _mishaps_table(mishaps),
        ),
        banner=f"{STORED_BANNER} It was made on a simulated bench." if stored else SIMULATED_BANNER,
    )


LAG_NOTE = (
    "Distances are told in kelvin of the bath. The lag stays as long as the bath drifts, however long one waits; the "
    "fit corrects it. What was still to come goes away by waiting. Waited: how long after no more than the tolerance "
    "was still to come; below 0 the point was taken before that."
)


def _points_table(points: Sequence[PointLine]) -> DebriefTable:
    headers = (
        "Point",
        "Taken by",
        "At",
        "Bath",
        "From equilibrium",
        "Of which lag",
        "Still to come",
        "",
        "Waited",
    )
    rows = tuple(
        (p.number, p.taken_by, p.window, p.temperature, p.off, p.lag, p.left, p.verdict, p.waited) for p in points
    )
    return DebriefTable("Your points against the truth", headers, rows, "No point was taken.", LAG_NOTE)


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
        "Your points and the program's on the same traces",
        ("Bath", "You at", "Still to come", "Waited", "Program at", "Still to come", "Waited"),
        tuple((text.celsius((a or b or {})["bath"]), *_half(a), *_half(b)) for a, b in pairs),
        "Neither you nor the program took a point.",
        "A dash: no point of this plateau.",
    )


def _half(row: Mapping[str, Any] | None) -> tuple[str, str, str]:
    if row is None:
        return "—", "—", "—"
    return text.clock(row["time"]), _kelvin(row["left_of_step"]), _waited(row["waited"])


def _mishaps_table(mishaps: Sequence[MishapLine]) -> DebriefTable:
    return DebriefTable(
        "Mishaps",
        ("What", "", "Began", "Could be seen from", "Your first reaction", "First sign from the program"),
        tuple((m.words, m.verdict, m.began, m.visible, m.person, m.program) for m in mishaps),
        "This scenario had none.",
        "Could be seen: the first moment at which ten seconds of readings differ clearly from those of the same run "
        "without the mishap. A reaction is the first note, point set aside, opened valve or early end after it.",
    )


def mark_table(data: Mapping[str, Any]) -> tuple[DebriefTable, ...]:
    """The mark with its reasons, where the plan sets a scale; nothing where it does not."""
    mark = data.get("mark")
    if not mark:
        return ()
    rows = tuple((r["what"], f"{r['got']:.1f} of {r['of']:.0f}", r["why"]) for r in mark["reasons"])
    total = f"{100 * mark['share']:.0f} % of what counts here, by the scale of the run plan."
    return (DebriefTable(f"Mark: {mark['mark']}", ("For", "Got", "Because"), rows, "Nothing counts.", total),)


WHOSE = {"you": "you", "stored run": "the stored run", "program": "the program alone"}


def _of_stored_run(record: RunRecord, data: Mapping[str, Any]) -> DebriefContent:
    """A stored run decided again without a truth that can be played again: three sets of points side by side."""
    stored = data["recorded"]
    true_value = stored["true_value"]
    lines = [_three_counts(stored)]
    if true_value is None:
        lines.append(
            "What was true in that cell nobody knows: agreement is no proof, and a difference is no mistake by itself."
        )
    if stored["scale"]:
        lines.append("The plan sets a scale, but a mark needs a truth to be held against; none is given.")
    return DebriefContent(
        title=f"Debrief: {record.title}",
        subtitle=f"decided again on {stored['name']} · {text.date_and_time(record.start_time)}",
        aims=(),
        lines=tuple(lines),
        results=(
            *(() if true_value is None else (("true value", _kj(true_value)),)),
            *_three_results(data, true_value),
        ),
        points=(),
        program_points=(),
        mishaps=(),
        tables=(_three_sets(stored),),
        banner=STORED_BANNER,
    )


STORED_BANNER = "A stored run, decided again. Its readings are those of the run file it was played from."


def _three_counts(stored: Mapping[str, Any]) -> str:
    yours, theirs, programs = (_counted(len(stored["points"][whose])) for whose in WHOSE)
    return f"On the same traces you took {yours}, the stored run has {theirs}, the program alone takes {programs}."


def _counted(count: int) -> str:
    return f"{count or 'no'} point" + ("" if count == 1 else "s")


def _three_results(data: Mapping[str, Any], truth: float | None) -> tuple[tuple[str, str], ...]:
    return (
        ("your points", _result(data["result"], truth)),
        ("the stored run's points", _result(data["recorded"]["result"], truth)),
        ("the program's points on the same traces", _result(data["program"]["result"], truth)),
    )


def _three_sets(stored: Mapping[str, Any]) -> DebriefTable:
    """Every point of the three, in the order of time."""
    every = [
        (p["end"], whose, number, p) for whose, points in stored["points"].items() for number, p in enumerate(points, 1)
    ]
    rows = tuple(
        (WHOSE[whose], str(number), text.clock(p["start"]), text.clock(p["end"]), text.celsius(p["temperature"]),
         text.with_unit(f"{p['pressure'] / 1e3:.2f}", "kPa"), p["taken_by"])
        for _, whose, number, p in sorted(every, key=lambda one: one[:3])
    )  # fmt: skip
    headers = ("Whose", "Point", "From", "To", "Temperature", "Pressure", "Taken by")
    return DebriefTable("Points on the same traces", headers, rows, "Nobody took a point.")


def _sentences(data: Mapping[str, Any]) -> list[str]:
    points, early = data["points"], int(data["early"])
    found = []
    if points:
        found.append(
            "Every point was taken when no more than the tolerance was still to come."
            if early == 0
            else f"{early} of {len(points)} points were taken too early: part of the step was still to come."
        )
        found.append(f"Waiting past the moment of level took {text.clock(data['waiting'])} in all.")
    costs = data["costs"]
    if costs:
        found.append(
            f"Left uncorrected, the lag of the drifting bath would move a straight line by {_percent(costs['lag'])}, "
            f"haste by {_percent(costs['haste'])}; the fit corrects the first, nothing corrects the second."
        )
    physical = [m for m in data["mishaps"] if m["began"] is not None]
    missed = [m for m in physical if m["visible_from"] is not None and m["person"] is None]
    if not physical:
        found.append("Nothing went wrong in this scenario.")
    elif missed:
        found.append(
            f"{len(missed)} of {len(physical)} mishaps could be seen and nobody wrote or did anything about it. "
            "A note (key N) when something looks odd is a reaction."
        )
    return found


def _points(rows: Sequence[Mapping[str, Any]], numbers: Any, takers: Sequence[str]) -> list[PointLine]:
    return [
        PointLine(
            number=str(number),
            taken_by=taker,
            window=text.clock(row["time"]),
            temperature=text.celsius(row["bath"]),
            off=_kelvin(row["pair_error"]),
            lag=_kelvin(row["lag_error"]),
            left=_kelvin(row["left_of_step"]),
            verdict=EARLY_WORDS[bool(row["early"])],
            waited=_waited(row["waited"]),
        )
        for row, number, taker in zip(rows, numbers, takers, strict=True)
    ]


def _mishap(mishap: Mapping[str, Any]) -> MishapLine:
    began = mishap["began"]
    return MishapLine(
        words=mishap["words"],
        began="did not happen in this run" if began is None else text.clock(began),
        visible="never in these readings" if mishap["visible_from"] is None else text.clock(mishap["visible_from"]),
        person=_reaction(mishap["person"]),
        program=_reaction(mishap["program"]),
        verdict=_verdict(mishap),
    )


def _verdict(mishap: Mapping[str, Any]) -> str:
    """In one or two words; a reaction is known by its time only, not by what it meant."""
    if mishap["began"] is None:
        return "did not happen"
    if mishap["visible_from"] is None:
        return "not to be seen"
    if mishap["person"] is None:
        return "missed"
    return f"reacted after {mishap['person']['time'] - mishap['visible_from']:.0f} s"


def _waited(seconds: float | None) -> str:
    return "—" if seconds is None else f"{seconds:+.0f} s".replace("-", "−")


def _reaction(told: Mapping[str, Any] | None) -> str:
    return "—" if told is None else f"{text.clock(told['time'])}: {told['text']}"


def _kelvin(value: float | None) -> str:
    # Adding 0 makes plain zero of −0.00.
    return "—" if value is None else f"{round(value, 2) + 0.0:+.2f} K".replace("-", "−")


def _percent(share: float) -> str:
    return f"{100 * share:+.1f} %".replace("-", "−")


def _kj(value: float) -> str:
    return text.with_unit(f"{value / 1e3:.2f}", "kJ/mol")


def _result(result: Mapping[str, Any] | None, truth: float | None) -> str:
    if result is None or result["value"] is None:
        return "no result"
    if result["interval_95"] is None:
        return f"{_kj(result['value'])}, no interval"
    low, high = result["interval_95"]
    said = f"{_kj(result['value'])}, 95 % interval {low / 1e3:.2f} to {high / 1e3:.2f}"
    if truth is None:
        return said
    return f"{said}: {'holds' if low <= truth <= high else 'misses'} the true value"
