"""A refused file, table, plan or place in the language of the page; what the system or a library said stays as it is.

Refusals travel as plain text; they are known again by their sentences, and what stands in a place of one may be a
sentence again.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from string import Formatter

from acquire import refused_sentences
from acquire.finding_words import LANGUAGES
from acquire.report.language import language, tr
from acquire.runfile import refusals
from acquire.sentences import facts_in

HELD = {**refused_sentences.HELD, **refusals.HELD}
SENTENCES = (*refusals.SENTENCES, *refused_sentences.SENTENCES)
PARTS = (*refusals.FAULTS, *refused_sentences.PARTS, *SENTENCES)
NAMED = ("liquid", "its_liquid", "name")
NUMBERS = ("limit", "value")
_DECIMAL = re.compile(r"(?<=\d)\.(?=\d)")
_TIMES = re.compile(r"(\d+ x )(.*)", re.DOTALL)


def refusal_words(error: Exception | str) -> str:
    """The refusal in the language that is spoken; one that is not known here in its own words."""
    return told(str(error)) or str(error)


def told(text: str) -> str:
    """The same; nothing where it is not known."""
    if "\n" in text:  # every fault of a plan on a line of its own
        known = [told(line) for line in text.splitlines()]
        return "\n".join(known) if all(known) else ""
    return _sentence(text, SENTENCES) or _refused_fit(text)


def _sentence(text: str, among: tuple[str, ...]) -> str:
    for sentence in among:
        facts = facts_in(text, sentence, HELD)
        if facts is not None:
            return tr(sentence).format(**{place: _fact(place, fact) for place, fact in facts.items()})
    return ""


def _fact(place: str, fact: str) -> str:
    if place in refused_sentences.WITHIN:
        return _sentence(fact, PARTS) or fact
    if place == "reasons":
        return _reasons(fact)
    if place in NAMED or (place == "path" and fact in refused_sentences.UNNAMED):
        return tr(fact)
    return _DECIMAL.sub(language().decimal_mark, fact) if place in NUMBERS else fact


def _reasons(text: str) -> str:
    """Several refusals with how many files each; one that is not known as it stands."""

    def counted(piece: str) -> str:
        found = _TIMES.fullmatch(piece)
        times, reason = found.groups() if found else ("", piece)
        words = told(reason)
        return words and times + words

    return "; ".join(words or piece for piece, words in _apart(text, "; ", counted))


def _apart(text: str, between: str, tell: Callable[[str], str]) -> list[tuple[str, str]]:
    """The parts of a text, each with what is told of it: a part may hold the mark between parts itself."""
    pieces, found = text.split(between), []
    while pieces:
        joined = [between.join(pieces[:end]) for end in range(1, len(pieces) + 1)]
        end, words = next(((end, words) for end, one in enumerate(joined, 1) if (words := tell(one))), (1, ""))
        found.append((joined[end - 1], words))
        pieces = pieces[end:]
    return found


def _refused_fit(text: str) -> str:
    """What a fit refuses, also several such findings one behind the other; nothing where one is not known."""
    known = [words for _, words in _apart(text, ". ", lambda piece: _finding(piece) or _finding(f"{piece}."))]
    return " ".join(known) if all(known) else ""


def _finding(text: str) -> str:
    for english, other in _fit_sentences(language().code):
        facts = facts_in(text, english)
        if facts is not None:
            return other.format_map({place: _Shown(fact) for place, fact in facts.items()})
    return ""


@cache
def _fit_sentences(code: str) -> tuple[tuple[str, str], ...]:
    """(English, the same in another language) of every refusal and finding with the same places in both."""
    english, other = LANGUAGES["en"], LANGUAGES.get(code, LANGUAGES["en"])
    pairs = [
        (words[0], other.findings[kind][variant][0])
        for kind, variants in english.findings.items()
        for variant, words in variants.items()
    ] + [
        (_refusal(words, english.expected), _refusal(other.refusals[kind][variant], other.expected))
        for kind, variants in english.refusals.items()
        for variant, words in variants.items()
    ]
    return tuple(pair for pair in pairs if _places(pair[0]) == _places(pair[1]))


def _refusal(words: tuple[str, str, str], expected: str) -> str:
    return f"{words[0]}; {expected} {words[1]}. {words[2]}"


def _places(sentence: str) -> set[tuple[str, str]]:
    return {(place, shown or "") for _, place, shown, _ in Formatter().parse(sentence) if place}


class _Shown(str):
    """A fact as it was printed in English: numbers get the mark of the language, names are told."""

    def __format__(self, _how: str) -> str:
        spoken = LANGUAGES.get(language().code, LANGUAGES["en"])
        if re.match(r"[+\N{MINUS SIGN}-]?\d", self):
            return str(self).replace(".", spoken.decimal_mark)
        return spoken.names.get(str(self), str(self))
