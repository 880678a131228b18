"""Which runs belong together, decided by what most of them are; the others are left out with the reason."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

import numpy as np

from acquire.pool.columns import RunColumns
from acquire.pool.gather import FirstLook, Rooms

#: Liquid, air mode, simulated.
Kind = tuple[str, str, bool]
_KINDS = {True: "simulated", False: "measured"}


class Together:
    """Counts what the runs are, then says of each whether it fits.

    Parameters
    ----------
    liquid
        Pool this liquid; None: the one that most runs have.
    """

    def __init__(self, liquid: str | None = None, rooms: Rooms | None = None) -> None:
        self._asked = liquid
        self._rooms = rooms or Rooms()
        self._looks: defaultdict[Kind, FirstLook] = defaultdict(FirstLook)

    def count(self, runs: RunColumns) -> None:
        """Take some runs in."""
        kinds = list(zip(runs.liquid, runs.air, runs.simulated.tolist(), strict=True))
        for kind in dict.fromkeys(kinds):
            if self._asked in (None, kind[0]):
                these = runs.only(runs.used & np.array([one == kind for one in kinds]))
                if len(these):
                    self._looks[kind].take(these, self._rooms)

    @property
    def choice(self) -> Kind | None:
        """(liquid, air mode, simulated) of the pool; None without any usable run."""
        if not self._looks:
            return None
        return max(self._looks, key=lambda kind: (self._looks[kind].used, kind))

    @property
    def look(self) -> FirstLook:
        """What was seen of the runs of that kind."""
        return self._looks[self.choice] if self.choice else FirstLook()

    def judged(self, runs: Iterable[RunColumns]) -> Iterator[RunColumns]:
        """The runs, those that do not fit left out; of files with the same content only the first is used."""
        seen: set[int] = set()
        choice = self.choice
        for some in runs:
            kinds = list(zip(some.liquid, some.air, some.simulated.tolist(), strict=True))
            against = {kind: self._against(kind, choice) for kind in set(kinds)}
            reasons = {}
            for place in np.flatnonzero(some.used).tolist():
                reason, content = against[kinds[place]], some.content[place]
                if not reason and content:
                    mark = int(content[:15], 16)  # 60 bits: one false match in 10**6 runs with 4e-7
                    if mark in seen:
                        reason = "the same content as another file"
                    seen.add(mark)
                if reason:
                    reasons[place] = reason
            yield some.left_out(reasons)

    def _against(self, kind: Kind, choice: Kind | None) -> str:
        if choice is None:
            return f"its liquid is {kind[0]}, the pool is of {self._asked}"
        (liquid, air, simulated), (its_liquid, its_air, is_simulated) = choice, kind
        if its_liquid != liquid:
            return f"its liquid is {its_liquid}, the pool is of {liquid}"
        if is_simulated != simulated:
            return f"it is {_KINDS[is_simulated]}, the pool is of {_KINDS[simulated]} runs"
        if its_air != air:
            return f"its air was treated as {its_air!r}, that of the pool as {air!r}"
        return ""
