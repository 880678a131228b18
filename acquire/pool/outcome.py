"""From the sums to what is said about the runs together; plain records that the page, the JSON and the screen show."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Any

import numpy as np

from acquire.pool.columns import RunColumns
from acquire.pool.gather import BenchTotals, FirstLook, Rooms, Sums
from acquire.pool.settings import PoolError
from analysis.liquids import Liquid, list_liquids
from analysis.pooling.benches import BenchComparison, OutlyingBench, compare_benches
from analysis.pooling.blindspots import AirShare
from analysis.pooling.control import ControlChart, Trend, control_chart, trend
from analysis.pooling.curve import PooledCurve, curve_of_sums, start_curve
from analysis.pooling.likelihood import LikelihoodConsensus, consensus_of_sums
from analysis.pooling.precision import Consistency, Precision, consistency, precision
from analysis.pooling.robust import RobustMean, algorithm_a, e_n_score, z_score, zeta_score

Runs = Callable[[], Iterable[RunColumns]]


@dataclass(frozen=True)
class BenchRow:
    """One bench among the others.  J/mol; scores without unit; NaN where there is too little to say it."""

    bench: str
    runs: int
    mean: float
    u: float
    deviation: float
    z: float
    zeta: float
    e_n: float
    h: float
    k: float
    chart: ControlChart | None
    trend: Trend | None
    changes: bool  # the trend is significant for all benches together (1 %)
    outlying: OutlyingBench | None


@dataclass(frozen=True)
class PoolOutcome:
    """Everything that is said of the runs together.

    `consensus` leaves out the benches that stand out; `with_all` does not.  `average` and `average_u` are the plain
    mean and its standard deviation, `weighted_u` the standard uncertainty of a weighted mean that takes all runs for
    independent: both for comparison, both too small where runs share instruments or data.
    """

    liquid: str
    air: str
    simulated: bool
    runs: int
    left_out: tuple[tuple[str, int], ...]
    consensus: LikelihoodConsensus
    with_all: LikelihoodConsensus
    average: float
    average_u: float
    weighted: float
    weighted_u: float
    robust: RobustMean | None
    precision: Precision | None
    consistency: Consistency | None
    benches: tuple[BenchRow, ...]
    outlying: tuple[OutlyingBench, ...]
    curve: PooledCurve | None
    table_curve: Any  # the reference curve of the liquid, for drawing
    air_share: AirShare | None
    reference: float  # enthalpy of vaporisation of the liquid table [J/mol], NaN for an unknown liquid
    u_reference: float
    reference_source: str


def in_order(bench: str) -> list[str | tuple[int, str]]:
    """Key that sorts benches as people count them: bench 9 before bench 10."""
    parts = re.split(r"([0-9]+)", bench)  # words and numbers by turns
    return [(len(part.lstrip("0")), part.lstrip("0")) if n % 2 else part.casefold() for n, part in enumerate(parts)]


def pooled(
    runs: Runs,
    *,
    liquid: Liquid | None,
    air: str,
    simulated: bool,
    rooms: Rooms | None = None,
    look: FirstLook | None = None,
) -> PoolOutcome:
    """Go through the judged runs one to three times and conclude.

    Parameters
    ----------
    runs
        Gives them from the beginning, each time it is called.
    look
        What an earlier pass over (at least) these runs found; None: it is made here.

    Raises
    ------
    PoolError
        Fewer than two usable runs.
    """
    rooms = rooms or Rooms()
    if look is None:
        look = FirstLook()
        for some in runs():
            look.take(some.only(some.used), rooms)
    if look.used:
        sums = Sums(look, liquid, rooms).take(runs())
    if not look.used or sums.plain.count < 2:
        used, reasons = (
            (sums.plain.count, sums.reasons)
            if look.used
            else (0, Counter(chain.from_iterable(some.reason for some in runs())))
        )
        why = "; ".join(f"{count} x {reason}" for reason, count in reasons.most_common(3))
        raise PoolError(
            f"there are {used} usable runs{f' (left out: {why})' if why else ''}; expected at least two. "
            "Give more run files, or look at the reasons in the table of runs"
        )
    compared = _compared(sums, liquid)
    outlying = compared.outlying if compared else ()
    with_all = consensus_of_sums(sums.consensus)
    consensus = with_all
    named = {one.bench for one in outlying}
    kept = sums
    if named and len(sums.benches) - len(named) >= 2:
        kept = Sums(look, liquid, rooms).take(_without(named, runs()))
        consensus = consensus_of_sums(kept.consensus)
    enthalpy = liquid.enthalpy_vap if liquid else None
    return PoolOutcome(
        liquid=liquid.name if liquid else "unknown",
        air=air,
        simulated=simulated,
        runs=sums.plain.count,
        left_out=tuple(sums.reasons.most_common()),
        consensus=consensus,
        with_all=with_all,
        average=sums.plain.mean,
        average_u=sums.plain.deviation / math.sqrt(sums.plain.count),
        weighted=sums.all_weighted / sums.all_weight,
        weighted_u=1.0 / math.sqrt(sums.all_weight),
        robust=_robust(sums),
        precision=_or_none(lambda: precision({name: b.moments for name, b in kept.benches.items()})),
        consistency=_consistency(sums),
        benches=_rows(sums, consensus, look, outlying),
        outlying=outlying,
        curve=_or_none(lambda: curve_of_sums(compared.sums)) if compared else None,
        table_curve=start_curve(liquid) if liquid and liquid.known else None,
        air_share=_or_none(lambda: kept.air.result(liquid.saturation.u if liquid and liquid.saturation else 0.0)),
        reference=enthalpy.value if enthalpy else math.nan,
        u_reference=enthalpy.u if enthalpy else math.nan,
        reference_source=enthalpy.source if enthalpy else "",
    )


def _without(benches: Collection[str], runs: Iterable[RunColumns]) -> Iterator[RunColumns]:
    for some in runs:
        yield some.only(np.array([bench not in benches for bench in some.bench]))


def _or_none(make: Callable[[], Any]) -> Any:
    """The statistic, None where there are too few runs or benches for it (it says so by ValueError)."""
    try:
        return make()
    except ValueError:
        return None


def _compared(sums: Sums, liquid: Liquid | None) -> BenchComparison | None:
    if sums.curve is None or not sums.curve.blocks:
        return None
    others = {
        other.name: start_curve(other)
        for other in list_liquids()
        if other.known and (liquid is None or other.name != liquid.name) and _covers_room(other)
    }
    rooms = {name: totals.room.mean for name, totals in sums.benches.items() if totals.room.count}
    return compare_benches(sums.curve, rooms, others)


def _covers_room(liquid: Liquid) -> bool:
    low, high = liquid.saturation.range if liquid.saturation else (math.inf, -math.inf)
    return low <= 298.15 <= high


def _robust(sums: Sums) -> RobustMean | None:
    means = [totals.moments.mean for totals in sums.benches.values()]
    return algorithm_a(means) if len(means) >= 3 else None


def _consistency(sums: Sums) -> Consistency | None:
    names = sorted(sums.benches, key=in_order)
    return _or_none(lambda: consistency({name: sums.benches[name].moments for name in names}))


def _rows(
    sums: Sums, consensus: LikelihoodConsensus, look: FirstLook, outlying: tuple[OutlyingBench, ...]
) -> tuple[BenchRow, ...]:
    robust = _robust(sums)
    judged = _consistency(sums)
    # what liquid data bring is common to bench and consensus and cancels in their difference
    common2 = look.common2 / look.used
    u_consensus = math.sqrt(max(consensus.standard_uncertainty**2 - common2, 1e-12))
    named = {one.bench: one for one in outlying}
    rows = []
    for name in sorted(sums.benches, key=in_order):
        totals = sums.benches[name]
        mean = totals.weighted / totals.weight
        index = judged.benches.index(name) if judged else -1
        change = _trend(totals)
        rows.append(
            BenchRow(
                bench=name,
                runs=totals.moments.count,
                mean=mean,
                u=math.sqrt(totals.u**2 + common2),
                deviation=totals.moments.deviation,
                z=z_score(totals.moments.mean, robust.mean, robust.deviation)
                if robust and robust.deviation > 0
                else math.nan,
                zeta=zeta_score(mean, totals.u, consensus.value, u_consensus),
                e_n=e_n_score(mean, 2 * totals.u, consensus.value, 2 * u_consensus),
                h=float(judged.h[index]) if judged else math.nan,
                k=float(judged.k[index]) if judged else math.nan,
                chart=_chart(totals),
                trend=change,
                changes=change is not None and change.p_value < 0.01 / len(sums.benches),
                outlying=named.get(name),
            )
        )
    return tuple(rows)


def _chart(totals: BenchTotals) -> ControlChart | None:
    series = sorted(totals.series)
    return _or_none(lambda: control_chart([value for _, value, _ in series])) if len(series) >= 8 else None


def _trend(totals: BenchTotals) -> Trend | None:
    series = sorted(totals.series)
    if len(series) < 5:
        return None
    year = 365.25 * 86400.0
    return _or_none(
        lambda: trend([t / year for t, _, _ in series], [v for _, v, _ in series], [u for _, _, u in series])
    )
