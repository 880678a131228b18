"""The sentences of findings: code, variant and facts in SI become words with units, in the person's language.

A text has places such as `{size:kPa.2}`: the fact `size` in kilopascal with two decimals; `~2` in place of `.2` stands
for two significant digits, `#6` for six at most, a `+` in front for a sign.  A place without a unit is a name.  Every
language has the same entries and may choose its own units.
"""

from __future__ import annotations

import errno
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from acquire.advice_words import BETTER_DE, BETTER_EN, REMEDIES_DE, REMEDIES_EN
from acquire.finding_words_de import FINDINGS_DE, NAMES_DE
from acquire.finding_words_en import FINDINGS_EN, NAMES_EN
from acquire.refusal_words_de import REFUSALS_DE
from acquire.refusal_words_en import REFUSALS_EN

SPACE = "\N{NO-BREAK SPACE}"  # a number never parts from its unit
MINUS = "\N{MINUS SIGN}"
_PLACE = re.compile(r"(?P<sign>\+?)(?P<unit>[^.~#+]*)(?P<kind>[.~#])(?P<digits>\d)")
_PRINTED = {"degC": "°C", "1": ""}


class FindingWords(NamedTuple):
    """What was seen, and what to do."""

    text: str
    advice: str


@dataclass(frozen=True)
class Language:
    """Sentences by code and variant, names of things that differ from English, and the mark before decimals.

    `better` has the sentences for nothing, an input and the noise; `expected` stands between what was found and what
    was expected.
    """

    findings: Mapping[str, Mapping[str, tuple[str, str]]]
    refusals: Mapping[str, Mapping[str, tuple[str, str, str]]]
    remedies: Mapping[str, str]
    better: tuple[str, str, str]
    expected: str
    names: Mapping[str, str]
    decimal_mark: str


LANGUAGES = {
    "en": Language(FINDINGS_EN, REFUSALS_EN, REMEDIES_EN, BETTER_EN, "expected", NAMES_EN, "."),
    "de": Language(FINDINGS_DE, REFUSALS_DE, REMEDIES_DE, BETTER_DE, "erwartet:", NAMES_DE, ","),
}


def finding_words(finding: Mapping[str, Any], language: str = "en") -> FindingWords:
    """The sentences of a finding as `Finding.as_dict()` or a stored result gives it.

    A finding of an older file has no facts but its English words; they are given as they stand.
    """
    code, variant = str(finding.get("code", "")), str(finding.get("variant") or "")
    facts = finding.get("facts")
    spoken = LANGUAGES.get(language, LANGUAGES["en"])
    said = spoken.findings.get(code, {}).get(variant)
    if facts is not None and said is not None:
        shown = {name: _Shown(value, spoken) for name, value in facts.items()}
        return FindingWords(*(part.format_map(shown) for part in said))
    return FindingWords(str(finding.get("text") or code), str(finding.get("advice") or ""))


def refusal_words(findings: Any, language: str = "en") -> str:
    """Why no interval is given: the findings that refuse it, in one text; empty where none does."""
    listed = (f if isinstance(f, Mapping) else f.as_dict() for f in findings or ())
    return " ".join(finding_words(f, language).text for f in listed if f["severity"] == "refuse")


#: What the system refuses, by its number, and the way out.
SYSTEM_WAYS_OUT = {
    errno.ENOENT: "expected something that is there. Check the name and the folder.",
    errno.EACCES: "expected a place that this account may use. Choose another one, or ask its owner.",
    errno.EPERM: "expected a place that this account may use. Choose another one, or ask its owner.",
    errno.EISDIR: "expected a file. Name one inside it.",
    errno.ENOTDIR: "expected a folder. Check the name.",
    errno.ENOSPC: "expected room on the disk. Free some, or choose another disk.",
    errno.EROFS: "expected a disk that can be written. Choose another folder.",
}
SYSTEM_WAY_OUT = "expected it to work. Check the name, the folder and the disk."


