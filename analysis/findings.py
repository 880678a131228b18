"""What a finding is; the tests themselves live in modules beside this one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

#: From mild to grave.  note: good to know; doubt: the value may be off; refuse: no interval is given.
SEVERITIES = ("note", "doubt", "refuse")


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
    text, advice : str
        Plain words: what was seen, what to do.
    effect : float, optional
        Size of the effect on the enthalpy of vaporisation where it can be told.  [J/mol]
    false_alarm : float, optional
        How often a healthy run shows it.
    """

    code: str
    severity: str
    statistic: float | None
    threshold: float | None
    text: str
    advice: str
    effect: float | None = None
    false_alarm: float | None = None

    def __post_init__(self) -> None:
        if self.severity not in SEVERITIES:
            raise ValueError(f"severity is {self.severity!r}; expected one of {', '.join(SEVERITIES)}")

    def as_dict(self) -> dict[str, Any]:
        """The six entries the command line promises."""
        names = ("code", "severity", "statistic", "threshold", "text", "advice")
        return {name: getattr(self, name) for name in names}
