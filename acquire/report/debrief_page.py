"""The debrief as a page to keep: aims, points against the truth, what waiting and haste cost, mishaps, results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from acquire.record import RunRecord
from acquire.report import text
from acquire.report.errors import ReportError
from acquire.report.page import PROGRAM, render, write_page

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
    program = data["program"]
    truth = data["truth"]
    return DebriefContent(
        title=f"Debrief: {record.title}",
        subtitle=f"{truth['scenario']} · seed {truth['seed']} · {text.date_and_time(record.start_time)}",
        aims=tuple(data["aims"]),
        lines=tuple(_sentences(data)),
        results=(
            ("true value", _kj(truth["enthalpy_vap"])),
            ("your points", _result(data["result"], truth["enthalpy_vap"])),
            ("the program's points on the same traces", _result(program["result"], truth["enthalpy_vap"])),
        ),
        points=tuple(_points(data["points"], data["numbers"], data["taken_by"])),
        program_points=tuple(
            _points(program["truth"], range(1, len(program["truth"]) + 1), ["program"] * len(program["truth"]))
        ),
        mishaps=tuple(_mishap(mishap) for mishap in data["mishaps"]),
    )


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
            f"{len(missed)} of {len(physical)} mishaps could be seen and nobody wrote or did anything about it."
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
            waited="—" if row["waited"] is None else f"{row['waited']:+.0f} s".replace("-", "−"),
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
    )


def _reaction(told: Mapping[str, Any] | None) -> str:
    return "—" if told is None else f"{text.clock(told['time'])}: {told['text']}"


def _kelvin(value: float | None) -> str:
    return "—" if value is None else f"{value:+.2f} K".replace("-", "−")


def _percent(share: float) -> str:
    return f"{100 * share:+.1f} %".replace("-", "−")


def _kj(value: float) -> str:
    return text.with_unit(f"{value / 1e3:.2f}", "kJ/mol")


def _result(result: Mapping[str, Any] | None, truth: float) -> str:
    if result is None or result["value"] is None:
        return "no result"
    if result["interval_95"] is None:
        return f"{_kj(result['value'])}, no interval"
    low, high = result["interval_95"]
    holds = "holds the true value" if low <= truth <= high else "misses the true value"
    return f"{_kj(result['value'])}, 95 % interval {low / 1e3:.2f} to {high / 1e3:.2f}: {holds}"


def debrief_html(record: RunRecord) -> str:
    """The page as text."""
    return render("debrief.html.j2", content=debrief_content(record), generator=PROGRAM)


def write_debrief(record: RunRecord, path: str | Path) -> Path:
    """Write the page; where it is.

    Raises
    ------
    NoDebriefError, ReportError
    """
    return write_page(debrief_html(record), Path(path))
