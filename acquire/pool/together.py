"""Which runs belong together, decided by what most of them are; the others are left out with the reason."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from acquire.pool.gather import FirstLook, Rooms
from acquire.pool.summary import RunSummary

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

    def count(self, summary: RunSummary) -> None:
        """Take one summary in."""
        if summary.used and self._asked in (None, summary.liquid):
            self._looks[summary.liquid, summary.air, summary.simulated].take(summary, self._rooms)

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

    def judged(self, summaries: Iterable[RunSummary]) -> Iterator[RunSummary]:
        """Each summary, those that do not fit left out; of files with the same content only the first is used."""
        seen: set[int] = set()
        choice = self.choice
        for summary in summaries:
            if not summary.used:
                yield summary
                continue
            reason = self._against(summary, choice)
            if not reason and summary.content:
                mark = int(summary.content[:15], 16)  # 60 bits: one false match in 10**6 runs with 4e-7
                if mark in seen:
                    reason = "the same content as another file"
                seen.add(mark)
            yield summary.left_out(reason) if reason else summary

    def _against(self, summary: RunSummary, choice: Kind | None) -> str:
        if choice is None:
            return f"its liquid is {summary.liquid}, the pool is of {self._asked}"
        liquid, air, simulated = choice
        if summary.liquid != liquid:
            return f"its liquid is {summary.liquid}, the pool is of {liquid}"
        if summary.simulated != simulated:
            return f"it is {_KINDS[summary.simulated]}, the pool is of {_KINDS[simulated]} runs"
        if summary.air != air:
            return f"its air was treated as {summary.air!r}, that of the pool as {air!r}"
        return ""
