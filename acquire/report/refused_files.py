"""A refused file in the language of the page; what the system or a library said stays as it is."""

from __future__ import annotations

from acquire.report.language import tr
from acquire.runfile.errors import RunFileError
from acquire.runfile.refusals import FAULTS, HELD, SENTENCES
from acquire.sentences import facts_in


def refusal_words(error: RunFileError) -> str:
    """The sentence in the language that is spoken; one that is not known here in its own words."""
    text = str(error)
    for sentence in SENTENCES:
        facts = facts_in(text, sentence, HELD)
        if facts is not None:
            if "fault" in facts:
                facts["fault"] = _fault(facts["fault"])
            return tr(sentence).format(**facts)
    return text


def _fault(text: str) -> str:
    for fault in FAULTS:
        facts = facts_in(text, fault)
        if facts is not None:
            return tr(fault).format(**facts)
    return text
