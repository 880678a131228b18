"""What pooling needs to know of one run: a value, its own uncertainty, and what it shares with other runs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

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


@dataclass(frozen=True)
class Parts:
    """What many runs share, as columns: run `run[i]` (ascending) shares `things[thing[i]]` with `part[i]`."""

    run: Ints
    thing: Ints
    part: Floats
    things: tuple[Share, ...]

    @classmethod
    def of(cls, shared: Iterable[Iterable[tuple[Share, float]]]) -> Parts:
        """From what each run shares."""
        code: dict[Share, int] = {}
        run, thing, part = [], [], []
        for place, parts in enumerate(shared):
            for name, value in parts:
                run.append(place)
                thing.append(code.setdefault(name, len(code)))
                part.append(value)
        return cls(np.array(run, int), np.array(thing, int), np.array(part, float), tuple(code))

    def squares(self, count: int) -> Floats:
        """Sum of the squared parts of each of `count` runs."""
        found = np.zeros(count)
        np.add.at(found, self.run, self.part**2)
        return found

    def by_run(self, count: int) -> list[list[tuple[Share, float]]]:
        """What each of `count` runs shares."""
        found: list[list[tuple[Share, float]]] = [[] for _ in range(count)]
        for run, thing, part in zip(self.run.tolist(), self.thing.tolist(), self.part.tolist(), strict=True):
            found[run].append((self.things[thing], part))
        return found

    def only(self, wanted: NDArray[np.bool_]) -> Parts:
        """Those of some runs, which are counted anew."""
        kept = wanted[self.run]
        return Parts((np.cumsum(wanted) - 1)[self.run[kept]], self.thing[kept], self.part[kept], self.things)


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
