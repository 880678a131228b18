"""Many summaries side by side, a column for each thing they say: sums over a million runs are made of whole columns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from itertools import islice
from typing import Any

import numpy as np
from numpy.typing import NDArray

from acquire.pool.summary import LEFT_OUT, USED, RunSummary
from analysis.pooling.runs import Parts

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

WHOLE = 500  # summaries with curve and points that are held at a time


@dataclass(frozen=True)
class RunColumns:
    """Some runs; every list and array has an entry for each, in the units of `RunSummary`.

    `low` and `high` are the ends of the 95 % interval, `findings` their codes joined by semicolons, `parts` what the
    runs share, `whole` the summaries themselves where curve and points are known (empty where they come from a table).
    """

    source: Sequence[str]
    content: Sequence[str]
    reason: Sequence[str]
    run: Sequence[str]
    bench: Sequence[str]
    liquid: Sequence[str]
    air: Sequence[str]
    findings: Sequence[str]
    used: NDArray[np.bool_]
    simulated: NDArray[np.bool_]
    start: Floats
    value: Floats
    u_own: Floats
    low: Floats
    high: Floats
    points: Ints
    room_pressure: Floats
    parts: Parts
    whole: Sequence[RunSummary] = ()

    def __len__(self) -> int:
        return len(self.source)

    @property
    def u(self) -> Floats:
        """Whole standard uncertainty of each run."""
        return np.sqrt(self.u_own**2 + self.parts.squares(len(self)))

    @classmethod
    def of(cls, summaries: Sequence[RunSummary]) -> RunColumns:
        def texts(name: str) -> list[str]:
            return [getattr(one, name) for one in summaries]

        def numbers(name: str) -> Floats:
            return np.array([getattr(one, name) for one in summaries], float)

        return cls(
            source=texts("source"),
            content=texts("content"),
            reason=texts("reason"),
            run=texts("run"),
            bench=texts("bench"),
            liquid=texts("liquid"),
            air=texts("air"),
            findings=[";".join(one.findings) for one in summaries],
            used=np.array([one.used for one in summaries], bool),
            simulated=np.array([one.simulated for one in summaries], bool),
            start=numbers("start"),
            value=numbers("value"),
            u_own=numbers("u_own"),
            low=np.array([one.interval_95[0] for one in summaries], float),
            high=np.array([one.interval_95[1] for one in summaries], float),
            points=np.array([one.points for one in summaries], int),
            room_pressure=numbers("room_pressure"),
            parts=Parts.of([[((c, label), part) for c, label, part in one.shared] for one in summaries]),
            whole=tuple(summaries),
        )

    def summaries(self) -> Iterator[RunSummary]:
        """One by one; those that come from a table have neither curve nor points."""
        if self.whole:
            yield from self.whole
            return
        shared = self.parts.by_run(len(self))
        for i in range(len(self)):
            yield RunSummary(
                source=self.source[i],
                content=self.content[i],
                status=USED if self.used[i] else LEFT_OUT,
                reason=self.reason[i],
                run=self.run[i],
                bench=self.bench[i],
                liquid=self.liquid[i],
                air=self.air[i],
                simulated=bool(self.simulated[i]),
                start=float(self.start[i]),
                value=float(self.value[i]),
                u_own=float(self.u_own[i]),
                interval_95=(float(self.low[i]), float(self.high[i])),
                shared=tuple((carrier, label, part) for (carrier, label), part in shared[i]),
                points=int(self.points[i]),
                room_pressure=float(self.room_pressure[i]),
                findings=tuple(self.findings[i].split(";")) if self.findings[i] else (),
            )

    def only(self, wanted: NDArray[np.bool_]) -> RunColumns:
        """Those runs alone, the same object where all are wanted."""
        if wanted.all():
            return self
        where = np.flatnonzero(wanted).tolist()
        kept: dict[str, Any] = {}
        for name in (field.name for field in fields(self)):
            column = getattr(self, name)
            if isinstance(column, np.ndarray):
                kept[name] = column[wanted]
            elif isinstance(column, Parts):
                kept[name] = column.only(wanted)
            else:
                kept[name] = [column[i] for i in where] if column else ()
        return RunColumns(**kept)

    def left_out(self, reasons: dict[int, str]) -> RunColumns:
        """The same with the runs at these places left out for these reasons."""
        if not reasons:
            return self
        used, reason, whole = self.used.copy(), list(self.reason), list(self.whole)
        for place, why in reasons.items():
            used[place], reason[place] = False, why
            if whole:
                whole[place] = whole[place].left_out(why)
        return replace(self, used=used, reason=reason, whole=whole)


def in_columns(summaries: Iterable[RunSummary]) -> Iterator[RunColumns]:
    """Any number of summaries, a bounded number held at a time."""
    waiting = iter(summaries)
    while some := list(islice(waiting, WHOLE)):
        yield RunColumns.of(some)
