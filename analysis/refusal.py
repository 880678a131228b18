"""The one way analysis says no to a person: what was found, what was expected, the way out."""

from __future__ import annotations

from typing import Any

from analysis.findings import Facts


class AnalysisError(Exception):
    """Root of the errors that a person can meet in analysis; never raised itself."""


class ThreePartError(AnalysisError):
    """An error in three parts, each kept as an attribute.

    Parameters
    ----------
    found, expected, way_out
        The three parts of the message.
    """

    def __init__(self, found: str, expected: str, way_out: str) -> None:
        super().__init__(f"{found}; expected {expected}. {way_out}")
        self.found, self.expected, self.way_out = found, expected, way_out


class FitRefused(AnalysisError):
    """A fit that is not made, because its answer would be wrong or mean nothing.

    Like a finding it has no words: what was found, what was expected and the way out are said where it is shown, with
    units people read and in their language.

    Parameters
    ----------
    code : str
        Short fixed name.
    variant : str
        Which of several sentences this code has fits; empty where it has one.
    facts
        What the sentences tell, by name: numbers in SI, or names of things.
    """

    def __init__(self, code: str, variant: str = "", **facts: float | str) -> None:
        super().__init__(code, variant, facts)
        self.code, self.variant, self.facts = code, variant, facts

    def __str__(self) -> str:
        told = ", ".join(f"{name} {value}" for name, value in self.facts.items())
        return " ".join(filter(None, (self.code, self.variant, f"({told})" if told else "")))

    def __reduce__(self) -> tuple[Any, ...]:
        return _refused, (self.code, self.variant, self.facts)


def _refused(code: str, variant: str, facts: Facts) -> FitRefused:
    """The same refusal again, in another process."""
    return FitRefused(code, variant, **facts)


class LiquidError(ThreePartError):
    """A liquid, or a table of liquids, that cannot be used."""


class OutsideRangeError(LiquidError):
    """A property asked for outside the range its source gives.  Nothing is ever extrapolated silently."""
