"""What pooling needs to know of one run: a value, its own uncertainty, and what it shares with other runs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: A thing several runs have in common: ("barometer", "B2"), ("liquid data", "n-heptane"), ...
Share = tuple[str, str]


@dataclass(frozen=True)
class RunResult:
    """One run's result with its uncertainty split into its own part and the parts it shares.

    `shared[thing]` is the standard uncertainty that the thing contributes to `value`, with the sign in which it acts
    (two runs with opposite signs are anticorrelated).  Its square is not in `u_own`.
    """

    run: str
    bench: str
    value: float
    u_own: float
    shared: Mapping[Share, float] = field(default_factory=dict)
    time: float = math.nan  # [s] any common origin

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and math.isfinite(self.u_own) and self.u_own > 0):
            raise ValueError(
                f"run {self.run!r} has value {self.value:g} and own uncertainty {self.u_own:g}; both must be finite "
                "and the uncertainty above zero"
            )

    @property
    def u(self) -> float:
        """The whole standard uncertainty."""
        return math.sqrt(self.u_own**2 + math.fsum(part**2 for part in self.shared.values()))


def covariance(runs: Sequence[RunResult]) -> Floats:
    """Covariance matrix of the values, shared parts fully correlated.  Shape (n, n)."""
    matrix = np.diag([run.u_own**2 for run in runs]).astype(float)
    things: dict[Share, dict[int, float]] = {}
    for index, run in enumerate(runs):
        for thing, part in run.shared.items():
            things.setdefault(thing, {})[index] = part
    for members in things.values():
        where = np.fromiter(members, int)
        parts = np.fromiter(members.values(), float)
        matrix[np.ix_(where, where)] += np.outer(parts, parts)
    return matrix


def without_sharing(runs: Sequence[RunResult]) -> list[RunResult]:
    """The same runs with everything treated as their own: what averaging does that ignores correlation."""
    return [RunResult(run.run, run.bench, run.value, run.u, {}, run.time) for run in runs]