def error_words(error: Exception, language: str = "en") -> str:
    """What an error says to a person: a fit that is refused brings facts only, any other error its own words."""
    if isinstance(error, OSError) and error.strerror:
        where = f"{error.filename}: " if error.filename else ""
        return f"{where}{error.strerror}; {SYSTEM_WAYS_OUT.get(error.errno or 0, SYSTEM_WAY_OUT)}"
    return told_refusal(refusal_facts(error), language) or str(error)


def refusal_facts(error: Exception) -> dict[str, Any] | None:
    """Code, variant and facts of a refusal, to be kept and told later; None where the error has words only."""
    facts = getattr(error, "facts", None)
    if facts is None:
        return None
    return {"code": str(getattr(error, "code", "")), "variant": str(getattr(error, "variant", "")), "facts": {**facts}}


def told_refusal(refusal: Mapping[str, Any] | None, language: str = "en") -> str:
    """What was found, expected and can be done, from the facts that were kept; empty where they tell nothing."""
    kept = refusal if isinstance(refusal, Mapping) else {}
    facts = kept.get("facts")
    spoken = LANGUAGES.get(language, LANGUAGES["en"])
    said = spoken.refusals.get(str(kept.get("code")), {}).get(str(kept.get("variant", "")))
    if facts is None or said is None:
        return ""
    shown = {name: _Shown(value, spoken) for name, value in facts.items()}
    found, expected, way_out = (part.format_map(shown) for part in said)
    return f"{found}; {spoken.expected} {expected}. {way_out}"


def better_first_words(better: Mapping[str, Any] | None, language: str = "en") -> str:
    """One sentence: which input to measure better first, how, and what it would bring."""
    spoken = LANGUAGES.get(language, LANGUAGES["en"])
    nothing, known_better, less_noise = spoken.better
    if not better:
        return nothing
    source = str(better["source"])
    shown = {name: _Shown(value, spoken) for name, value in better.items()}
    shown["how"] = _Shown(spoken.remedies.get(source, source), spoken)
    return (less_noise if source == "readings, noise" else known_better).format_map(shown)


def with_words(document: Mapping[str, Any], language: str = "en") -> dict[str, Any]:
    """The document of a fit with the words of its findings: what the command line and the run file promise."""
    findings = [{**f, **finding_words(f, language)._asdict()} for f in document.get("findings") or ()]
    method = dict(document.get("method") or {})
    method["interval_refused"] = refusal_words(findings, language) or None
    if "better_first" in method:
        method["measure_better_first"] = better_first_words(method["better_first"], language)
    return {**document, "findings": findings, "method": method}


class _Shown:
    """A fact that a place of a text prints."""

    def __init__(self, value: Any, language: Language) -> None:
        self._value, self._language = value, language

    def __format__(self, place: str) -> str:
        if isinstance(self._value, str):
            return self._language.names.get(self._value, self._value)
        match = _PLACE.fullmatch(place)
        if match is None:
            raise ValueError(f"the place {place!r}; expected a unit and digits such as 'kPa.2'")
        if self._value is None:
            return "?"
        from drivers.units import from_si  # brings numpy: a window is on screen before there is a finding

        number = float(from_si(float(self._value), match["unit"]))
        if not math.isfinite(number):
            return self._language.names[str(number)]
        decimals = int(match["digits"])
        if match["kind"] == "#":
            return self._with_unit(f"{number:.{decimals}g}", match["unit"])
        if match["kind"] == "~":
            decimals = max(decimals - 1 - math.floor(math.log10(abs(number))), 0) if number else 0
        return self._with_unit(f"{number:{match['sign']}.{decimals}f}", match["unit"])

    def _with_unit(self, digits: str, unit: str) -> str:
        text = digits.replace("-", MINUS).replace(".", self._language.decimal_mark)
        printed = _PRINTED.get(unit, unit)
        return f"{text}{SPACE}{printed}" if printed else text
