"""What the review window says of findings and where it shows them; knows no Qt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from acquire.finding_words import finding_words
from acquire.review.places import Place, place_in
from acquire.window.language import current_language, said, tr
from acquire.window.quantities import clock

if TYPE_CHECKING:
    from acquire.journal import Entry
    from acquire.record import PointRecord, RunRecord

#: Worst first; the shape says as much as the word.
GRAVENESS = {"refuse": ("■", said("No interval")), "doubt": ("▲", said("Doubt")), "note": ("●", said("Note"))}


@dataclass(frozen=True)
class FindingLine:
    """One finding in words, with its place in the traces."""

    word: str
    text: str
    advice: str
    where: str  # "" without a place
    place: Place | None


def finding_lines(
    record: RunRecord, points: Sequence[PointRecord], journal: Sequence[Entry], fit: Mapping[str, Any] | None
) -> tuple[FindingLine, ...]:
    """The findings of this result, the worst first."""
    order = list(GRAVENESS)
    found = sorted((fit or {}).get("findings") or (), key=lambda f: order.index(f["severity"]))
    lines = []
    for finding in found:
        sign, word = GRAVENESS[finding["severity"]]
        words = finding_words(finding, current_language().code)
        place = place_in(finding, record, points, journal, fit)
        lines.append(FindingLine(f"{sign} {tr(word)}", words.text, words.advice, where(place), place))
    return tuple(lines)


def where(place: Place | None) -> str:
    """A place in words: a moment, or points and the stretch they lie in."""
    if place is None:
        return ""
    if place.moment is not None:
        return clock(place.moment)
    stretch = tr("{0} to {1}").format(clock(place.start), clock(place.end))
    if not place.points:
        return stretch
    numbers = ", ".join(str(number) for number in place.points)
    named = tr("point {0}") if len(place.points) == 1 else tr("points {0}")
    return f"{named.format(numbers)} · {stretch}"


def stretch_to_show(place: Place, duration: float) -> tuple[float, float]:
    """What the strips show of a place: it, with some of what is around it.  [s]"""
    margin = max(0.15 * (place.end - place.start), 30.0)
    return max(place.start - margin, 0.0), min(place.end + margin, duration)
