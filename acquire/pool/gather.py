"""Goes through the summaries on disk and keeps sums: per bench, per room and day, over all.  Nothing per run."""

from __future__ import annotations

import math
from collections import Counter, defaultdict, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from acquire.pool.columns import RunColumns
from acquire.pool.summary import RunSummary
from analysis.liquids import Liquid
from analysis.pooling.blindspots import AirShareSums, RunResiduals
from analysis.pooling.curve import CurveSums, start_curve
from analysis.pooling.precision import BenchMoments
from analysis.pooling.runs import Floats, Parts
from analysis.pooling.sums import ConsensusSums

SAMPLE = 2000  # runs looked at for the working point of the sums; it only has to be rough
SERIES = 500  # latest runs of a bench that its control chart shows
OCCASION = 3 * 3600.0  # [s] room pressures this close in time are compared: weather moves by 100 Pa to 200 Pa in it
ROOM_U = 250.0  # [Pa] of a room reading less that of its room: weather within an occasion, guessed
FEWEST_IN_A_ROOM = 4  # benches; fewer say nothing about which of them is wrong


@dataclass
class BenchTotals:
    """One bench's runs as sums."""

    moments: BenchMoments = field(default_factory=BenchMoments)
    weight: float = 0.0  # sum of 1/u_own**2
    weighted: float = 0.0
    shared2: float = 0.0  # sum of the squared shared parts that not everybody has
    first: float = math.inf
    last: float = -math.inf
    series: deque[tuple[float, float, float]] = field(
        default_factory=lambda: deque(maxlen=SERIES)
    )  # start, value, u_own
    room: BenchMoments = field(default_factory=BenchMoments)  # room reading less its room's  [Pa]

    def add(self, start: Floats, value: Floats, u_own: Floats, shared2: float) -> None:
        """Some runs, and the sum of their squared shared parts that not everybody has."""
        self.moments.add_all(value)
        weight = 1.0 / u_own**2
        self.weight += float(weight.sum())
        self.weighted += float(weight @ value)
        self.shared2 += shared2
        dated = np.isfinite(start)
        if dated.any():
            self.first, self.last = min(self.first, start[dated].min()), max(self.last, start[dated].max())
            latest = (column[dated][-SERIES:].tolist() for column in (start, value, u_own))
            self.series.extend(zip(*latest, strict=True))

    @property
    def u(self) -> float:
        """Standard uncertainty of the bench's mean from its own and its instruments' parts; liquid data left out."""
        return math.sqrt(1.0 / self.weight + self.shared2 / self.moments.count)


@dataclass
class FirstLook:
    """What has to be known before the sums can be made."""

    benches: set[str] = field(default_factory=set)
    shares: dict[tuple[str, str], str] = field(default_factory=dict)  # thing -> its only bench, "" for several
    values: list[float] = field(default_factory=list)
    own: list[float] = field(default_factory=list)
    common2: float = 0.0  # sum of the squared parts from liquid data
    rooms: dict[tuple[str, int], dict[str, BenchMoments]] = field(default_factory=lambda: defaultdict(dict))
    used: int = 0

    def take(self, runs: RunColumns, rooms: Rooms) -> None:
        """Runs that can be used."""
        self.used += len(runs)
        self.benches.update(runs.bench)
        parts = runs.parts
        for thing, bench in {
            (thing, runs.bench[run]) for thing, run in zip(parts.thing.tolist(), parts.run.tolist(), strict=True)
        }:
            known = self.shares.setdefault(parts.things[thing], bench)
            if known != bench:
                self.shares[parts.things[thing]] = ""
        self.common2 += float((parts.part[from_liquid_data(parts)] ** 2).sum())
        missing = SAMPLE - len(self.values)
        self.values += runs.value[:missing].tolist()
        self.own += runs.u_own[:missing].tolist()
        for place, occasion in rooms.occasions(runs):
            moments = self.rooms[occasion].setdefault(runs.bench[place], BenchMoments())
            moments.add(float(runs.room_pressure[place]))

    def room_levels(self) -> dict[tuple[str, int], float]:
        """Median of the benches' readings in each room on each occasion with enough benches.  [Pa]"""
        return {
            occasion: float(np.median([moments.mean for moments in benches.values()]))
            for occasion, benches in self.rooms.items()
            if len(benches) >= FEWEST_IN_A_ROOM
        }


