"""Goes through the summaries on disk and keeps sums: per bench, per room and day, over all.  Nothing per run."""

from __future__ import annotations

import math
from collections import Counter, defaultdict, deque
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from acquire.pool.summary import RunSummary
from analysis.liquids import Liquid
from analysis.pooling.blindspots import AirShareSums, RunResiduals
from analysis.pooling.curve import CurveSums, start_curve
from analysis.pooling.precision import BenchMoments
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

    def add(self, summary: RunSummary) -> None:
        self.moments.add(summary.value)
        weight = 1.0 / summary.u_own**2
        self.weight += weight
        self.weighted += weight * summary.value
        for carrier, _, part in summary.shared:
            if carrier != "liquid data":
                self.shared2 += part * part
        if math.isfinite(summary.start):
            self.first, self.last = min(self.first, summary.start), max(self.last, summary.start)
            self.series.append((summary.start, summary.value, summary.u_own))

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

    def take(self, summary: RunSummary, rooms: Rooms) -> None:
        """One run that can be used."""
        self.used += 1
        self.benches.add(summary.bench)
        for carrier, label, part in summary.shared:
            known = self.shares.setdefault((carrier, label), summary.bench)
            if known and known != summary.bench:
                self.shares[carrier, label] = ""
            if carrier == "liquid data":
                self.common2 += part * part
        if len(self.values) < SAMPLE:
            self.values.append(summary.value)
            self.own.append(summary.u_own)
        occasion = rooms.occasion(summary)
        if occasion is not None:
            self.rooms[occasion].setdefault(summary.bench, BenchMoments()).add(summary.room_pressure)

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

    def occasion(self, summary: RunSummary) -> tuple[str, int] | None:
        """Room and time slot of a run, None where they are not known."""
        room = self.by_bench.get(summary.run) or self.by_bench.get(summary.bench) or ("all" if self.one_room else "")
        if not room or not (math.isfinite(summary.start) and math.isfinite(summary.room_pressure)):
            return None
        return room, int(summary.start // OCCASION)


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

    def take(self, summaries: Iterable[RunSummary]) -> Sums:
        batch = []
        for summary in summaries:
            if not summary.used:
                self.reasons[summary.reason] += 1
                continue
            self.plain.add(summary.value)
            weight = 1.0 / summary.u**2
            self.all_weight += weight
            self.all_weighted += weight * summary.value
            totals = self.benches.setdefault(summary.bench, BenchTotals())
            totals.add(summary)
            self._points(summary, totals)
            batch.append(summary.result())
            if len(batch) == SAMPLE:
                self.consensus.add(batch)
                batch = []
        self.consensus.add(batch)
        return self

    def _points(self, summary: RunSummary, totals: BenchTotals) -> None:
        occasion = self._rooms.occasion(summary)
        level = self._levels.get(occasion) if occasion is not None else None
        if level is not None:
            totals.room.add(summary.room_pressure - level)
        if summary.curve is not None and self.curve is not None:
            linear = summary.curve.linear_run(summary.run, summary.bench)
            self.curve.add_linear(linear if level is None else linear.with_room(summary.room_pressure - level, ROOM_U))
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
