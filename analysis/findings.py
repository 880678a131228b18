"""What a finding is; the tests themselves live in modules beside this one.

A finding has no words: it has a code, a variant of it and facts in SI.  The sentences, with units people read and in
their language, are made where it is shown.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

#: From mild to grave.  note: good to know; doubt: the value may be off; refuse: no interval is given.
SEVERITIES = ("note", "doubt", "refuse")

#: What a finding tells, by name: numbers in SI, or names of things.
Facts = dict[str, float | str]


@dataclass(frozen=True, slots=True)
class Finding:
    """One diagnosis.

    Parameters
    ----------
    code : str
        Short fixed name, for scripts.
    severity : str
        One of `SEVERITIES`.
    statistic, threshold : float or None
        What was compared with what; None where the finding is a plain fact and no test.
    variant : str
        Which of several sentences this code has fits; empty where it has one.
    facts : mapping
        What the sentence tells, by name: numbers in SI, or names of things.
    effect : float, optional
        Size of the effect on the enthalpy of vaporisation where it can be told.  [J/mol]
    false_alarm : float, optional
        How often a healthy run shows it.
    """

    code: str
    severity: str
    statistic: float | None
    threshold: float | None
    variant: str = ""
    facts: Mapping[str, float | str] = field(default_factory=dict)
    effect: float | None = None
    false_alarm: float | None = None

    def __post_init__(self) -> None:
        if self.severity not in SEVERITIES:
            raise ValueError(f"severity is {self.severity!r}; expected one of {', '.join(SEVERITIES)}")

    def as_dict(self) -> dict[str, Any]:
        """Plain types, SI, no NaN; the words are added at the edge."""
        names = ("code", "severity", "statistic", "threshold", "variant", "effect", "false_alarm")
        return {
            **{name: _plain(getattr(self, name)) for name in names},
            "facts": {name: _plain(value) for name, value in self.facts.items()},
        }


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, str):
        return value
    return float(value) if math.isfinite(value) else None
