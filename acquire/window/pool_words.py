"""What pooling found, in the person's language; the words are those of the pooled page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from acquire.pool import words
from acquire.window.language import tr
from acquire.window.quantities import number

if TYPE_CHECKING:
    from analysis.pooling.benches import OutlyingBench


def finding_names(codes: tuple[str, ...]) -> str:
    """The findings of a run, by name; one that is not known yet keeps its own."""
    return ", ".join(tr(words.FINDINGS.get(code, code.replace("-", " "))) for code in codes)


def why_words(one: OutlyingBench) -> str:
    """What makes a bench stand out, from its scores."""
    return words.why_words(one, tr, number)
