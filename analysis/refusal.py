"""The one way analysis says no to a person: what was found, what was expected, the way out."""

from __future__ import annotations


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


class FitRefused(ThreePartError):
    """A fit that is not made, because its answer would be wrong or mean nothing."""


class LiquidError(ThreePartError):
    """A liquid, or a table of liquids, that cannot be used."""


class OutsideRangeError(LiquidError):
    """A property asked for outside the range its source gives.  Nothing is ever extrapolated silently."""
