"""Which runs belong together, decided by what most of them are; the others are left out with the reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from acquire.pool.summary import RunSummary

_KINDS = {True: "simulated", False: "measured"}


class Together:
    """Counts what the runs are, then says of each whether it fits.

    Parameters
    ----------
    liquid
        Pool this liquid; None: the one that most runs have.
    """

    def __init__(self, liquid: str | None = None) -> None:
        self._asked = liquid
        self._votes: Counter[tuple[str, str, bool]] = Counter()
        self._choice: tuple[str, str, bool] | None = None

    def count(self, summary: RunSummary) -> None:
        if summary.used and self._asked in (None, summary.liquid):
            self._votes[summary.liquid, summary.air, summary.simulated] += 1
            self._choice = None

    @property
    def choice(self) -> tuple[str, str, bool] | None:
        """(liquid, air mode, simulated) of the pool; None without any usable run."""
        if self._choice is None and self._votes:
            self._choice = max(self._votes, key=lambda kind: (self._votes[kind], kind))
        return self._choice

    def judged(self, summaries: Iterable[RunSummary]) -> Iterator[RunSummary]:
        """Each summary, those that do not fit left out; of files with the same content only the first is used."""
        seen: set[int] = set()
        for summary in summaries:
            if not summary.used:
                yield summary
                continue
            reason = self._against(summary)
            if not reason and summary.content:
                mark = int(summary.content[:15], 16)  # 60 bits: one false match in 10**6 runs with 4e-7
                if mark in seen:
                    reason = "the same content as another file"
                seen.add(mark)
            yield summary.left_out(reason) if reason else summary

    def _against(self, summary: RunSummary) -> str:
        if self.choice is None:
            return f"its liquid is {summary.liquid}, the pool is of {self._asked}"
        liquid, air, simulated = self.choice
        if summary.liquid != liquid:
            return f"its liquid is {summary.liquid}, the pool is of {liquid}"
        if summary.simulated != simulated:
            return f"it is {_KINDS[summary.simulated]}, the pool is of {_KINDS[simulated]} runs"
        if summary.air != air:
            return f"its air was treated as {summary.air!r}, that of the pool as {air!r}"
        return ""