@dataclass(frozen=True)
class Rooms:
    """Which room a run was in, where somebody said so: room pressures of different rooms are not comparable."""

    one_room: bool = False
    by_bench: dict[str, str] = field(default_factory=dict)

    def occasions(self, runs: RunColumns) -> Iterator[tuple[int, tuple[str, int]]]:
        """Place of each run whose room and time are known, with its room and time slot."""
        if not (self.one_room or self.by_bench):
            return
        for place in np.flatnonzero(np.isfinite(runs.start) & np.isfinite(runs.room_pressure)).tolist():
            room = self.by_bench.get(runs.run[place]) or self.by_bench.get(runs.bench[place])
            room = room or ("all" if self.one_room else "")
            if room:
                yield place, (room, int(runs.start[place] // OCCASION))


def from_liquid_data(parts: Parts) -> NDArray[np.bool_]:
    """Which of the shared parts come from the data of the liquid, which all runs have in common."""
    return np.array([carrier == "liquid data" for carrier, _ in parts.things], bool)[parts.thing]


class Sums:
    """All sums over the runs that belong together."""

    def __init__(self, look: FirstLook, liquid: Liquid | None, rooms: Rooms) -> None:
        values = np.array(look.values)
        centre = float(np.median(values))
        spread = 1.4826 * float(np.median(np.abs(values - centre)))
        self.consensus = ConsensusSums(
            sorted(look.benches),
            sorted(share for share, bench in look.shares.items() if not bench),
            {share for share, bench in look.shares.items() if bench},
            centre=centre,
            scale=math.hypot(float(np.median(look.own)), 0.5 * spread),
        )
        known = liquid is not None and liquid.known
        self.curve = CurveSums(liquid, start_curve(liquid)) if known and liquid is not None else None
        self.air = AirShareSums()
        self.benches: dict[str, BenchTotals] = {}
        self.reasons: Counter[str] = Counter()
        self.plain = BenchMoments()
        self.all_weight = self.all_weighted = 0.0
        self._rooms, self._levels = rooms, look.room_levels()

    def take(self, runs: Iterable[RunColumns]) -> Sums:
        for some in runs:
            self.reasons.update(
                reason for reason, used in zip(some.reason, some.used.tolist(), strict=True) if not used
            )
            self._add(some.only(some.used))
        return self

    def _add(self, runs: RunColumns) -> None:
        """Runs that can be used."""
        self.plain.add_all(runs.value)
        weight = 1.0 / runs.u**2
        self.all_weight += float(weight.sum())
        self.all_weighted += float(weight @ runs.value)
        parts = runs.parts
        apart = ~from_liquid_data(parts)
        shared2 = np.bincount(parts.run[apart], parts.part[apart] ** 2, len(runs))
        places: defaultdict[str, list[int]] = defaultdict(list)
        for place, bench in enumerate(runs.bench):
            places[bench].append(place)
        for bench, where in places.items():
            totals = self.benches.setdefault(bench, BenchTotals())
            totals.add(runs.start[where], runs.value[where], runs.u_own[where], float(shared2[where].sum()))
        self.consensus.add_columns(runs.run, runs.bench, runs.value, runs.u_own, parts)
        differences = self._room_differences(runs)
        for place, difference in differences.items():
            self.benches[runs.bench[place]].room.add(difference)
        for place, summary in enumerate(runs.whole):
            self._points(summary, differences.get(place))

    def _room_differences(self, runs: RunColumns) -> dict[int, float]:
        """Room reading less that of its room of each run for which both are known.  [Pa]"""
        return {
            place: float(runs.room_pressure[place]) - self._levels[occasion]
            for place, occasion in self._rooms.occasions(runs)
            if occasion in self._levels
        }

    def _points(self, summary: RunSummary, difference: float | None) -> None:
        if summary.curve is not None and self.curve is not None:
            linear = summary.curve.linear_run(summary.run, summary.bench)
            self.curve.add_linear(linear if difference is None else linear.with_room(difference, ROOM_U))
        points = summary.air_points
        if points.share:
            self.air.add(
                RunResiduals(
                    summary.run,
                    summary.bench,
                    np.array(points.temperature),
                    np.array(points.share),
                    np.array(points.residual),
                )
            )
