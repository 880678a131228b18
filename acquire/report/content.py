"""Everything a report says about one run, as plain text in records; the page only places it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from acquire.finding_words import finding_words
from acquire.record import RunRecord
from acquire.report import text
from acquire.report.blind_spots import blind_spots
from acquire.report.curve import points_as_taken, shown_points
from acquire.report.given_words import cited, title_words
from acquire.report.inputs import InputGroup, input_groups
from acquire.report.language import counted, language, said, tr
from acquire.report.method_rows import method_rows
from acquire.report.point_rows import PointRow, TakingRow, baseline_rows, point_rows, taking_rows
from acquire.report.provenance import provenance_rows
from acquire.report.result_block import ResultBlock, liquid_of, result_block
from acquire.report.story import caution_rows, taken_early, told, why_no_result
from acquire.review.journal_view import JournalLine
from acquire.review.places import Place, place_of

#: Worst first; the sign stands beside the word, so that a grey print says as much.
SEVERITIES = {"refuse": ("■", 0), "doubt": ("▲", 1), "note": ("●", 2)}
SEVERITY_WORDS = {"refuse": said("No interval"), "doubt": said("Doubt"), "note": said("Note")}

DISCLAIMER = said(
    "satline controls nothing and is not a safety device. It knows what its sensors read; it does not know the rating "
    "of your glass, the state of the stopper or what else is in the room."
)
WHO_DECIDES = said(
    "Local rules, the safety data sheet of the liquid and the person in charge decide what may be done. Eye "
    "protection on, no flames or sparks near a flammable liquid, glass without cracks, a way for the pressure to go."
)


@dataclass(frozen=True)
class FindingRow:
    sign: str
    severity: str
    word: str
    code: str
    text: str
    advice: str
    numbers: str
    rank: int
    where: str = ""  # points and stretch of time that show it


@dataclass(frozen=True)
class RunContent:
    """What the report of a run says."""

    title: str
    subtitle: str
    banner: str  # "" when there is nothing to say before everything else
    result: ResultBlock
    tested: bool  # there was a fit, so findings could be made
    findings: tuple[FindingRow, ...]
    points: tuple[PointRow, ...]
    taking: tuple[TakingRow, ...]
    baselines: tuple[tuple[str, str, str, str], ...]
    inputs: tuple[InputGroup, ...]
    notes: str
    blind: tuple[tuple[str, str], ...]
    told: tuple[JournalLine, ...]
    cautions: tuple[tuple[str, str], ...]  # when, what
    method: tuple[tuple[str, str], ...]
    provenance: tuple[tuple[str, str], ...]
    earlier: tuple[tuple[str, str], ...]  # results before the one that counts
    truth: tuple[tuple[str, str], ...]


def run_content(record: RunRecord) -> RunContent:
    """Read a run and put everything that is said of it into words; the newest result counts."""
    fit = newest_result(record)
    result = result_block(fit, liquid_of(record.plan), why_none=why_no_result(record))
    has_return = any(point.branch in ("return", "down") and point.used for point in record.points)
    return RunContent(
        title=title_words(record),
        subtitle=_subtitle(record),
        banner=_banner(record),
        result=result,
        tested=fit is not None,
        findings=finding_rows(fit, record),
        points=point_rows(shown_points(fit, record.points) if fit else points_as_taken(record.points)),
        taking=taking_rows(record.points, taken_early(record.journal)),
        baselines=baseline_rows(record.baselines),
        inputs=input_groups(record.plan),
        notes=str(record.plan.get("notes", "") or ""),
        blind=blind_spots(record.plan, has_return=has_return),
        told=told(record),
        cautions=caution_rows(record.journal),
        method=method_rows(fit),
        provenance=provenance_rows(record),
        earlier=earlier_rows(record),
        truth=truth_rows(record.truth, result),
    )


def newest_result(record: RunRecord) -> Mapping[str, Any] | None:
    return record.results[-1] if record.results else None


def earlier_rows(record: RunRecord) -> tuple[tuple[str, str], ...]:
    """Every result that is kept in the file behind the newest, in the order they were made."""
    rows = []
    for number, fit in enumerate(record.results[:-1], start=1):
        block = result_block(fit, None)
        value = (
            counted("{{0}} from {0} point", "{{0}} from {0} points", block.points_used).format(
                text.with_unit(f"({block.number})", block.unit)
            )
            if block.stands
            else block.reason
        )
        rows.append((tr("Result {0}").format(number), value))
    return tuple(rows)


def finding_rows(fit: Mapping[str, Any] | None, record: RunRecord | None = None) -> tuple[FindingRow, ...]:
    """The findings of a fit, the worst first; with the run, also where its traces show them."""
    rows = []
    for finding in (fit or {}).get("findings") or ():
        severity = finding["severity"]
        sign, rank = SEVERITIES.get(severity, ("●", 2))
        word = tr(SEVERITY_WORDS.get(severity, severity))
        told = (finding["code"], *finding_words(finding, language().code), _numbers(finding))
        seen = place_words(place_of(finding, record, fit)) if record is not None else ""
        rows.append(FindingRow(sign, severity, word, *told, rank, seen))
    return tuple(sorted(rows, key=lambda row: row.rank))


def place_words(place: Place | None) -> str:
    """Where the traces show it: a moment, or points and the stretch they lie in, in minutes:seconds."""
    if place is None:
        return ""
    if place.moment is not None:
        return tr("at {0}").format(text.clock(place.moment))
    stretch = text.stretch(place.start, place.end)
    if not place.points:
        return stretch
    named = tr("points {0}, {1}")
    if len(place.points) == 1:
        named = tr("point {0}, {1}")
    return named.format(", ".join(map(str, place.points)), stretch)


def _numbers(finding: Mapping[str, Any]) -> str:
    statistic, threshold = finding.get("statistic"), finding.get("threshold")
    if not isinstance(statistic, int | float) or not isinstance(threshold, int | float):
        return ""
    if statistic != statistic or threshold != threshold:
        return ""
    against = (text.typeset(f"{statistic:.3g}"), text.typeset(f"{threshold:.3g}"))
    told = [tr("{0} against a limit of {1}").format(*against)]
    alarm, effect = finding.get("false_alarm"), finding.get("effect")
    if alarm:
        share = text.with_unit(text.typeset(f"{100 * alarm:.2g}"), "%")
        told.append(tr("a run without fault passes it in {0} of cases").format(share))
    if effect:
        shown = text.with_unit(text.typeset(f"{effect / 1000:+.2f}"), "kJ/mol")
        told.append(tr("moves the value by {0} where nothing corrects it").format(shown))
    return "; ".join(told)


def truth_rows(truth: Mapping[str, Any] | None, result: ResultBlock) -> tuple[tuple[str, str], ...]:
    """What the simulated bench really had; empty for a real bench."""
    if not truth or ("replayed" in truth and "scenario" not in truth):
        return ()
    rows = [
        (tr("Scenario"), str(truth.get("scenario", ""))),
        (tr("Saturation data"), cited(str(truth.get("source", "")))),
    ]
    value = truth.get("enthalpy_vap")
    if isinstance(value, int | float):
        told = text.with_unit(text.typeset(f"{value / 1000:.2f}"), "kJ/mol")
        if result.ends is not None:
            low, high = result.ends
            where = tr("{0}, inside the interval") if low <= value <= high else tr("{0}, outside the interval")
            told = where.format(told)
        rows.insert(0, (tr("Enthalpy of vaporisation at {0}").format(text.celsius(298.15)), told))
    mishaps = truth.get("mishaps") or []
    rows.append((tr("Mishaps"), ", ".join(_mishap_name(mishap) for mishap in mishaps) or tr("none")))
    return tuple(row for row in rows if row[1])


MISHAPS = (
    said("leak"), said("stopper lifts"), said("air with charge"), said("plunger left in"), said("valve left open"),
    said("cell not soaked"), said("small charge"), said("wet liquid"), said("impure liquid"), said("cell lifted"),
    said("probe out"), said("probe in inflow"), said("bath overheated"), said("stirrer stops"), said("cable pulled"),
    said("device restarts"), said("power cut"), said("noisy line"), said("coarse sensor"), said("stuck sensor"),
    said("sensors swapped"), said("wrong unit"),
)  # fmt: skip


def _mishap_name(mishap: Any) -> str:
    name = mishap.get("name", mishap.get("kind", mishap)) if isinstance(mishap, Mapping) else mishap
    words = str(name).replace("_", " ")
    return tr(words)


def _subtitle(record: RunRecord) -> str:
    parts = [liquid_words(record.plan), str(record.plan.get("bench", "") or "")]
    parts += [str(record.plan.get("operator", "") or ""), text.date_and_time(record.start_time)]
    minutes = record.duration / 60
    parts.append(text.with_unit(f"{minutes:.0f}", "min"))
    return " · ".join(part for part in parts if part and part != text.ABSENT)


def liquid_words(plan: Mapping[str, Any]) -> str:
    """The plan's liquid by its name in this language; a name of the person's own as it is."""
    name = str(plan.get("liquid", ""))
    return tr(name)


def _banner(record: RunRecord) -> str:
    if record.truth is not None and (name := record.truth.get("replayed")):
        return tr(
            "The readings of {0} came again here and were decided on anew. This is no measurement of its own."
        ).format(name)
    if record.truth is not None:
        return tr("This run was made on a simulated bench. No real liquid was measured.")
    if record.integrity == "open":
        return tr(
            "This run was not closed when this page was made: it is still being recorded, or it was cut off. "
            "satline verify tells which; what stands here may change."
        )
    if record.end_time is None:
        return tr("This run was not closed: it ended before it was finished. Everything recorded until then is here.")
    return ""
