"""Texts that came with a run or a shipped table: in the language of the page where they are ours, else as they are."""

from __future__ import annotations

from acquire.record import RunRecord
from acquire.report.language import said, tr


def title_words(record: RunRecord) -> str:
    """The title of a run: that of a shipped scenario in the language of the page, a person's own as it is."""
    return record.title if record.truth is None else tr(record.title)


#: What the shipped tables say of where a value comes from, phrase by phrase; names and versions stand between.
CITED = (
    said("calorimetric, CRC Handbook tables as shipped in"), said("reference equation of state"),
    said("equation of state of"), said("second virial coefficient by Tsonopoulos in"),
    said("u is the distance to slope times dZ of the saturation data,"),
)  # fmt: skip


def cited(source: str) -> str:
    """Where a value comes from, in the language of the page as far as the shipped tables say it; else word for word."""
    for phrase in CITED:
        source = source.replace(phrase, tr(phrase))
    return source
