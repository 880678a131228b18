"""What the traces of a run show beyond its points: leak, gas let out, cell not conditioned, lag too long."""

from __future__ import annotations

import math
from collections.abc import Sequence

from acquire import acts
from acquire.feed import stored_blocks
from acquire.fitting import cell_setup, sealed_baseline, sensor_priors
from acquire.journal import Entry
from acquire.plan import RunPlan
from acquire.record import Baseline, PointRecord, RunRecord
from analysis.findings import Finding
from analysis.liquids import Liquid
from analysis.settling import Block

CHANGES = (acts.CHARGED, acts.WARMED, acts.COOLED)
MOST_READINGS = 5_000_000  # of a stored run that are gone through for one look; more would keep a person waiting


def trace_findings(
    plan: RunPlan,
    liquid: Liquid | None,
    blocks: Sequence[Block],
    journal: Sequence[Entry],
    baselines: Sequence[Baseline],
    points: Sequence[PointRecord],
) -> tuple[tuple[Finding, ...], float | None]:
    """Findings of the traces so far, and the leak rate over its uncertainty by their fit (None without one).

    There are none before the charge, or where the air was not shut in.

    Costs some tens of milliseconds: for the end of a run and for reviews, not for every second.
    """
    from analysis.findings_trace import PlateauWindow, find_in_traces  # brings scipy

    sealed = next((b for b in baselines if b.kind == "sealed"), None)
    baseline = sealed_baseline(baselines)
    charged = time_of(journal, acts.CHARGED)
    if sealed is None or baseline is None or charged is None or plan.air.mode != "sealed" or not blocks:
        return (), None
    changes = [entry.time for entry in journal if _act(entry) in CHANGES or entry.kind == "bath"]
    windows = [
        PlateauWindow(p.start, p.end, max((t for t in changes if t <= p.start), default=charged), p.branch, p.u_lag)
        for p in points
        if p.used
    ]
    vented = time_of(journal, acts.VENTED)
    report = find_in_traces(
        [b.time for b in blocks],
        [b.temperature for b in blocks],
        [b.pressure for b in blocks],
        baseline=baseline,
        sealed=(sealed.start, sealed.end),
        charged=charged,
        windows=windows,
        setup=cell_setup(plan, baselines),
        liquid=liquid,
        sensors=sensor_priors(plan),
        ended=math.inf if vented is None else vented,
    )
    return report.findings, report.leak


def stored_trace_findings(
    record: RunRecord,
    plan: RunPlan,
    liquid: Liquid | None,
    points: Sequence[PointRecord],
    blocks: Sequence[Block] | None = None,
) -> tuple[tuple[Finding, ...], float | None]:
    """The same for a stored run, so that a fit made again judges leaks as the first one did.

    `blocks` are those of its readings where somebody has them.  Otherwise they are made, but not of more than
    `MOST_READINGS` readings: then, as in a run without traces, the points alone have to tell.
    """
    if blocks is None:
        short = sum(len(trace) for trace in record.traces.values()) <= MOST_READINGS
        blocks = stored_blocks(record.traces) if short and plan.air.mode == "sealed" else ()
    return trace_findings(plan, liquid, blocks, record.journal, record.baselines, points)


def time_of(journal: Sequence[Entry], act: str) -> float | None:
    """When this act was last done, None where it was not.  [s]"""
    return next((entry.time for entry in reversed(journal) if _act(entry) == act), None)


def _act(entry: Entry) -> str:
    return str(entry.data.get("act", "")) if entry.kind == "act" else ""
