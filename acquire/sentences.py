"""Sentences with places, known again as plain text: what was told in English is put together in other words."""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from string import Formatter


def facts_in(text: str, sentence: str, held: Mapping[str, str] | None = None) -> dict[str, str] | None:
    """What stands in the places of `sentence` where `text` is that sentence, else None.

    Parameters
    ----------
    held
        Patterns for places that hold no more than certain words.
    """
    if not all(words in text for words in _words(sentence)):  # most are not: cheaper than the pattern
        return None
    found = re.fullmatch(_pattern(sentence, tuple((held or {}).items())), text, re.DOTALL)
    return found.groupdict() if found else None


@functools.cache
def _words(sentence: str) -> tuple[str, ...]:
    return tuple(words for words, _, _, _ in Formatter().parse(sentence) if words)


@functools.cache
def _pattern(sentence: str, held: tuple[tuple[str, str], ...]) -> str:
    known, seen, out = dict(held), set(), ""
    for words, place, _, _ in Formatter().parse(sentence):
        out += re.escape(words)
        if place in seen:
            out += f"(?P={place})"
        elif place:
            out += f"(?P<{place}>{known.get(place, '.+?')})"
            seen.add(place)
    return out
