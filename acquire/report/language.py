"""The words of pages in the language that was asked for; the English text is the key of its translation.

A page is made inside `spoken`; whatever makes a text for it asks `tr`, or marks the texts of a table by `said` and asks
`tr` for them later.  `tr` wants whole sentences with `{0}` places, never an f-string.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from acquire.finding_words import LANGUAGES as SENTENCES
from acquire.report.errors import ReportError
from acquire.report.words_de import DE
from acquire.report.words_de_debrief import DEBRIEF_DE
from acquire.report.words_de_lessons import LESSONS_DE
from acquire.report.words_de_pages import PAGES_DE
from acquire.report.words_de_pool import POOL_DE
from acquire.report.words_de_refusals import REFUSALS_DE
from acquire.report.words_de_rows import ROWS_DE
from acquire.report.words_de_study import STUDY_DE
from acquire.report.words_de_tables import TABLES_DE


@dataclass(frozen=True)
class Language:
    """One language: what each English text becomes, and its mark before decimals."""

    code: str
    words: Mapping[str, str]
    decimal_mark: str


ENGLISH = Language("en", {}, ".")
GERMAN = {
    **DE, **PAGES_DE, **ROWS_DE, **DEBRIEF_DE, **LESSONS_DE, **POOL_DE, **STUDY_DE, **REFUSALS_DE, **TABLES_DE
}  # fmt: skip
LANGUAGES = {"en": ENGLISH, "de": Language("de", GERMAN, ",")}

_current: ContextVar[Language] = ContextVar("language of the page", default=ENGLISH)


@contextmanager
def spoken(code: str) -> Iterator[None]:
    """Everything made inside this block is in this language.

    Raises
    ------
    ReportError
        There is no such language.
    """
    if code not in LANGUAGES:
        raise ReportError(f"language is {code!r}; expected {' or '.join(LANGUAGES)}.")
    before = _current.set(LANGUAGES[code])
    try:
        yield
    finally:
        _current.reset(before)


def language() -> Language:
    """The language of the page that is being made."""
    return _current.get()


def tr(text: str) -> str:
    """`text` in the language of the page, or itself where it has no translation."""
    return _current.get().words.get(text, text)


def said(text: str) -> str:
    """Mark a text in a table as one that `tr` will be asked for later."""
    return text


def source_name(source: str) -> str:
    """What the fit calls an input, in the language of the page."""
    named = SENTENCES[language().code].names.get(source, source)
    return tr(named)


def counted(one: str, many: str, number: int) -> str:
    """`one` or `many` by number, with `{0}` filled in."""
    return tr(one if number == 1 else many).format(number)
